//! The face of the dial: minute track, indices, windows; and its feet behind it.

use std::f64::consts::PI;

use super::layout::Plan;
use crate::draw::drafting::{Coordinate, size};
use crate::draw::svg::{Path, Sheet};
use crate::draw::watch::Window;

impl Plan<'_> {
    /// Sixty short strokes that end at the outermost print, as far as the opening shows them.
    pub(super) fn minute_track(&self, sheet: &mut Sheet, radius: f64) {
        let edge = radius.min(self.dial.mm).min(self.opening().mm);
        let mut strokes = Path::default();
        for minute in (0..60_u8).filter(|minute| minute % 5 != 0) {
            let clock = f64::from(minute) * 6.0;
            let (a, b) = (self.at(clock, edge), self.at(clock, (radius - 0.5).min(edge - 0.2)));
            strokes.to(a.0, a.1).line(b.0, b.1);
        }
        if !self.narrow {
            sheet.path("x", &strokes);
        }
    }

    pub(super) fn dial_face(&self, sheet: &mut Sheet) {
        let Some(dial) = &self.watch.dial else { return };
        if let Some(sub) = dial.small_seconds {
            let (clock, r) =
                (sub.at.filter(|v| v.is_finite()).unwrap_or(180.0), Coordinate::size(sub.radius, 7.0));
            let radius = Coordinate::radius(sub.diameter, 4.0);
            let (x, y) = self.at(clock, r.mm);
            sheet.circle(if r.known && radius.known { "n" } else { "u" }, x, y, radius.mm * self.scale);
        }
        let Some(indices) = dial.indices else { return };
        let outer = Coordinate::size(indices.outer_radius, self.dial.mm * 0.92);
        let inner = Coordinate::size(indices.inner_radius, outer.mm * 0.76);
        let taken: Vec<(f64, f64, f64)> = [dial.date_window, dial.day_window]
            .into_iter()
            .flatten()
            .map(|w| (w.at, w.radius))
            .chain(dial.small_seconds.map(|s| (s.at, s.radius)))
            .filter_map(|(at, radius)| Some((at.filter(|v| v.is_finite())?, size(radius)?, 9.0)))
            .collect();
        let mut batons = Path::default();
        for hour in 0..12_u8 {
            let clock = f64::from(hour) * 30.0;
            let free = taken.iter().all(|(at, radius, near)| {
                let apart = (clock - at + 540.0).rem_euclid(360.0) - 180.0;
                apart.abs() > *near || *radius + 2.0 < inner.mm
            });
            if free {
                let angle = clock / 180.0 * PI;
                let (dx, dy) = (libm::cos(angle) * 0.33 * self.scale, libm::sin(angle) * 0.33 * self.scale);
                let (a, b) = (self.at(clock, inner.mm), self.at(clock, outer.mm));
                batons.polygon(&[
                    (a.0 - dx, a.1 - dy),
                    (b.0 - dx, b.1 - dy),
                    (b.0 + dx, b.1 + dy),
                    (a.0 + dx, a.1 + dy),
                ]);
            }
        }
        sheet.path(if inner.known && outer.known { "n br" } else { "u" }, &batons);
    }

    pub(super) fn feet(&self, sheet: &mut Sheet) {
        let holes = self.watch.movement.as_ref().map_or(&[][..], |m| &m.foot_holes[..]);
        for hole in holes {
            if let (Some((x, y)), Some(d)) = (self.place(hole), size(hole.diameter).or(Some(0.8))) {
                sheet.circle("n pp", x, y, (d / 2.0).max(0.35) * self.scale);
            }
        }
        let feet = self.watch.dial.as_ref().map_or(&[][..], |d| &d.feet[..]);
        for foot in feet {
            let Some((x, y)) = self.place(foot) else { continue };
            let r = (size(foot.diameter).unwrap_or(0.7) / 2.0).max(0.3) * self.scale;
            if foot.cut {
                sheet.circle("p pp", x, y, r);
                let mut cross = Path::default();
                cross.to(x - 3.2, y - 3.2).line(x + 3.2, y + 3.2).to(x + 3.2, y - 3.2).line(x - 3.2, y + 3.2);
                sheet.path("n", &cross);
            } else {
                sheet.circle("s", x, y, r);
            }
        }
    }

    pub(super) fn windows(&self, sheet: &mut Sheet) {
        let Some(dial) = &self.watch.dial else { return };
        let movement = self.watch.movement.as_ref();
        let pairs = [
            (dial.date_window, movement.and_then(|m| m.date)),
            (dial.day_window, movement.and_then(|m| m.day)),
        ];
        for (window, shown) in pairs {
            if let Some(corners) = window.and_then(|w| self.window(&w)) {
                sheet.polygon("o pp", &corners);
                if let Some(corners) = shown.and_then(|s| self.window(&s)) {
                    sheet.polygon("n w", &corners);
                    sheet.polygon("o", &self.window(&window.unwrap_or_default()).unwrap_or_default());
                }
            }
        }
    }

    pub(super) fn window(&self, window: &Window) -> Option<Vec<(f64, f64)>> {
        let clock = window.at.filter(|v| v.is_finite())?.rem_euclid(360.0);
        let (r, along, across) = (size(window.radius)?, size(window.along)?, size(window.across)?);
        let angle = clock / 180.0 * PI;
        let (dx, dy) =
            (libm::cos(angle) * across / 2.0 * self.scale, libm::sin(angle) * across / 2.0 * self.scale);
        let (a, b) = (self.at(clock, r - along / 2.0), self.at(clock, r + along / 2.0));
        Some(vec![(a.0 - dx, a.1 - dy), (b.0 - dx, b.1 - dy), (b.0 + dx, b.1 + dy), (a.0 + dx, a.1 + dy)])
    }
}
