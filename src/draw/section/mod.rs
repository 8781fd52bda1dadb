//! The section through a watch, hands rotated into the section: from 9 to 3 o'clock for a page, the half
//! from the axis for a phone, with magnified details under each.

mod details;
mod dimensions;
mod labels;
mod layout;
mod levels;
mod parts;
mod unmeasured;

use self::details::{Detail, DetailC, Room};
use self::layout::{NARROW, Section, WIDE};
use self::levels::Levels;
use crate::draw::drafting::{Halves, View};
use crate::draw::svg::{Frame, Sheet, figure};
use crate::draw::watch::DrawnWatch;

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
            if let Some(DetailC::Window(window, shown)) = detail.detail_c() {
                detail.window_inside(sheet, view, window, shown);
            }
        }
        CloseUp::Whole => parts::watch(sheet, view, watch, &levels, Halves::Both),
    }
}

/// What the section shows, in words.
pub fn section_words(watch: &DrawnWatch) -> String {
    let mut out = String::from("Section through the axis, to scale, hands rotated into the section.");
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

impl Section<'_> {
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
