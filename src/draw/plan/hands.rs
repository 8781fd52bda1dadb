//! The hands from the front, and the circles that their tips describe.

use std::f64::consts::PI;

use super::layout::Plan;
use crate::draw::drafting::{Coordinate, size};
use crate::draw::svg::{Path, Sheet};
use crate::draw::watch::Role;

/// The hands stand as on most pictures of a watch: ten past ten, out of each other's way.
const TEN_PAST_TEN: [(Role, f64); 4] =
    [(Role::Hour, 304.0), (Role::SecondTime, 245.0), (Role::Minute, 49.0), (Role::Seconds, 198.0)];

impl Plan<'_> {
    pub(super) fn sweeps(&self, sheet: &mut Sheet) {
        for hand in &self.watch.hands {
            let Some(length) = size(hand.length) else { continue };
            match (hand.role, self.small_seconds()) {
                (Role::Seconds, Some((clock, r))) => {
                    let (x, y) = self.at(clock, r);
                    sheet.circle("x", x, y, length * self.scale);
                }
                _ => self.circle(sheet, "x", length),
            }
        }
    }

    /// The hands at ten past ten, each as long and as wide as it was measured.
    pub(super) fn hands(&self, sheet: &mut Sheet) {
        for (role, clock) in TEN_PAST_TEN {
            let Some(hand) = self.watch.hands.iter().find(|hand| hand.role == role) else { continue };
            let usual = if role == Role::Seconds { 3.0 } else { self.dial.mm * 0.7 };
            let length = Coordinate::size(hand.length, usual);
            let small = self.small_seconds().filter(|_| role == Role::Seconds);
            let centre = small.map_or(self.middle, |(clock, r)| self.at(clock, r));
            let angle = clock / 180.0 * PI;
            let (ux, uy) = (libm::sin(angle), -libm::cos(angle));
            let k = self.scale;
            let point = |along: f64, side: f64| {
                (centre.0 + (ux * along - uy * side) * k, centre.1 + (uy * along + ux * side) * k)
            };
            let class = if length.known { "o pp" } else { "u" };
            if role == Role::Seconds {
                let tail = size(hand.tail).unwrap_or(0.0);
                let (a, b) = (point(-tail, 0.0), point(length.mm, 0.0));
                sheet.line(if length.known { "o" } else { "u" }, a.0, a.1, b.0, b.1);
                sheet.circle("s", centre.0, centre.1, if small.is_some() { 2.0 } else { 2.6 });
                continue;
            }
            let half = size(hand.width).map_or(0.65, |w| w / 2.0).min(length.mm * 0.3);
            let boss = 1.0_f64.min(length.mm * 0.3);
            let tail = size(hand.tail).unwrap_or(0.0);
            let (near, wide) = (boss * 0.9, length.mm * 0.62);
            let mut leaf = Path::default();
            leaf.polygon(&[
                point(near, half * 0.45),
                point(wide, half),
                point(length.mm, 0.0),
                point(wide, -half),
                point(near, -half * 0.45),
            ]);
            if tail > boss {
                leaf.polygon(&[
                    point(-near, half * 0.4),
                    point(-tail, half * 0.6),
                    point(-tail, -half * 0.6),
                    point(-near, -half * 0.4),
                ]);
            }
            sheet.path(class, &leaf);
        }
        let centre = self.watch.hands.iter().any(|hand| hand.role != Role::Seconds);
        if centre {
            self.circle(sheet, "o pp", 1.0);
            self.circle(sheet, "s", 0.25);
        }
    }
}
