//! A small drawing for each check: where in a watch it looks, on a watch of usual sizes that is
//! nobody's. The place is washed and dimensioned; nothing is to be read off it.

use crate::fit::check::Hint;

use crate::draw::drafting::{View, level, upright};
use crate::draw::section::{CloseUp, close_up};
use crate::draw::svg::{Anchor, Path, Sheet};
use crate::draw::watch::{
    Bezel, Case, Cone, Crown, Crystal, CrystalGasket, Dial, DrawnWatch, Foot, Form, Hand, Indices, Movement,
    MovementRing, Post, Role, Window,
};

/// Width and height of a hint in px.
const SIZE: (f64, f64) = (320.0, 170.0);

/// The place that a check looks at.
pub fn thumbnail(hint: Hint) -> String {
    let mut inside = Sheet::default();
    match hint {
        Hint::Seat | Hint::Opening | Hint::Hole | Hint::Post | Hint::Stack | Hint::Crystal | Hint::Ring => {
            dial_and_hands(&mut inside, hint);
        }
        Hint::Bore | Hint::Back | Hint::Stem | Hint::Gasket | Hint::Bezel => case(&mut inside, hint),
        Hint::Feet => feet(&mut inside),
        Hint::Date => date(&mut inside),
        Hint::Strap => strap(&mut inside),
        Hint::Wrist => wrist(&mut inside),
        Hint::Timing => timing(&mut inside),
        Hint::Log => log(&mut inside),
    }
    // In a frame: what is magnified goes on beyond it.
    let mut sheet = Sheet::default();
    sheet.window((0.0, 0.0), SIZE, &inside);
    sheet.labelled("hint", SIZE.0, SIZE.1, words(hint))
}

/// What the drawing shows, in words.
fn words(hint: Hint) -> &'static str {
    match hint {
        Hint::Seat => "The edge of a dial in its seat in the case, with the gap between them",
        Hint::Opening => "The edge of a dial under the edge of the opening, with how far it is covered",
        Hint::Hole => "The pipe of the hour wheel in the hole of the dial, with the gap around it",
        Hint::Feet => "A foot of the dial and a hole of the movement, with the distance of their middles",
        Hint::Date => "The figure of the date next to its window in the dial",
        Hint::Post => "A hand on its post, with the post's diameter",
        Hint::Stack => "The hands on their posts one over the other, with the gaps between them",
        Hint::Crystal => "The tip of a hand under the crystal, with the gap between them",
        Hint::Ring => "The tip of a hand beside the rehaut, with the gap between them",
        Hint::Bore => "The movement in its ring in the case, with the gaps around the ring",
        Hint::Back => "The rotor over the inside of the back, with the gap between them",
        Hint::Stem => "The axis of the stem and the axis of the crown's tube, with how far they stand apart",
        Hint::Gasket => "The crystal in its seat, with the room that its gasket is pressed into",
        Hint::Bezel => "The insert in its bezel, with the seat that takes it",
        Hint::Strap => "A strap between the lugs, with the gaps at its sides",
        Hint::Wrist => "A watch across a wrist, lug to lug",
        Hint::Timing => "Rates on a line with the range that is aimed at, one of them outside",
        Hint::Log => "Two stays of one part along a line of days that overlap",
    }
}

fn centred(r: f64, z: f64, scale: f64) -> View {
    View { x0: SIZE.0 / 2.0 - r * scale, y0: SIZE.1 / 2.0 + z * scale, scale }
}

fn show(sheet: &mut Sheet, close: CloseUp, view: &View) {
    close_up(sheet, &usual(), close, view);
}

/// A washed gap between radii and heights, inside its edges.
fn wash(sheet: &mut Sheet, view: &View, r: (f64, f64), z: (f64, f64)) {
    let inset = 0.8;
    sheet.rect("w", view.x(r.0) + inset, view.y(z.1) + inset, view.x(r.1) - inset, view.y(z.0) - inset);
}

/// Lines down from two radii to a level dimension in the accent.
fn across(sheet: &mut Sheet, view: &View, r: (f64, f64), from: f64, y: f64) {
    let mut lines = Path::default();
    for r in [r.0, r.1] {
        lines.to(view.x(r), view.y(from)).line(view.x(r), y + if view.y(from) < y { 5.0 } else { -5.0 });
    }
    sheet.path("xa", &lines);
    level(sheet, y, view.x(r.0), view.x(r.1), true);
}

fn dial_and_hands(sheet: &mut Sheet, hint: Hint) {
    match hint {
        Hint::Seat => {
            let view = centred(13.75, 0.35, 90.0);
            show(sheet, CloseUp::Seat, &view);
            across(sheet, &view, (13.6, 13.8), 0.0, 140.0);
        }
        Hint::Opening => {
            let view = centred(13.5, 0.35, 90.0);
            show(sheet, CloseUp::Seat, &view);
            across(sheet, &view, (13.1, 13.6), 0.0, 140.0);
        }
        Hint::Hole => {
            let view = centred(0.0, 0.55, 85.0);
            show(sheet, CloseUp::Stack, &view);
            wash(sheet, &view, (0.8, 1.1), (0.0, 0.4));
            wash(sheet, &view, (-1.1, -0.8), (0.0, 0.4));
            across(sheet, &view, (0.8, 1.1), 0.4, 148.0);
        }
        Hint::Post => {
            let view = centred(0.0, 1.5, 110.0);
            show(sheet, CloseUp::Stack, &view);
            across(sheet, &view, (-0.45, 0.45), 1.7, 24.0);
        }
        Hint::Stack => {
            let view = centred(0.0, 1.25, 74.0);
            show(sheet, CloseUp::Stack, &view);
            for (low, high) in [(1.2, 1.55), (1.75, 2.1)] {
                wash(sheet, &view, (0.75, 2.2), (low, high));
                upright(sheet, view.x(1.75), view.y(high), view.y(low), true);
            }
        }
        Hint::Crystal => {
            let view = centred(10.5, 1.9, 26.0);
            show(sheet, CloseUp::Whole, &view);
            wash(sheet, &view, (11.6, 12.4), (2.25, 2.9));
            upright(sheet, view.x(12.0), view.y(2.9), view.y(2.25), true);
        }
        _ => {
            let view = centred(12.6, 1.5, 40.0);
            show(sheet, CloseUp::Whole, &view);
            wash(sheet, &view, (12.4, 13.3), (1.55, 1.75));
            across(sheet, &view, (12.4, 13.36), 1.65, 24.0);
        }
    }
}

fn case(sheet: &mut Sheet, hint: Hint) {
    let view = match hint {
        Hint::Bore => centred(13.4, -2.2, 42.0),
        Hint::Back => centred(8.0, -4.3, 30.0),
        Hint::Stem => centred(15.6, -1.6, 26.0),
        Hint::Gasket => centred(15.0, 3.3, 52.0),
        _ => centred(17.2, 3.2, 36.0),
    };
    show(sheet, CloseUp::Whole, &view);
    match hint {
        Hint::Bore => {
            wash(sheet, &view, (12.8, 13.0), (-4.4, -0.4));
            wash(sheet, &view, (13.7, 13.9), (-4.4, -0.4));
            across(sheet, &view, (13.7, 13.9), -2.6, 24.0);
        }
        Hint::Back => {
            wash(sheet, &view, (0.0, 12.4), (-5.4, -4.6));
            upright(sheet, view.x(9.0), view.y(-4.6), view.y(-5.4), true);
        }
        Hint::Stem => {
            sheet.line("xa", view.x(9.0), view.y(-1.9), view.x(20.4), view.y(-1.9));
            sheet.line("xa", view.x(13.2), view.y(-1.5), view.x(20.4), view.y(-1.5));
            upright(sheet, view.x(19.0), view.y(-1.5), view.y(-1.9), true);
        }
        Hint::Gasket => across(sheet, &view, (14.8, 15.25), 3.5, 24.0),
        _ => across(sheet, &view, (16.2, 18.6), 3.4, 24.0),
    }
}

/// From the front: the hole in the movement, and the foot beside its middle.
fn feet(sheet: &mut Sheet) {
    let (hole, foot) = ((150.0, 84.0), (176.0, 90.0));
    sheet.circle("x", SIZE.0 / 2.0, 1_180.0, 1_100.0);
    sheet.circle("x", SIZE.0 / 2.0, 1_180.0, 1_150.0);
    sheet.circle("n w", hole.0, hole.1, 44.0);
    sheet.circle("o h1", foot.0, foot.1, 32.0);
    let mut axes = Path::default();
    for (x, y, r) in [(hole.0, hole.1, 56.0), (foot.0, foot.1, 42.0)] {
        axes.to(x - r, y).line(x + r, y).to(x, y - r).line(x, y + r);
    }
    sheet.path("k", &axes);
    let mut lines = Path::default();
    for x in [hole.0, foot.0] {
        lines.to(x, 128.0).line(x, 153.0);
    }
    sheet.path("xa", &lines);
    level(sheet, 148.0, hole.0, foot.0, true);
    sheet.text("q", 92.0, 40.0, Anchor::End, "hole");
    sheet.text("q", 222.0, 60.0, Anchor::Start, "foot");
}

fn date(sheet: &mut Sheet) {
    let view = View { x0: SIZE.0 / 2.0, y0: SIZE.1 / 2.0, scale: 44.0 };
    show(sheet, CloseUp::Window, &view);
    across(sheet, &view, (0.55, 0.95), -0.9, 152.0);
}

/// Two lugs from the front and the strap between them.
fn strap(sheet: &mut Sheet) {
    let (middle, half) = (SIZE.0 / 2.0, 84.0);
    let mut lugs = Path::default();
    for side in [-1.0, 1.0] {
        lugs.polyline(&[
            (middle + side * half, 0.0),
            (middle + side * half, 92.0),
            (middle + side * (half + 6.0), 100.0),
            (middle + side * (half + 26.0), 100.0),
            (middle + side * (half + 32.0), 90.0),
            (middle + side * (half + 40.0), 0.0),
        ]);
    }
    sheet.rect("w", middle - half, 20.0, middle + half, 98.0);
    let mut strap = Path::default();
    strap.polyline(&[
        (middle - half + 10.0, SIZE.1),
        (middle - half + 10.0, 26.0),
        (middle + half - 10.0, 26.0),
        (middle + half - 10.0, SIZE.1),
    ]);
    sheet.path("o h3", &strap);
    sheet.path("o", &lugs);
    sheet.line("k", middle - half - 20.0, 72.0, middle + half + 20.0, 72.0);
    let mut lines = Path::default();
    for x in [middle + half - 10.0, middle + half] {
        lines.to(x, 98.0).line(x, 135.0);
    }
    sheet.path("xa", &lines);
    level(sheet, 130.0, middle + half - 10.0, middle + half, true);
}

/// A wrist across, and a watch on it.
fn wrist(sheet: &mut Sheet) {
    let (x, y) = (SIZE.0 / 2.0, 116.0);
    let mut arm = Path::default();
    let points: Vec<(f64, f64)> = (0..=40_u8)
        .map(|i| {
            let turn = f64::from(i) / 40.0 * 2.0 * std::f64::consts::PI;
            let (sin, cos) = (libm::sin(turn), libm::cos(turn));
            // Rounder than a box, flatter than an egg.
            let flat = |v: f64| v.signum() * libm::pow(v.abs(), 0.75);
            (x + 104.0 * flat(cos), y + 52.0 * flat(sin))
        })
        .collect();
    arm.polygon(&points);
    sheet.path("n mf", &arm);
    let half = 82.0;
    sheet.polygon(
        "o pp",
        &[
            (x - half, y - 46.0),
            (x - 62.0, y - 68.0),
            (x - 48.0, y - 78.0),
            (x + 48.0, y - 78.0),
            (x + 62.0, y - 68.0),
            (x + half, y - 46.0),
            (x + 60.0, y - 55.0),
            (x - 60.0, y - 55.0),
        ],
    );
    let mut lines = Path::default();
    for side in [-1.0, 1.0] {
        lines.to(x + side * half, y - 48.0).line(x + side * half, 17.0);
    }
    sheet.path("xa", &lines);
    level(sheet, 22.0, x - half, x + half, true);
    let mut flat = Path::default();
    for side in [-1.0, 1.0] {
        flat.to(x + side * 104.0, y).line(x + side * 104.0, 9.0);
    }
    sheet.path("x", &flat);
    level(sheet, 10.0, x - 104.0, x + 104.0, false);
}

fn timing(sheet: &mut Sheet) {
    let y = SIZE.1 / 2.0;
    sheet.rect("w", 80.0, 30.0, 220.0, 140.0);
    let mut bracket = Path::default();
    bracket.to(86.0, 30.0).line(80.0, 30.0).line(80.0, 140.0).line(86.0, 140.0);
    bracket.to(214.0, 30.0).line(220.0, 30.0).line(220.0, 140.0).line(214.0, 140.0);
    sheet.path("be", &bracket);
    sheet.line("k", 130.0, 24.0, 130.0, 146.0);
    for (x, row, class) in [(150.0, -40.0, "s"), (168.0, -14.0, "s"), (116.0, 14.0, "s"), (262.0, 40.0, "ra")]
    {
        let at = y + row;
        sheet.line("x", 20.0, at, 300.0, at);
        sheet.polygon(class, &[(x, at - 6.0), (x + 6.0, at), (x, at + 6.0), (x - 6.0, at)]);
    }
}

fn log(sheet: &mut Sheet) {
    let mut line = Path::default();
    line.to(20.0, 140.0).line(300.0, 140.0);
    for x in [40.0, 90.0, 140.0, 190.0, 240.0, 290.0] {
        line.to(x, 136.0).line(x, 144.0);
    }
    sheet.rect("w", 150.0, 34.0, 200.0, 140.0);
    sheet.path("x", &line);
    sheet.rect("o pp", 50.0, 46.0, 200.0, 66.0);
    sheet.rect("o pp", 150.0, 90.0, 280.0, 110.0);
    level(sheet, 128.0, 150.0, 200.0, true);
    sheet.text("q", 58.0, 61.0, Anchor::Start, "in one watch");
    sheet.text("q", 208.0, 105.0, Anchor::Start, "in another");
}

/// A watch of usual sizes, its gaps wide enough to be seen.
fn usual() -> DrawnWatch {
    let hand = |role, length, top| Hand {
        length: Some(length),
        thickness: Some(0.2),
        top: Some(top),
        ..Hand::new(role)
    };
    let post = |role, diameter, top| Post { role, diameter: Some(diameter), top: Some(top) };
    DrawnWatch {
        case: Some(Case {
            diameter: Some(38.0),
            dial_seat: Some(27.6),
            rehaut: Some(Cone { bottom: Some(26.2), top: Some(27.6), height: Some(1.8) }),
            shelf: Some(2.5),
            bore: Some(27.8),
            depth: Some(5.8),
            back_to_ledge: Some(6.8),
            rim: Some(3.7),
            tube_below: Some(1.9),
            tube_end_radius: Some(19.2),
            crystal_seat: Some(30.5),
            ..Case::default()
        }),
        bezel: Some(Bezel { inner: Some(31.6), outer: Some(38.2), insert: Some((32.4, 37.2)) }),
        crystal: Some(Crystal {
            diameter: Some(29.6),
            form: Form::Flat,
            thickness: Some(1.2),
            height: Some(1.2),
            ..Crystal::default()
        }),
        crystal_gasket: Some(CrystalGasket { section: Some(0.45), ..CrystalGasket::default() }),
        dial: Some(Dial {
            diameter: Some(27.2),
            thickness: Some(0.4),
            centre_hole: Some(2.2),
            indices: Some(Indices { height: Some(0.4), inner_radius: Some(9.0), outer_radius: Some(12.0) }),
            feet: vec![Foot { at: Some(150.0), radius: Some(12.4), diameter: Some(0.7), cut: false }],
            date_window: Some(Window {
                at: Some(90.0),
                radius: Some(10.6),
                along: Some(1.9),
                across: Some(2.6),
            }),
            ..Dial::default()
        }),
        hands: vec![
            hand(Role::Hour, 8.4, 1.2),
            hand(Role::Minute, 12.4, 1.75),
            hand(Role::Seconds, 12.4, 2.3),
        ],
        movement: Some(Movement {
            casing_diameter: Some(25.6),
            height_below: Some(4.6),
            self_winds: true,
            rotor_radius: Some(12.4),
            posts: vec![
                post(Role::Hour, 1.5, 1.2),
                post(Role::Minute, 0.9, 1.75),
                post(Role::Seconds, 0.3, 2.3),
            ],
            pipe_diameter: Some(1.6),
            stem_below: Some(1.9),
            stem_seat_radius: Some(10.0),
            date: Some(Window { at: Some(92.0), radius: Some(10.3), along: Some(1.3), across: Some(2.0) }),
            ..Movement::default()
        }),
        ring: Some(MovementRing {
            inner: Some(26.0),
            outer: Some(27.4),
            height: Some(4.6),
            from_seat: Some(0.4),
            metal: false,
        }),
        crown: Some(Crown { diameter: Some(5.0) }),
        ..DrawnWatch::default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::testing::{texts_apart, well_formed};
    use crate::fit::checks;

    #[test]
    fn every_check_has_a_drawing_of_its_place() {
        for check in checks::ALL {
            let svg = thumbnail(check.drawing);
            well_formed(&svg);
            texts_apart(&svg);
            assert!(svg.len() < 9_000, "{}: {}", check.id, svg.len());
            assert!(!svg.contains("class=\"u\""), "{}: nothing here is unmeasured", check.id);
        }
    }

    #[test]
    fn every_place_is_marked() {
        let all = [
            Hint::Seat,
            Hint::Opening,
            Hint::Hole,
            Hint::Feet,
            Hint::Date,
            Hint::Post,
            Hint::Stack,
            Hint::Crystal,
            Hint::Ring,
            Hint::Bore,
            Hint::Back,
            Hint::Stem,
            Hint::Gasket,
            Hint::Bezel,
            Hint::Strap,
            Hint::Wrist,
            Hint::Timing,
            Hint::Log,
        ];
        for one in all {
            let svg = thumbnail(one);
            well_formed(&svg);
            assert!(svg.contains("class=\"ra\""), "{one:?}");
        }
    }
}
