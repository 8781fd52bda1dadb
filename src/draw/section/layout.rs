//! Where the section is on its sheet, at what scale, and which parts of it are magnified.

use super::details::{Cutout, Detail};
use super::levels::Levels;
use super::parts;
use crate::draw::drafting::{Halves, View};
use crate::draw::watch::{Clearance, DrawnWatch, Place, Role};

/// The sheet's measures and the watch on it.
pub(super) struct Section<'a> {
    pub(super) watch: &'a DrawnWatch,
    pub(super) levels: Levels,
    pub(super) halves: Halves,
    pub(super) view: View,
    pub(super) width: f64,
}

pub(super) const WIDE: f64 = 790.0;
pub(super) const NARROW: f64 = 330.0;

/// Left of the case stands the overall thickness.
const LEFT: f64 = 62.0;

/// Right of it the crown's label.
pub(super) const RIGHT: f64 = 106.0;

/// Where the axis stands in the half section.
const AXIS: f64 = 14.0;

impl<'a> Section<'a> {
    pub(super) fn new(watch: &'a DrawnWatch, halves: Halves) -> Section<'a> {
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

    /// The side of the axis for a thing that stands at the left of the whole section.
    pub(super) fn left(&self) -> f64 {
        if self.halves == Halves::Both { -1.0 } else { 1.0 }
    }

    pub(super) fn detail(&self) -> Detail<'_> {
        Detail { watch: self.watch, levels: &self.levels, section: self.view.scale }
    }

    /// Frames of the details in px, with the corner that their letter's leader comes from.
    pub(super) fn frames(&self) -> Vec<(&'static str, Cutout)> {
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

    /// The widths of the frames of A and B.
    pub(super) fn frame_widths(&self) -> (f64, f64) {
        match self.halves {
            Halves::Both if self.detail().detail_c().is_some() => (216.0, 164.0),
            Halves::Both => (344.0, 170.0),
            Halves::Right => (188.0, 160.0),
        }
    }

    pub(super) fn clearance(&self, place: Place) -> Option<&Clearance> {
        self.watch.clearances.iter().find(|c| c.place == place)
    }

    /// The hand that comes nearest to trouble under the crystal, and its tip in the drawing.
    pub(super) fn under_crystal(&self) -> Option<(&'a Clearance, f64)> {
        self.levels.crystal.as_ref()?;
        let watch: &'a DrawnWatch = self.watch;
        let mut best: Option<(&'a Clearance, f64)> = None;
        for clearance in &watch.clearances {
            let Place::UnderCrystal(role) = clearance.place else { continue };
            let Some(hand) = self.levels.hands.iter().find(|hand| hand.role == role) else { continue };
            let key = |c: &Clearance| (c.verdict, -c.figure.unwrap_or(0.0));
            let side = if matches!(role, Role::Hour | Role::SecondTime) { self.left() } else { 1.0 };
            let r = (hand.length.mm - 0.3).max(0.5) * side;
            if best.is_none_or(|(other, _)| {
                key(clearance).partial_cmp(&key(other)).is_some_and(std::cmp::Ordering::is_gt)
            }) {
                best = Some((clearance, r));
            }
        }
        best
    }

    /// The clearance at the back, and where it is dimensioned.
    pub(super) fn over_back(&self) -> Option<(&'a Clearance, f64)> {
        self.levels.case.as_ref()?;
        self.watch.movement.as_ref()?;
        let watch: &'a DrawnWatch = self.watch;
        let clearance = watch.clearances.iter().find(|c| c.place == Place::Back)?;
        let r = match self.halves {
            Halves::Both => -self.levels.movement.mm * 0.66,
            Halves::Right => self.levels.movement.mm * 0.16,
        };
        Some((clearance, r))
    }
}
