//! The case from the front: lugs, crown, bezel and crystal, the edge of the dial.

use super::layout::Plan;
use crate::draw::drafting::{Coordinate, crown_outline, lug_outlines, size, spring_bars};
use crate::draw::svg::{Path, Sheet};

impl Plan<'_> {
    /// Case, rings and dial.
    pub(super) fn watch(&self, sheet: &mut Sheet) {
        if let Some(case) = self.case {
            self.lugs(sheet, case);
            self.crown(sheet, case);
            self.circle(sheet, "pp", case.mm);
            self.ring(sheet, "o", case);
        }
        self.rings(sheet);
        self.dial_face(sheet);
    }

    pub(super) fn lugs(&self, sheet: &mut Sheet, case: Coordinate) {
        let Some(measures) = &self.watch.case else { return };
        let gap = Coordinate::radius(measures.lug_width, case.mm * 0.52);
        let end = Coordinate::radius(measures.lug_to_lug, case.mm * 1.2);
        let mut lugs = Path::default();
        for lug in lug_outlines(case.mm, gap.mm, end.mm) {
            lugs.polyline(&lug.map(|point| self.to(point)));
        }
        sheet.path(if gap.known && end.known { "o" } else { "u" }, &lugs);
        let mut bars = Path::default();
        for bar in spring_bars(case.mm, gap.mm, end.mm) {
            bars.polyline(&bar.map(|point| self.to(point)));
        }
        sheet.path("n", &bars);
    }

    pub(super) fn crown(&self, sheet: &mut Sheet, case: Coordinate) {
        let Some(crown) = self.watch.crown else { return };
        let r = Coordinate::radius(crown.diameter, 2.4);
        let corners = crown_outline(case.mm, r.mm, self.crown_at.mm).map(|point| self.to(point));
        sheet.path(if r.known && case.known { "o" } else { "u" }, Path::default().polyline(&corners));
    }

    /// From the bezel inwards: bezel, crystal, dial as it came, dial, opening.
    pub(super) fn rings(&self, sheet: &mut Sheet) {
        let watch = self.watch;
        if let Some(bezel) = watch.bezel {
            for d in [bezel.outer, bezel.inner, bezel.insert.map(|i| i.0), bezel.insert.map(|i| i.1)] {
                if let Some(d) = size(d) {
                    self.circle(sheet, "n", d / 2.0);
                }
            }
        }
        if let Some(crystal) = watch.crystal {
            self.ring(sheet, "n", Coordinate::radius(crystal.diameter, self.dial.mm + 0.9));
        }
        let Some(dial) = &watch.dial else { return };
        if let Some(came) = size(dial.diameter_as_came).filter(|d| (d / 2.0 - self.dial.mm).abs() > 0.005) {
            self.circle(sheet, "p", came / 2.0);
        }
        self.ring(sheet, "n", self.dial);
        if let Some(ring) = watch.dial_ring {
            self.ring(sheet, "n", Coordinate::radius(ring.outer, self.dial.mm + 0.5));
        }
        if watch.case.is_some() || watch.chapter_ring.is_some() {
            self.ring(sheet, "o", self.opening());
        }
        if let Some(track) = size(dial.track_diameter) {
            self.minute_track(sheet, track / 2.0);
        }
    }
}
