//! What the drawings' own tests ask of every drawing.

use crate::draw::svg::Style;
use crate::draw::{
    BackGasket, Bezel, Case, ChapterRing, Clearance, Cone, Crown, Crystal, CrystalGasket, Dial, DialRing,
    DrawnWatch, Foot, Form, Hand, Headline, Indices, Ledge, Movement, MovementRing, Place, Post, Role, Shim,
    SubDial, Window,
};
use crate::fit::verdict::Verdict;
use proptest::prelude::*;

/// Parses the drawing and looks for what must never be in one.
pub(crate) fn well_formed(svg: &str) {
    let document = match roxmltree::Document::parse(svg) {
        Ok(document) => document,
        Err(fault) => panic!("{fault} in {svg}"),
    };
    let mut ids = Vec::new();
    for node in document.descendants().filter(roxmltree::Node::is_element) {
        for attribute in node.attributes() {
            assert_ne!(attribute.name(), "style", "the policy of the pages forbids it");
            assert!(!attribute.name().starts_with("on"));
            if attribute.name() == "id" {
                ids.push(attribute.value());
            }
            if ["d", "x", "y", "cx", "cy", "r", "width", "height", "viewBox"].contains(&attribute.name()) {
                let value = attribute.value();
                assert!(!value.contains("NaN") && !value.contains("inf"), "{value}");
            }
        }
    }
    let count = ids.len();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), count, "ids are unique");
}

/// A text and where it stands: left, top, right, bottom.
type TextBox = (String, (f64, f64, f64, f64));

/// The boxes of all texts of a drawing, computed from the document itself.
fn text_boxes(svg: &str) -> Vec<TextBox> {
    let document = roxmltree::Document::parse(svg).unwrap();
    let mut boxes = Vec::new();
    for node in document.descendants().filter(|n| n.has_tag_name("text")) {
        let number = |name: &str| node.attribute(name).unwrap_or("0").parse::<f64>().unwrap();
        let classes: Vec<&str> = node.attribute("class").unwrap_or("").split(' ').collect();
        let style = if classes.contains(&"big") {
            Style::Overall
        } else if classes.contains(&"b") {
            Style::Figure
        } else if classes.contains(&"q") {
            Style::Name
        } else {
            Style::Plain
        };
        let text = node.text().unwrap_or("").to_owned();
        let (x, y, width) = (number("x"), number("y"), style.width(&text));
        let left = match node.attribute("text-anchor") {
            Some("middle") => -width / 2.0,
            Some("end") => -width,
            _ => 0.0,
        };
        let (up, down) = (style.size() * 0.74, style.size() * 0.2);
        let corners = if node.attribute("transform").is_some_and(|t| t.starts_with("rotate(-90")) {
            (x - up, y + left, x + down, y + left + width)
        } else {
            (x + left, y - up, x + left + width, y + down)
        };
        boxes.push((text, corners));
    }
    boxes
}

/// No text over another, and none outside the drawing.
pub(crate) fn texts_apart(svg: &str) {
    let boxes = text_boxes(svg);
    let document = roxmltree::Document::parse(svg).unwrap();
    let size: Vec<f64> = document
        .root_element()
        .attribute("viewBox")
        .unwrap()
        .split(' ')
        .map(|v| v.parse().unwrap())
        .collect();
    for (i, a) in boxes.iter().enumerate() {
        let (l, t, r, b) = a.1;
        assert!(
            l >= -1.0 && t >= -1.0 && r <= size[2] + 1.0 && b <= size[3] + 1.0,
            "{a:?} outside {size:?} in {svg}"
        );
        for other in &boxes[i + 1..] {
            let (l2, t2, r2, b2) = other.1;
            let (wide, high) = (r.min(r2) - l.max(l2), b.min(b2) - t.max(t2));
            assert!(wide <= 0.5 || high <= 0.5, "{a:?} over {other:?} in {svg}");
        }
    }
}

/// The corners of every path of exactly this class, one list a path.
pub(crate) fn paths(svg: &str, class: &str) -> Vec<Vec<(f64, f64)>> {
    let document = roxmltree::Document::parse(svg).unwrap();
    document
        .descendants()
        .filter(|node| node.has_tag_name("path") && node.attribute("class") == Some(class))
        .map(|node| corners(node.attribute("d").unwrap()))
        .collect()
}

/// The absolute corners of a path of M, h, v, l and z.
fn corners(data: &str) -> Vec<(f64, f64)> {
    let mut out = Vec::new();
    let (mut at, mut start) = ((0.0, 0.0), (0.0, 0.0));
    let commands: Vec<usize> =
        data.char_indices().filter(|(_, c)| c.is_ascii_alphabetic()).map(|(i, _)| i).collect();
    for (n, begin) in commands.iter().enumerate() {
        let end = commands.get(n + 1).copied().unwrap_or(data.len());
        let text = data[begin + 1..end].replace('-', " -");
        let numbers: Vec<f64> = text.split_whitespace().map(|v| v.parse().unwrap()).collect();
        match &data[*begin..=*begin] {
            "M" => {
                at = (numbers[0], numbers[1]);
                start = at;
            }
            "l" => at = (at.0 + numbers[0], at.1 + numbers[1]),
            "h" => at.0 += numbers[0],
            "v" => at.1 += numbers[0],
            "z" => at = start,
            other => panic!("{other} in {data}"),
        }
        out.push(at);
    }
    out
}

/// A watch with a dial turned down, its tube's height not measured.
pub(crate) fn lantern() -> DrawnWatch {
    let clearance = |place, label: &str, figure, verdict| Clearance {
        place,
        label: label.to_owned(),
        figure,
        decimals: 2,
        verdict,
        accepted: false,
        as_came: None,
    };
    let hand = |role, length, tail, top, thickness| Hand {
        length: Some(length),
        tail,
        thickness: Some(thickness),
        top: Some(top),
        ..Hand::new(role)
    };
    let foot =
        |at: f64, radius, cut| Foot { at: Some(at * 30.0), radius: Some(radius), diameter: Some(0.7), cut };
    let post = |role, diameter, top| Post { role, diameter: Some(diameter), top: Some(top) };
    DrawnWatch {
        name: "Lantern".to_owned(),
        headline: Headline {
            lug_to_lug: Some(42.5),
            diameter: Some(35.5),
            lug_width: Some(18.0),
            thickness: Some(10.1),
            without_crystal: Some(9.85),
        },
        case: Some(Case {
            diameter: Some(35.5),
            lug_to_lug: Some(42.5),
            lug_width: Some(18.0),
            dial_seat: Some(27.22),
            rehaut: Some(Cone { bottom: Some(26.6), top: Some(27.6), height: Some(1.1) }),
            shelf: Some(2.1),
            bore: Some(27.3),
            depth: Some(5.55),
            back_to_ledge: Some(6.55),
            rim: Some(3.3),
            tube_end_radius: Some(17.9),
            crystal_seat: Some(30.45),
            ..Case::default()
        }),
        crystal: Some(Crystal {
            diameter: Some(29.6),
            form: Form::Domed,
            thickness: Some(1.25),
            height: Some(1.45),
            inner_rise: Some(0.2),
            inner_aperture: Some(28.2),
            wall: None,
        }),
        crystal_gasket: Some(CrystalGasket { section: Some(0.45), ..CrystalGasket::default() }),
        dial: Some(Dial {
            diameter: Some(27.1),
            diameter_as_came: Some(28.5),
            thickness: Some(0.4),
            centre_hole: Some(2.1),
            track_diameter: Some(27.6),
            indices: Some(Indices { height: Some(0.45), inner_radius: Some(9.2), outer_radius: Some(12.4) }),
            feet: vec![foot(5.417, 12.6, true), foot(11.167, 12.6, true)],
            ..Dial::default()
        }),
        shim: Some(Shim { thickness: Some(0.1) }),
        hands: vec![
            hand(Role::Hour, 8.2, None, 1.25, 0.15),
            hand(Role::Minute, 12.0, None, 1.7, 0.15),
            hand(Role::Seconds, 12.6, Some(3.6), 2.05, 0.12),
        ],
        movement: Some(Movement {
            calibre: "auto-25.6-date".to_owned(),
            casing_diameter: Some(25.6),
            height_below: Some(4.6),
            self_winds: true,
            posts: vec![
                post(Role::Hour, 1.5, 1.25),
                post(Role::Minute, 0.9, 1.7),
                post(Role::Seconds, 0.25, 2.05),
            ],
            pipe_diameter: Some(1.6),
            foot_holes: vec![foot(5.0, 12.1, false), foot(11.0, 12.1, false)],
            stem_below: Some(1.9),
            stem_seat_radius: Some(9.9),
            ..Movement::default()
        }),
        ring: Some(MovementRing {
            inner: Some(25.64),
            outer: Some(27.26),
            height: Some(4.6),
            from_seat: Some(0.4),
            metal: false,
        }),
        crown: Some(Crown { diameter: Some(5.0) }),
        back_gasket: Some(BackGasket { section: Some(0.42), inner: Some(27.64) }),
        clearances: vec![
            clearance(
                Place::HandsApart { upper: Role::Seconds, lower: Role::Minute },
                "seconds over minute",
                Some(0.23),
                Verdict::Tight,
            ),
            clearance(
                Place::HandsApart { upper: Role::Minute, lower: Role::Hour },
                "minute over hour",
                Some(0.30),
                Verdict::Clear,
            ),
            clearance(Place::OverDial(Role::Hour), "hour over dial", Some(0.60), Verdict::Clear),
            clearance(
                Place::UnderCrystal(Role::Seconds),
                "seconds hand under the crystal",
                Some(0.56),
                Verdict::Clear,
            ),
            clearance(
                Place::InRing(Role::Minute),
                "minute hand inside the rehaut",
                Some(1.74),
                Verdict::Clear,
            ),
            clearance(Place::Opening, "dial covers the opening", Some(0.25), Verdict::Clear),
            clearance(Place::Back, "rotor over the back", Some(0.43), Verdict::Clear),
            Clearance {
                as_came: Some((Some(-1.28), Verdict::Fouls)),
                ..clearance(Place::Seat, "dial in its seat", Some(0.12), Verdict::Clear)
            },
        ],
        ..DrawnWatch::default()
    }
}

/// Lengths as they are, absent ones, and whatever a slip of the keyboard makes of them.
fn length(usual: f64) -> BoxedStrategy<Option<f64>> {
    prop_oneof![
        6 => (0.85..1.15f64).prop_map(move |f| Some(usual * f)),
        3 => Just(None),
        1 => any::<f64>().prop_map(Some),
        1 => (-5.0..60.0f64).prop_map(Some),
    ]
    .boxed()
}

fn verdict() -> BoxedStrategy<Verdict> {
    prop::sample::select(vec![Verdict::Clear, Verdict::Tight, Verdict::Fouls, Verdict::Unmeasured]).boxed()
}

fn place() -> BoxedStrategy<Place> {
    let role = || prop::sample::select(vec![Role::Hour, Role::SecondTime, Role::Minute, Role::Seconds]);
    prop_oneof![
        role().prop_map(Place::UnderCrystal),
        (role(), role()).prop_map(|(upper, lower)| Place::HandsApart { upper, lower }),
        role().prop_map(Place::OverDial),
        role().prop_map(Place::OverIndices),
        role().prop_map(Place::InRing),
        (0usize..4).prop_map(Place::Foot),
        prop::sample::select(vec![
            Place::SmallSeconds,
            Place::Seat,
            Place::Opening,
            Place::Track,
            Place::DialHole,
            Place::DateAlong,
            Place::DateAcross,
            Place::RingRoom,
            Place::MovementInCase,
            Place::MovementHeld,
            Place::Back,
            Place::Stem,
            Place::CrystalGasket,
            Place::BackGasket,
        ]),
    ]
    .boxed()
}

fn clearance() -> BoxedStrategy<Clearance> {
    let words = prop::sample::select(vec![
        "seconds over minute",
        "minute hand inside the rehaut, where it is narrowest",
        "x",
        "a <b> & \"c\"",
    ]);
    (place(), words, length(0.2), verdict(), any::<bool>(), prop::option::of((length(-1.0), verdict())))
        .prop_map(|(place, label, figure, verdict, accepted, as_came)| Clearance {
            place,
            label: label.to_owned(),
            figure,
            decimals: 2,
            verdict,
            accepted,
            as_came,
        })
        .boxed()
}

fn foot() -> BoxedStrategy<Foot> {
    (length(150.0), length(12.4), length(0.7), any::<bool>())
        .prop_map(|(at, radius, diameter, cut)| Foot { at, radius, diameter, cut })
        .boxed()
}

fn window() -> BoxedStrategy<Window> {
    (length(90.0), length(10.6), length(2.6), length(1.9))
        .prop_map(|(at, radius, along, across)| Window { at, radius, along, across })
        .boxed()
}

fn hand() -> BoxedStrategy<Hand> {
    let role = prop::sample::select(vec![Role::Hour, Role::SecondTime, Role::Minute, Role::Seconds]);
    (role, prop::array::uniform6(length(1.6)), length(11.0))
        .prop_map(|(role, v, length)| Hand {
            role,
            length,
            tail: v[0],
            thickness: v[1].map(|t| t / 10.0),
            top: v[2],
            pipe: v[3].map(|p| p / 4.0),
            width: v[4],
        })
        .boxed()
}

fn case() -> BoxedStrategy<Case> {
    let ledge = prop_oneof![
        Just(Ledge::Front),
        Just(Ledge::Back),
        any::<f64>().prop_map(Ledge::OverSeat),
        (0.0..1.0f64).prop_map(Ledge::OverSeat)
    ];
    let cone = (length(26.6), length(27.6), length(1.1)).prop_map(|(bottom, top, height)| Cone {
        bottom,
        top,
        height,
    });
    (
        (length(38.0), length(46.0), length(20.0), length(90.0), length(28.6), length(27.6)),
        (ledge, prop::option::of(cone), length(28.4), length(2.1), length(29.0), length(5.6)),
        (length(6.6), length(3.3), length(2.3), length(19.0), length(32.0), length(0.9)),
        prop::collection::vec((any::<f64>(), -5.0..12.0f64), 0..4),
    )
        .prop_map(|(a, b, c, back_profile)| Case {
            diameter: a.0,
            lug_to_lug: a.1,
            lug_width: a.2,
            crown_at: a.3,
            dial_seat: a.4,
            opening: a.5,
            ledge: b.0,
            rehaut: b.1,
            ring_seat: b.2,
            shelf: b.3,
            bore: b.4,
            depth: b.5,
            back_to_ledge: c.0,
            rim: c.1,
            tube_below: c.2,
            tube_end_radius: c.3,
            crystal_seat: c.4,
            back_thickness: c.5,
            back_profile,
        })
        .boxed()
}

fn dial() -> BoxedStrategy<Dial> {
    let indices = (length(0.4), length(9.0), length(12.0))
        .prop_map(|(height, inner_radius, outer_radius)| Indices { height, inner_radius, outer_radius });
    let sub = (length(180.0), length(8.0), length(7.0), length(0.15))
        .prop_map(|(at, radius, diameter, recess)| SubDial { at, radius, diameter, recess });
    (
        (length(28.5), length(29.5), length(0.4), length(2.0), length(26.5)),
        prop::option::of(indices),
        prop::collection::vec((any::<f64>(), 0.0..14.0f64, 0.0..1.0f64), 0..3),
        prop::collection::vec(foot(), 0..4),
        (prop::option::of(window()), prop::option::of(window()), prop::option::of(sub)),
    )
        .prop_map(|(a, indices, raised, feet, (date_window, day_window, small_seconds))| Dial {
            diameter: a.0,
            diameter_as_came: a.1,
            thickness: a.2,
            centre_hole: a.3,
            track_diameter: a.4,
            indices,
            raised,
            feet,
            date_window,
            day_window,
            small_seconds,
        })
        .boxed()
}

fn movement() -> BoxedStrategy<Movement> {
    let role = prop::sample::select(vec![Role::Hour, Role::SecondTime, Role::Minute, Role::Seconds]);
    let post =
        (role, length(0.9), length(1.6)).prop_map(|(role, diameter, top)| Post { role, diameter, top });
    (
        prop::sample::select(vec![
            "",
            "auto-27.4-date",
            "a calibre with a name that nobody would ever give to one",
        ]),
        (length(27.4), length(5.3), length(12.8), length(1.7), length(2.0), length(10.0)),
        prop::option::of((length(29.4), length(2.2))),
        any::<bool>(),
        prop::collection::vec(post, 0..5),
        prop::option::of((any::<f64>(), 0.0..12.0f64)),
        prop::collection::vec(foot(), 0..4),
        (prop::option::of(window()), prop::option::of(window())),
    )
        .prop_map(|(calibre, a, holder, self_winds, posts, seconds_at, foot_holes, (date, day))| Movement {
            calibre: calibre.to_owned(),
            casing_diameter: a.0,
            holder,
            height_below: a.1,
            rotor_radius: a.2,
            self_winds,
            posts,
            pipe_diameter: a.3,
            seconds_at,
            foot_holes,
            stem_below: a.4,
            stem_seat_radius: a.5,
            date,
            day,
        })
        .boxed()
}

/// Any watch at all: parts there or not, dimensions known, unknown or absurd.
pub(crate) fn any_watch() -> BoxedStrategy<DrawnWatch> {
    let form = prop::sample::select(vec![Form::Flat, Form::Domed, Form::Box]);
    let crystal = (form, prop::array::uniform2(length(31.0)), prop::array::uniform4(length(1.4))).prop_map(
        |(form, wide, tall)| Crystal {
            diameter: wide[0],
            form,
            thickness: tall[0],
            height: tall[1],
            inner_rise: tall[2],
            inner_aperture: wide[1],
            wall: tall[3],
        },
    );
    let ring = (length(27.6), length(29.0), length(4.0), length(0.4), any::<bool>()).prop_map(
        |(inner, outer, height, from_seat, metal)| MovementRing { inner, outer, height, from_seat, metal },
    );
    let chapter = (length(27.0), length(27.6), length(2.0), length(28.3))
        .prop_map(|(bottom, top, height, outer)| ChapterRing { cone: Cone { bottom, top, height }, outer });
    let bezel = (length(33.0), length(40.0), prop::option::of((any::<f64>(), 30.0..40.0f64)))
        .prop_map(|(inner, outer, insert)| Bezel { inner, outer, insert });
    let dial_ring = (length(27.2), length(28.5), length(0.4))
        .prop_map(|(inner, outer, thickness)| DialRing { inner, outer, thickness });
    let small = (
        prop::option::of(length(0.45)),
        prop::option::of(length(0.1)),
        prop::option::of(length(5.0)),
        prop::option::of(length(0.5)),
    );
    (
        prop::option::of(case()),
        (prop::option::of(crystal), prop::option::of(ring), prop::option::of(chapter)),
        (prop::option::of(bezel), prop::option::of(dial_ring)),
        prop::option::of(dial()),
        prop::option::of(movement()),
        prop::collection::vec(hand(), 0..5),
        small,
        prop::collection::vec(clearance(), 0..12),
        prop::array::uniform5(length(30.0)),
    )
        .prop_map(
            |(
                case,
                (crystal, ring, chapter_ring),
                (bezel, dial_ring),
                dial,
                movement,
                hands,
                small,
                clearances,
                h,
            )| {
                DrawnWatch {
                    name: "Any <watch>".to_owned(),
                    headline: Headline {
                        lug_to_lug: h[0],
                        diameter: h[1],
                        lug_width: h[2],
                        thickness: h[3],
                        without_crystal: h[4],
                    },
                    case,
                    bezel,
                    crystal,
                    crystal_gasket: small
                        .0
                        .map(|section| CrystalGasket { section, ..CrystalGasket::default() }),
                    chapter_ring,
                    dial,
                    dial_ring,
                    shim: small.1.map(|thickness| Shim { thickness }),
                    hands,
                    movement,
                    ring,
                    crown: small.2.map(|diameter| Crown { diameter }),
                    back_gasket: small.3.map(|section| BackGasket { section, inner: None }),
                    clearances,
                }
            },
        )
        .boxed()
}
