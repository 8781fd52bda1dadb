//! The section through a watch, hands turned into the cut: from 9 to 3 o'clock for a page, the half
//! from the axis for a phone, with magnified details under each.

mod details;
mod labels;
mod levels;
mod parts;
mod unmeasured;

use self::details::{Cutout, Detail, Room};
use self::levels::Levels;
use crate::draw::drafting::size;
use crate::draw::drafting::{Halves, View, overall, upright};
use crate::draw::svg::Style;
use crate::draw::svg::arrow;
use crate::draw::svg::{Anchor, Frame, Path, Sheet, figure};
use crate::draw::watch::{DrawnWatch, Place};

/// The section for a page: both halves, details beside each other. `prefix` goes before its ids.
pub fn section(watch: &DrawnWatch, prefix: &str) -> String {
    Section::new(watch, Halves::Both).draw(prefix)
}

/// The section for a phone, drawn anew at 330 px: the half from the axis, details under each other.
/// Its words are those of the section with that `prefix`, which stands on the same page.
pub fn narrow_section(watch: &DrawnWatch, prefix: &str) -> String {
    Section::new(watch, Halves::Right).draw(prefix)
}

/// What is drawn dashed because nobody measured it, part by part: `case: shelf, rim`.
pub fn unmeasured(watch: &DrawnWatch) -> Vec<String> {
    unmeasured::missing(watch, &Levels::of(watch)).into_iter().map(|missing| missing.text).collect()
}

/// A part of a section, close up.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum CloseUp {
    /// The dial's edge in its seat.
    Seat,
    /// The hands on their posts.
    Stack,
    /// The date in its window, its middle in the view's.
    Window,
    /// All of it, thin parts solid.
    Whole,
}

/// Draws a part of a watch's section as a view shows it.
pub(super) fn close_up(sheet: &mut Sheet, watch: &DrawnWatch, close: CloseUp, view: &View) {
    let levels = Levels::of(watch);
    let detail = Detail { watch, levels: &levels, section: view.scale };
    match close {
        CloseUp::Seat => detail.seat_inside(sheet, view, levels.movement.mm - 2.0),
        CloseUp::Stack => detail.stack_inside(sheet, view, &detail.stack(), 4.0, levels.highest()),
        CloseUp::Window => {
            if let Some(details::DetailC::Window(window, shown)) = detail.detail_c() {
                detail.window_inside(sheet, view, window, shown);
            }
        }
        CloseUp::Whole => parts::watch(sheet, view, watch, &levels, Halves::Both),
    }
}

/// What the section shows, in words.
pub fn section_words(watch: &DrawnWatch) -> String {
    let mut out = String::from("Section through the axis, to scale, hands turned into the cut.");
    for clearance in &watch.clearances {
        let figure =
            clearance.figure.map_or_else(String::new, |v| format!(" {}", figure(v, clearance.decimals)));
        out += &format!(" {}{figure}, {}", capital(&clearance.label), clearance.verdict.word());
        if let Some(came) = clearance.came_words() {
            out += &format!("; {came}");
        }
        out.push('.');
    }
    let missing = unmeasured(watch);
    if !missing.is_empty() {
        out += &format!(" Not measured and drawn dashed: {}.", missing.join("; "));
    }
    out
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}

/// The sheet's measures and the watch on it.
struct Section<'a> {
    watch: &'a DrawnWatch,
    levels: Levels,
    halves: Halves,
    view: View,
    width: f64,
}

const WIDE: f64 = 790.0;
const NARROW: f64 = 330.0;
/// Left of the case stands the overall thickness.
const LEFT: f64 = 62.0;
/// Right of it the crown's label.
const RIGHT: f64 = 106.0;
/// Where the axis stands in the half section.
const AXIS: f64 = 14.0;

impl<'a> Section<'a> {
    fn new(watch: &'a DrawnWatch, halves: Halves) -> Section<'a> {
        let levels = Levels::of(watch);
        let widest = levels.widest();
        let right = if levels.case.is_some() { parts::crown_end(&levels).max(widest) + 0.6 } else { widest };
        let tall = levels.highest() - levels.deepest(watch.movement.is_some());
        let scale = match halves {
            Halves::Both => {
                let room = WIDE - LEFT;
                ((room - 10.0) / (widest + right)).min((room - RIGHT) / (2.0 * widest)).min(17.0)
            }
            Halves::Right => ((NARROW - AXIS - 6.0) / right).min(14.4),
        };
        let scale = scale.min(420.0 / tall.max(1.0)).max(1.0);
        let (width, x0) = match halves {
            Halves::Both => (WIDE, LEFT + widest * scale),
            Halves::Right => (NARROW, AXIS),
        };
        Section { watch, levels, halves, view: View { x0, y0: 0.0, scale }, width }
    }

    fn draw(mut self, prefix: &str) -> String {
        let (above, below) = self.labels();
        // Down to where the labels above leave room.
        let top = above.depth() + 12.0;
        self.view.y0 = top + self.levels.highest() * self.view.scale;
        let view = self.view;
        let mut sheet = Sheet::default();
        parts::watch(&mut sheet, &view, self.watch, &self.levels, self.halves);
        let bottom = view.y(self.levels.deepest(self.watch.movement.is_some()));
        sheet.line("k", view.x0, top - 6.0, view.x0, bottom + 6.0);
        self.movement_name(&mut sheet);
        self.cutouts(&mut sheet);
        self.dimensions(&mut sheet);
        // Labels were placed before the drawing had its place: their points move with it.
        let above = above.moved_down(self.view.y0);
        let below = below.moved_down(self.view.y0);
        above.draw(&mut sheet, top);
        let y = if self.halves == Halves::Both {
            below.draw(&mut sheet, bottom + 6.0);
            self.overall(&mut sheet, bottom + 6.0 + below.depth())
        } else {
            // The diameter first: its extension line would else run through the crown's label.
            let y = self.overall(&mut sheet, bottom);
            below.draw(&mut sheet, y);
            y + below.depth()
        };
        let y = self.list(&mut sheet, y);
        let y = self.missing_list(&mut sheet, y);
        let height = self.details(&mut sheet, y);
        if self.halves == Halves::Right {
            return sheet.described_by_wide(prefix, self.width, height);
        }
        sheet.described(&Frame {
            prefix,
            class: "wide",
            width: self.width,
            height,
            title: &format!("{}, section to scale", self.watch.name),
            description: &section_words(self.watch),
        })
    }

    /// The side of the axis for a thing that stands at the left of the whole section.
    fn left(&self) -> f64 {
        if self.halves == Halves::Both { -1.0 } else { 1.0 }
    }

    fn detail(&self) -> Detail<'_> {
        Detail { watch: self.watch, levels: &self.levels, section: self.view.scale }
    }

    /// Frames of the details in px, with the corner that their letter's leader comes from.
    fn frames(&self) -> Vec<(&'static str, Cutout)> {
        let detail = self.detail();
        let (a, b) = self.frame_widths();
        let mut out = Vec::new();
        if let Some((((left, right), z), _)) = detail.stack_cutout(a) {
            let left = if self.halves == Halves::Both { left } else { 0.0 };
            out.push(("A", ((left, right), z)));
        }
        if let Some((cutout, _)) = detail.seat_cutout(b) {
            out.push(("B", cutout));
        }
        out
    }

    fn cutouts(&self, sheet: &mut Sheet) {
        let view = &self.view;
        let mut frames = Path::default();
        for (_, ((left, right), (low, high))) in self.frames() {
            frames.rect(view.x(left), view.y(high), view.x(right), view.y(low));
        }
        sheet.path("x", &frames);
    }

    /// The dimensions drawn in the section itself.
    fn dimensions(&self, sheet: &mut Sheet) {
        let view = &self.view;
        if let (Some((clearance, r)), Some(crystal)) = (self.under_crystal(), &self.levels.crystal) {
            let Place::UnderCrystal(role) = clearance.place else { return };
            if let Some(hand) = self.levels.hands.iter().find(|hand| hand.role == role) {
                let (a, b) = (view.y(crystal.inner(r.abs())), view.y(hand.top.mm));
                upright(sheet, view.x(r), a, b, clearance.accented());
            }
        }
        if let (Some((clearance, r)), Some(case)) = (self.over_back(), &self.levels.case) {
            let (a, b) = (view.y(self.levels.lowest.mm), view.y(case.inside.mm));
            upright(sheet, view.x(r), a, b, clearance.accented());
        }
    }

    /// The movement's name on its body, where there is room for it.
    fn movement_name(&self, sheet: &mut Sheet) {
        let Some(movement) = &self.watch.movement else { return };
        let view = &self.view;
        let body = if movement.self_winds { 0.72 } else { 0.8 };
        let room = self.levels.movement.mm * view.scale - 24.0;
        let tall = -self.levels.lowest.mm * body * view.scale;
        if room < 60.0 || tall < 24.0 {
            return;
        }
        let (x, mut y) = match self.halves {
            Halves::Both => (view.x(-self.levels.movement.mm / 2.0), view.y0 + tall / 2.0 + 4.0),
            Halves::Right => (view.x(self.levels.movement.mm * 0.42), view.y0 + tall * 0.66 + 4.0),
        };
        let words = format!("movement {}", movement.calibre);
        let words = if self.halves == Halves::Both { words.trim() } else { "movement" };
        let below = size(movement.height_below)
            .filter(|_| self.halves == Halves::Both && tall >= 42.0)
            .map(|below| format!("not cut, {} below its dial seat", figure(below, 2)));
        if below.is_some() {
            y -= 8.0;
        }
        sheet.text("q", x, y, Anchor::Middle, &Style::Name.fitted(words, room));
        if let Some(below) = below {
            sheet.text("q", x, y + 15.0, Anchor::Middle, &Style::Name.fitted(&below, room));
        }
    }

    /// Overall dimensions under and beside the case; the y below them.
    fn overall(&self, sheet: &mut Sheet, below: f64) -> f64 {
        let view = &self.view;
        let Some(case) = &self.levels.case else { return below + 6.0 };
        let flank = view.y(f64::midpoint(case.rim.mm, case.inside.mm) - 0.6);
        let y = below + 18.0;
        let mut y_below = below;
        // A case too small for its own figure is a slip of the pen.
        if case.outer.known && case.outer.mm * view.scale > 60.0 {
            let across = figure(case.outer.mm * 2.0, 1);
            let right = view.x(case.outer.mm);
            let mut lines = Path::default();
            lines.to(right, flank).line(right, y + 5.0);
            if self.halves == Halves::Both {
                let left = view.x(-case.outer.mm);
                lines.to(left, flank).line(left, y + 5.0);
                sheet.path("x", &lines);
                overall(sheet, y, left, right, &across);
            } else {
                let text = format!("\u{d8} {across}");
                let room = Style::Overall.width(&text) / 2.0 + 8.0;
                let middle = f64::midpoint(view.x0, right);
                lines.to(view.x0, y).line(middle - room, y).to(middle + room, y).line(right, y);
                sheet.path("x", &lines);
                let mut head = Path::default();
                arrow(&mut head, (right, y), (1.0, 0.0));
                sheet.path("r", &head);
                sheet.text("big", middle, y + 5.5, Anchor::Middle, &text);
            }
            y_below = y + 12.0;
        }
        if self.halves == Halves::Both && case.outer.mm >= self.levels.widest() - 1e-6 {
            let top = self
                .levels
                .crystal
                .as_ref()
                .map_or(case.rim.mm, |c| case.rim.mm.max(c.foot.mm + c.height.mm));
            let sure = case.outside.known
                && case.rim.known
                && self.levels.crystal.as_ref().is_none_or(levels::CrystalCut::known);
            if let Some(thick) = size(self.watch.headline.thickness).filter(|_| sure) {
                let x = view.x(-case.outer.mm) - 28.0;
                let (a, b) = (view.y(top), view.y(case.outside.mm));
                let mut lines = Path::default();
                let highest = if top > case.rim.mm { -1.0 } else { -case.outer.mm * 0.9 };
                lines.to(view.x(highest), a).line(x - 5.0, a);
                lines.to(view.x(-case.outer.mm * 0.87), b).line(x - 5.0, b);
                sheet.path("x", &lines);
                upright(sheet, x, a, b, false);
                sheet.text_up("big", x - 6.0, f64::midpoint(a, b), &figure(thick, 1));
            }
        }
        y_below
    }

    /// The widths of the frames of A and B.
    fn frame_widths(&self) -> (f64, f64) {
        match self.halves {
            Halves::Both if self.detail().detail_c().is_some() => (216.0, 164.0),
            Halves::Both => (344.0, 170.0),
            Halves::Right => (188.0, 160.0),
        }
    }

    /// The details and the scale; the drawing's height.
    fn details(&self, sheet: &mut Sheet, y: f64) -> f64 {
        let detail = self.detail();
        let (a, b) = self.frame_widths();
        let mut bottom = y;
        if self.halves == Halves::Right {
            let mut y = y + 26.0;
            let room = |y: f64, frame: f64| Room { x: 2.0, y, frame, right: Some(NARROW - 2.0) };
            if let Some(end) = detail.draw_stack(sheet, room(y, a)) {
                y = end + 30.0;
            }
            if let Some(end) = detail.draw_detail_c(sheet, room(y, 150.0)) {
                y = end + 30.0;
            }
            if let Some(end) = detail.draw_seat(sheet, room(y, b)) {
                y = end + 22.0;
            }
            self.scale(sheet, (2.0, y - 8.0), " of the section");
            return y;
        }
        let y = y + 34.0;
        let has_c = detail.detail_c().is_some();
        let mut x = 24.0;
        let mut columns = Vec::new();
        if let Some(end) = detail.draw_stack(sheet, Room { x, y, frame: a, right: Some(x + a + 182.0) }) {
            x += a + 196.0;
            columns.push(end);
        }
        if has_c && let Some(end) = detail.draw_detail_c(sheet, Room { x, y, frame: 152.0, right: None }) {
            x += 170.0;
            columns.push(end);
        }
        // B stands at the right edge, as it does in the case.
        let seat = if columns.is_empty() { x } else { (WIDE - b - 6.0).max(x) };
        let mut last = y - 22.0;
        if let Some(end) = detail.draw_seat(sheet, Room { x: seat, y, frame: b, right: None }) {
            last = end;
            columns.push(end);
        } else if columns.is_empty() {
            last = y - 34.0;
        }
        self.scale(sheet, (seat, last + 16.0), "");
        bottom = columns.into_iter().fold(bottom.max(last + 24.0), f64::max);
        bottom + 4.0
    }

    /// Five millimetres at the section's scale.
    fn scale(&self, sheet: &mut Sheet, (x, y): (f64, f64), of: &str) {
        let unit = self.view.scale;
        let mut bar = Path::default();
        bar.to(x, y - 6.0).line(x, y).line(x + 5.0 * unit, y).line(x + 5.0 * unit, y - 6.0);
        for i in 1..5_u8 {
            let at = x + f64::from(i) * unit;
            bar.to(at, y - 3.0).line(at, y);
        }
        sheet.path("n", &bar);
        sheet.text("q", x + 5.0 * unit + 7.0, y + 1.0, Anchor::Start, &format!("5 mm{of}"));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::testing::lantern;
    use crate::draw::testing::{any_watch, paths, texts_apart, well_formed};
    use crate::draw::watch::Role;
    use proptest::prelude::*;

    #[test]
    fn the_section_is_to_scale() {
        let watch = lantern();
        let svg = section(&watch, "s");
        let scale = Section::new(&watch, Halves::Both).view.scale;
        // The dial's right half is the ring from its hole (2.10 / 2) to its edge (27.10 / 2).
        let wide = (27.10 - 2.10) / 2.0 * scale;
        let solid: Vec<f64> = paths(&svg, "s").iter().map(|points| extent(points).0).collect();
        let both = 27.10 * scale;
        assert!(
            solid.iter().any(|w| (w - both).abs() < 0.2 || (w - wide).abs() < 0.2),
            "{both} or {wide} in {solid:?}"
        );
        // The case is 35.5 across.
        let cut: Vec<f64> = paths(&svg, "o h1").iter().map(|points| extent(points).0).collect();
        assert!(cut.iter().any(|w| (w - 35.5 * scale).abs() < 0.2), "{cut:?}");
    }

    #[test]
    fn a_gap_between_hands_is_drawn_as_wide_as_its_finding_says() {
        let watch = lantern();
        let levels = Levels::of(&watch);
        let hand = |role| levels.hands.iter().find(|h| h.role == role).copied();
        let (upper, lower) = (hand(Role::Seconds).unwrap(), hand(Role::Minute).unwrap());
        assert!((upper.under.mm - lower.top.mm - 0.23).abs() < 1e-9);
        let crystal = levels.crystal.unwrap();
        assert!((crystal.inner(0.0) - upper.top.mm - 0.75).abs() < 1e-9);
    }

    #[test]
    fn a_phone_gets_the_half_from_the_axis_at_a_width_of_its_own() {
        let svg = narrow_section(&lantern(), "n");
        assert!(svg.contains("viewBox=\"0 0 330 "));
        assert!(svg.contains(">\u{d8} 35.5<"));
    }

    #[test]
    fn only_what_was_not_measured_is_dashed() {
        let mut watch = lantern();
        assert!(section(&watch, "s").contains("class=\"u\""), "the tube's height is not known");
        watch.case.as_mut().unwrap().tube_below = Some(2.4);
        assert!(!section(&watch, "s").contains("class=\"u\""));
    }

    #[test]
    fn the_figures_are_told_in_words() {
        let words = section_words(&lantern());
        assert!(words.contains("Seconds over minute 0.23, tight."), "{words}");
        assert!(words.contains("came as \u{2212}1.28, fouls"), "{words}");
        assert!(words.contains("crown: height of the tube"), "{words}");
    }

    #[test]
    fn a_section_stays_as_it_is() {
        let lines = section(&lantern(), "s").replace("><", ">\n<");
        expect_test::expect_file!["snapshots/lantern.svg"].assert_eq(&lines);
    }

    #[test]
    fn a_section_is_light() {
        let watch = lantern();
        let (wide, narrow) = (section(&watch, "s").len(), narrow_section(&watch, "n").len());
        assert!(wide < 11_000 && narrow < 9_500, "{wide} {narrow}");
    }

    fn extent(points: &[(f64, f64)]) -> (f64, f64) {
        let span = |of: fn(&(f64, f64)) -> f64| {
            let values = points.iter().map(of);
            values.clone().fold(f64::MIN, f64::max) - values.fold(f64::MAX, f64::min)
        };
        (span(|p| p.0), span(|p| p.1))
    }

    proptest! {
        #[test]
        fn any_watch_is_drawn_and_its_labels_stand_apart(watch in any_watch()) {
            for svg in [section(&watch, "s"), narrow_section(&watch, "n")] {
                well_formed(&svg);
                texts_apart(&svg);
            }
        }
    }
}
