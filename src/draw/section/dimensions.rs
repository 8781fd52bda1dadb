//! Dimensions and names inside the section, and the overall dimensions around it.

use super::layout::Section;
use super::levels;
use crate::draw::drafting::{Halves, arrow, overall, size, upright};
use crate::draw::svg::{Anchor, Path, Sheet, Style, figure};
use crate::draw::watch::Place;

impl Section<'_> {
    pub(super) fn cutouts(&self, sheet: &mut Sheet) {
        let view = &self.view;
        let mut frames = Path::default();
        for (_, ((left, right), (low, high))) in self.frames() {
            frames.rect(view.x(left), view.y(high), view.x(right), view.y(low));
        }
        sheet.path("x", &frames);
    }

    /// The dimensions drawn in the section itself.
    pub(super) fn dimensions(&self, sheet: &mut Sheet) {
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
    pub(super) fn movement_name(&self, sheet: &mut Sheet) {
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
            .map(|below| format!("not cut, {} below its plate", figure(below, 2)));
        if below.is_some() {
            y -= 8.0;
        }
        sheet.text("q", x, y, Anchor::Middle, &Style::Name.fitted(words, room));
        if let Some(below) = below {
            sheet.text("q", x, y + 15.0, Anchor::Middle, &Style::Name.fitted(&below, room));
        }
    }

    /// Overall dimensions under and beside the case; the y below them.
    pub(super) fn overall(&self, sheet: &mut Sheet, below: f64) -> f64 {
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

    /// Five millimetres at the section's scale.
    pub(super) fn scale(&self, sheet: &mut Sheet, (x, y): (f64, f64), of: &str) {
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
