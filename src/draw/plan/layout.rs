//! Where the watch is on the sheet of the plan, at what scale, with what radii.

use std::f64::consts::PI;

use crate::draw::drafting::{Coordinate, case_radius, size};
use crate::draw::svg::Sheet;
use crate::draw::watch::{Clearance, DrawnWatch, Foot, Place};

/// The watch from the front.
pub(super) struct Plan<'a> {
    pub(super) watch: &'a DrawnWatch,
    pub(super) narrow: bool,
    pub(super) width: f64,
    pub(super) scale: f64,
    /// The axis.
    pub(super) middle: (f64, f64),
    /// Half of the height that the watch takes, px.
    pub(super) half: f64,
    pub(super) dial: Coordinate,
    pub(super) case: Option<Coordinate>,
    pub(super) crown_at: Coordinate,
}

impl<'a> Plan<'a> {
    pub(super) fn new(watch: &'a DrawnWatch, narrow: bool) -> Plan<'a> {
        let case = watch.case.as_ref();
        let seat = case.and_then(|c| size(c.dial_seat)).map(|d| d / 2.0 - 0.06);
        let movement = watch.movement.as_ref().and_then(|m| size(m.casing_diameter)).map(|d| d / 2.0 + 0.8);
        let dial = Coordinate::radius(
            watch.dial.as_ref().and_then(|d| d.diameter),
            seat.or(movement).unwrap_or(14.0),
        );
        let outer = case.map(|case| case_radius(dial.mm, case.diameter));
        let crown_at = match case.and_then(|c| c.crown_at).filter(|v| v.is_finite()) {
            Some(at) => Coordinate::known(at.rem_euclid(360.0)),
            None => Coordinate::known(90.0),
        };
        let hands = watch.hands.iter().filter_map(|hand| size(hand.length)).fold(0.0, f64::max);
        let came = watch.dial.as_ref().and_then(|d| size(d.diameter_as_came)).map_or(0.0, |d| d / 2.0);
        let across = outer.map_or(0.0, |r| r.mm).max(dial.mm).max(hands).max(came).max(4.0);
        let lugs = case.and_then(|c| size(c.lug_to_lug)).map_or(across + 1.0, |d| (d / 2.0).max(across));
        let (width, most, beside) = if narrow { (330.0, 6.6, 44.0) } else { (672.0, 9.4, 292.0) };
        // Room for the crown at whatever side it stands.
        let scale = ((width - beside) / 2.0 / (across + 3.2)).min(230.0 / lugs).clamp(0.8, most);
        let half = lugs * scale + if narrow { 18.0 } else { 36.0 };
        Plan { watch, narrow, width, scale, middle: (width / 2.0, half), half, dial, case: outer, crown_at }
    }

    /// A clock angle and a radius to px.
    pub(super) fn at(&self, clock: f64, r: f64) -> (f64, f64) {
        let angle = clock / 180.0 * PI;
        let (x, y) = self.middle;
        (x + r * self.scale * libm::sin(angle), y - r * self.scale * libm::cos(angle))
    }

    pub(super) fn circle(&self, sheet: &mut Sheet, class: &str, r: f64) {
        sheet.circle(class, self.middle.0, self.middle.1, r * self.scale);
    }

    /// A circle in its class where it was measured, dashed where it was not.
    pub(super) fn ring(&self, sheet: &mut Sheet, class: &str, r: Coordinate) {
        self.circle(sheet, if r.known { class } else { "u" }, r.mm);
    }

    pub(super) fn opening(&self) -> Coordinate {
        let watch = self.watch;
        let case = watch.case.as_ref();
        let cone = watch.chapter_ring.map(|ring| ring.cone.bottom);
        let cone = cone.or_else(|| case.and_then(|c| c.rehaut).map(|cone| cone.bottom)).flatten();
        Coordinate::radius(size(cone).or_else(|| case.and_then(|c| size(c.opening))), self.dial.mm - 0.3)
    }

    /// Millimetres right and down from the axis, to px.
    pub(super) fn to(&self, (a, b): (f64, f64)) -> (f64, f64) {
        (self.middle.0 + a * self.scale, self.middle.1 + b * self.scale)
    }

    /// The seconds' place beside the axis, where it has one.
    pub(super) fn small_seconds(&self) -> Option<(f64, f64)> {
        let of_dial = self.watch.dial.as_ref().and_then(|d| d.small_seconds).map(|s| (s.at, s.radius));
        let of_movement = self.watch.movement.as_ref().and_then(|m| m.seconds_at);
        let (clock, r) = match (of_movement, of_dial) {
            (Some((clock, r)), _) => (Some(clock), Some(r)),
            (None, Some(place)) => place,
            (None, None) => return None,
        };
        Some((clock.filter(|v| v.is_finite()).unwrap_or(180.0), size(r).unwrap_or(7.0)))
    }

    pub(super) fn place(&self, foot: &Foot) -> Option<(f64, f64)> {
        let clock = foot.at.filter(|v| v.is_finite())?;
        size(foot.radius).map(|r| self.at(clock.rem_euclid(360.0), r))
    }

    pub(super) fn clearance(&self, place: Place) -> Option<&Clearance> {
        self.watch.clearances.iter().find(|c| c.place == place)
    }
}
