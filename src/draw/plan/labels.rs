//! Labels beside the plan or numbers around it, and its frame.

use std::f64::consts::PI;

use super::layout::Plan;
use super::notes::Note;
use crate::draw::drafting::{Label, overall, size, spread};
use crate::draw::svg::{Anchor, Path, Sheet, figure};

impl Plan<'_> {
    /// Labels in two columns, each at the height of its place, moved apart; the y below them.
    pub(super) fn labels(&self, sheet: &mut Sheet, notes: &[Note]) -> f64 {
        let reach = (self.case.map_or(self.dial.mm, |case| case.mm) + 3.2) * self.scale;
        let room = (self.width / 2.0 - reach - 8.0).max(110.0);
        let (mut lines, mut accented) = (Path::default(), Path::default());
        let mut below: f64 = self.half * 2.0;
        for right in [false, true] {
            let mut column: Vec<&Note> = notes.iter().filter(|n| (n.at.0 < 180.0) == right).collect();
            column.sort_by(|a, b| self.at(a.at.0, a.at.1).1.total_cmp(&self.at(b.at.0, b.at.1).1));
            let labels: Vec<Label> = column.iter().map(|note| note.label(room)).collect();
            let heights: Vec<f64> = labels.iter().map(Label::height).collect();
            let wanted: Vec<f64> = column
                .iter()
                .map(|note| {
                    // Further out than it is, so that leaders fan.
                    let (_, y) = self.at(note.at.0, note.at.1);
                    self.middle.1 + (y - self.middle.1) * 1.25
                })
                .collect();
            let places = spread(&wanted, &heights, 8.0, 4.0);
            for ((note, label), middle) in column.iter().zip(&labels).zip(&places) {
                let top = middle - label.height() / 2.0;
                let (px, py) = self.at(note.at.0, note.at.1);
                let (x, from) = if right {
                    (self.width - room, self.width - room - 6.0)
                } else {
                    (room - label.width(), room + 6.0)
                };
                label.draw(sheet, x.max(0.0), top);
                let line = if note.accented { &mut accented } else { &mut lines };
                line.to(from, top + 6.5).line(px, py);
                sheet.circle(if note.accented { "ra" } else { "r" }, px, py, 1.8);
                below = below.max(top + label.height());
            }
        }
        sheet.path("x", &lines);
        sheet.path("xa", &accented);
        below
    }

    /// Numbers in circles around the watch; the y below them.
    pub(super) fn numbers(&self, sheet: &mut Sheet, notes: &[Note]) -> f64 {
        const R: f64 = 9.0;
        let mut spots: Vec<(f64, f64)> = Vec::new();
        if let (Some(_), Some(case)) = (self.watch.crown, self.case) {
            spots.push(self.at(self.crown_at.mm, case.mm + 1.4));
        }
        let (mut lines, mut accented) = (Path::default(), Path::default());
        let mut below: f64 = self.half * 2.0;
        let reach = (self.case.map_or(self.dial.mm, |case| case.mm) + 0.6) * self.scale + R + 4.0;
        for (i, note) in notes.iter().enumerate() {
            let (px, py) = self.at(note.at.0, note.at.1);
            // At its own angle outside of the case, then turning away from those that stand there.
            let free = |(x, y): &(f64, f64)| {
                let inside = R < *x && *x < self.width - R && R < *y;
                inside
                    && spots.iter().all(|(a, b)| (a - x).powi(2) + (b - y).powi(2) > (2.0 * R + 3.0).powi(2))
            };
            let candidates = (0..60_u8).flat_map(|step| {
                let turn = f64::from(step) * 6.0;
                [turn, -turn].map(|turn| {
                    let angle = (note.at.0 + turn) / 180.0 * PI;
                    let beyond = if note.at.1 * self.scale > reach - R { R * 2.0 + 12.0 } else { 0.0 };
                    let r = reach + beyond;
                    (self.middle.0 + r * libm::sin(angle), self.middle.1 - r * libm::cos(angle))
                })
            });
            let spot = candidates.into_iter().find(free).unwrap_or_else(|| {
                #[expect(clippy::cast_precision_loss, reason = "a dozen notes")]
                let column = spots.len() as f64;
                (R + 1.0 + (column % 14.0) * 22.0, below + R + 4.0 + (column / 14.0).floor() * 22.0)
            });
            spots.push(spot);
            below = below.max(spot.1 + R);
            let (dx, dy) = (px - spot.0, py - spot.1);
            let away = libm::sqrt(dx * dx + dy * dy).max(1.0);
            let line = if note.accented { &mut accented } else { &mut lines };
            line.to(spot.0 + dx / away * R, spot.1 + dy / away * R).line(px, py);
            let dot = if note.accented { "ra" } else { "r" };
            sheet.circle(dot, px, py, 1.8);
            sheet.circle(if note.accented { "xa pp" } else { "n pp" }, spot.0, spot.1, R);
            let class = if note.accented { "b a" } else { "b" };
            sheet.text(class, spot.0, spot.1 + 4.7, Anchor::Middle, &(i + 1).to_string());
        }
        sheet.path("x", &lines);
        sheet.path("xa", &accented);
        below
    }

    /// The width between the lugs above, the scale below; the drawing's height.
    pub(super) fn frame(&self, sheet: &mut Sheet, below: f64) -> f64 {
        let (x, y) = self.middle;
        let lug = self.watch.case.as_ref().and_then(|c| size(c.lug_width));
        let end = self.watch.case.as_ref().and_then(|c| size(c.lug_to_lug)).map(|d| d / 2.0);
        if let (false, Some(lug), Some(end), Some(case)) = (self.narrow, lug, end, self.case)
            && lug * self.scale > 60.0
            && end > case.mm
            && lug < case.mm * 1.9
        {
            let half = lug / 2.0 * self.scale;
            let top = y - end * self.scale;
            let mut lines = Path::default();
            lines.to(x - half, top - 4.0).line(x - half, top - 24.0);
            lines.to(x + half, top - 4.0).line(x + half, top - 24.0);
            sheet.path("x", &lines);
            overall(sheet, top - 20.0, x - half, x + half, &figure(lug, 1));
        }
        let y = below + 20.0;
        let wide = 5.0 * self.scale;
        let right = self.width - 8.0;
        let mut bar = Path::default();
        bar.to(right - wide, y - 6.0).line(right - wide, y).line(right, y).line(right, y - 6.0);
        sheet.path("n", &bar);
        sheet.text("q", right - wide - 6.0, y + 1.0, Anchor::End, "5 mm");
        y + 8.0
    }
}
