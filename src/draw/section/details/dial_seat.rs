//! Detail B: the dial's edge in its seat, with the dial as it came.

use super::detail::{BELOW_TITLE, Cutout, Detail, MAGNIFIED, Room, title};
use crate::draw::drafting::Label;
use crate::draw::drafting::{Coordinate, size};
use crate::draw::drafting::{Halves, Ink, View, level};
use crate::draw::section::levels::CaseCut;
use crate::draw::section::parts;
use crate::draw::svg::{Path, Sheet, figure};
use crate::draw::watch::{Clearance, Place};

impl Detail<'_> {
    /// What detail B shows of the section.
    pub(in crate::draw::section) fn seat_cutout(&self, frame: f64) -> Option<(Cutout, f64)> {
        let case = self.levels.case.as_ref()?;
        self.watch.dial.as_ref()?;
        let scale = self.section * MAGNIFIED;
        let wide = frame / scale;
        let came = self.came().unwrap_or(0.0);
        let middle =
            f64::midpoint(case.seat.mm, self.levels.dial.mm.max(came).min(case.seat.mm + wide * 0.3));
        // With the movement's edge where that is near.
        let movement = self.levels.movement.mm - 0.25;
        let left = middle - wide * 0.55;
        let left = if left - wide * 0.2 < movement { left.min(movement) } else { left };
        let r = (left, left + wide);
        let face = self.levels.face.mm;
        Some(((r, (face - 1.25, face + 0.65)), scale))
    }

    /// The dial's radius as it came, where that was another.
    fn came(&self) -> Option<f64> {
        let came = size(self.watch.dial.as_ref()?.diameter_as_came)? / 2.0;
        ((came - self.levels.dial.mm).abs() > 0.005).then_some(came)
    }

    /// Detail B; the y below it, `None` without case or dial.
    pub(in crate::draw::section) fn draw_seat(&self, sheet: &mut Sheet, room: Room) -> Option<f64> {
        let levels = self.levels;
        let ((r, z), scale) = self.seat_cutout(room.frame)?;
        let case = levels.case.as_ref()?;
        title(sheet, room, "B", "the dial in its seat");
        let top = room.y + BELOW_TITLE;
        let height = (z.1 - z.0) * scale;
        let view = View { x0: -r.0 * scale, y0: z.1 * scale, scale };
        let mut cut = Sheet::default();
        self.seat_inside(&mut cut, &view, r.0);
        sheet.window((room.x, top), (room.frame, height), &cut);

        // The gap, dimensioned under the frame.
        let (a, b) = self.seat_gap(case);
        let accented = self.clearance(Place::Seat).is_some_and(Clearance::accented);
        let x = |mm: f64| (room.x + view.x(mm)).clamp(room.x, room.x + room.frame);
        let bottom = top + height;
        if levels.dial.known && case.seat.known {
            let mut lines = Path::default();
            lines.to(x(a), top + view.y(levels.under.mm)).line(x(a), bottom + 15.0);
            lines.to(x(b), top + view.y(levels.under.mm)).line(x(b), bottom + 15.0);
            sheet.path("x", &lines);
            level(sheet, bottom + 10.0, x(a), x(b), accented);
        }
        Some(self.seat_labels(sheet, room, (top, bottom)))
    }

    /// The parts around the dial's edge, from a radius outwards.
    pub(in crate::draw::section) fn seat_inside(&self, cut: &mut Sheet, view: &View, from: f64) {
        let (watch, levels) = (self.watch, self.levels);
        let Some(case) = &levels.case else { return };
        let left = (from - 2.0).max(0.0);
        if watch.movement.is_some() {
            view.rect(cut, "n mf", (left, levels.movement.mm.max(left)), (-3.0, 0.0));
        }
        view.ring(cut, Ink::METAL, &parts::case_outline(watch, levels, case), Halves::Right);
        if let Some(ring) = watch.ring {
            view.ring(cut, Ink::PLASTIC, &parts::movement_ring_outline(&ring, levels), Halves::Right);
        }
        let (a, b) = self.seat_gap(case);
        if a < b {
            view.rect(cut, "w", (a, b), (levels.under.mm, levels.face.mm));
        }
        if let Some(ring) = watch.dial_ring {
            view.ring(cut, Ink::PLASTIC, &parts::dial_ring_outline(&ring, levels), Halves::Right);
        }
        if let Some(ring) = watch.chapter_ring {
            view.ring(cut, Ink::NEIGHBOUR, &parts::chapter_ring_outline(&ring, levels), Halves::Right);
        }
        let inner = Coordinate::known(left);
        let (under, face, edge) = (levels.under, levels.face, levels.dial);
        view.ring(
            cut,
            Ink::NEIGHBOUR,
            &[(inner, under), (edge, under), (edge, face), (inner, face)],
            Halves::Right,
        );
        if let Some(came) = self.came() {
            view.rect(cut, "p", (left, came), (under.mm, face.mm));
        }
        if watch.shim.is_some() {
            view.rect(cut, "s", (left, (levels.movement.mm - 0.1).max(left)), (0.0, under.mm));
        }
    }

    /// The radii of the gap to what lies around the dial: its ring, else the seat.
    fn seat_gap(&self, case: &CaseCut) -> (f64, f64) {
        let ring = self.watch.dial_ring.and_then(|ring| size(ring.inner)).map(|d| d / 2.0);
        (self.levels.dial.mm, ring.unwrap_or(case.seat.mm))
    }

    fn seat_labels(&self, sheet: &mut Sheet, room: Room, (top, bottom): (f64, f64)) -> f64 {
        let (x, mut y, width) = match room.right {
            Some(right) => {
                let x = room.x + room.frame + 14.0;
                (x, top - 2.0, right - x)
            }
            None => (room.x, bottom + 22.0, room.frame),
        };
        let mut labels: Vec<Label> = Vec::new();
        // Two of them where a ring fills the seat.
        let seats = self.watch.clearances.iter().filter(|c| c.place == Place::Seat);
        labels.extend(seats.take(2).map(|seat| Label::of(seat, width)));
        if labels.is_empty()
            && !(self.levels.dial.known && self.levels.case.as_ref().is_some_and(|case| case.seat.known))
        {
            labels.push(Label::unmeasured("dial in its seat", width));
        }
        for place in [Place::Opening, Place::Track] {
            if let Some(clearance) = self.clearance(place).filter(|c| c.accented() || c.accepted) {
                labels.push(Label::of(clearance, width));
            }
        }
        let mut made = Vec::new();
        if let Some(shim) = self.watch.shim.and_then(|shim| size(shim.thickness)) {
            made.push(format!("shim {} under", figure(shim, 2)));
        }
        if let Some(dial) = self.watch.dial.as_ref().and_then(|dial| size(dial.thickness)) {
            made.push(format!("dial {} thick", figure(dial, 2)));
        }
        if !made.is_empty() {
            labels.push(Label::name(&made.join(" "), width));
        }
        for label in labels {
            label.draw(sheet, x, y);
            y += label.height() + 5.0;
        }
        y.max(bottom + 16.0)
    }
}
