//! The functions of formulas over intervals, and how steep they are there.

use super::interval::Interval;
use super::number::{Number, sin_cos_deg, whole_turns};
use super::pairing::NO_HOLE;
use super::possible_pairings::possible_pairings;
use super::{polar, sag};

impl Number for Interval {
    fn of(x: f64) -> Interval {
        Interval::point(x)
    }
    fn is_zero(self) -> bool {
        self.lo == 0.0 && self.hi == 0.0
    }
    fn square(self) -> Interval {
        let Interval { lo, hi } = self.abs();
        Interval::outward(lo * lo, hi * hi, 1.0)
    }
    fn abs(self) -> Interval {
        if self.lo >= 0.0 {
            self
        } else if self.hi <= 0.0 {
            -self
        } else {
            Interval { lo: 0.0, hi: self.magnitude() }
        }
    }
    fn sqrt(self) -> Interval {
        Interval::outward(Number::sqrt(self.lo), Number::sqrt(self.hi), 1.0)
    }
    fn min(self, other: Interval) -> Interval {
        Interval { lo: f64::min(self.lo, other.lo), hi: f64::min(self.hi, other.hi) }
    }
    fn max(self, other: Interval) -> Interval {
        Interval { lo: f64::max(self.lo, other.lo), hi: f64::max(self.hi, other.hi) }
    }
    fn sin_deg(self) -> Interval {
        wave(self, sin_cos_deg(self.lo).0, sin_cos_deg(self.hi).0, 90.0)
    }
    fn cos_deg(self) -> Interval {
        wave(self, sin_cos_deg(self.lo).1, sin_cos_deg(self.hi).1, 0.0)
    }
    fn hypot(self, other: Interval) -> Interval {
        (self.square() + other.square()).sqrt()
    }
    fn nearest_turn(self, pitch: Interval) -> Interval {
        match decided_turns(self, pitch) {
            Some(turns) => self - pitch * Interval::point(turns),
            None => Interval { lo: -0.5 * pitch.hi, hi: 0.5 * pitch.hi },
        }
    }
    fn apart(r: Interval, other: Interval, angle: Interval) -> Interval {
        polar::apart(r, other, angle)
    }
    fn sag(r: Interval, aperture: Interval, rise: Interval) -> Interval {
        // It falls with the radius and grows with the aperture and the rise.
        Interval::outward(f64::sag(r.hi, aperture.lo, rise.lo), f64::sag(r.lo, aperture.hi, rise.hi), 16.0)
    }
    fn choose(self, then: Interval, otherwise: Interval) -> Interval {
        if self.hi <= 0.0 {
            then
        } else if self.lo > 0.0 {
            otherwise
        } else {
            then.hull(otherwise)
        }
    }
    fn pairing(gaps: &[Interval], holes: usize, foot: usize) -> Interval {
        possible_pairings(gaps, holes)
            .iter()
            .map(|pairs| pairs[foot].map_or(Interval::point(NO_HOLE), |hole| gaps[foot * holes + hole]))
            .reduce(Interval::hull)
            .unwrap_or(Interval::point(NO_HOLE))
    }

    fn abs_slope(self) -> Interval {
        if self.lo >= 0.0 {
            Interval::point(1.0)
        } else if self.hi <= 0.0 {
            Interval::point(-1.0)
        } else {
            Interval { lo: -1.0, hi: 1.0 }
        }
    }
    fn sqrt_slope(self, root: Interval) -> Interval {
        let steepest = if root.lo > 0.0 { 0.5 / root.lo } else { f64::INFINITY };
        let flattest = if self.lo < 0.0 || root.hi <= 0.0 { 0.0 } else { 0.5 / root.hi };
        Interval::outward(flattest, steepest, 1.0)
    }
    fn min_slopes(self, other: Interval) -> (Interval, Interval) {
        let (one, zero) = (Interval::point(1.0), Interval::point(0.0));
        if self.hi < other.lo {
            (one, zero)
        } else if other.hi < self.lo {
            (zero, one)
        } else {
            let either = Interval { lo: 0.0, hi: 1.0 };
            (either, either)
        }
    }
    fn hypot_slope(self, length: Interval) -> Interval {
        let most = Interval {
            lo: if self.lo >= 0.0 { 0.0 } else { -1.0 },
            hi: if self.hi <= 0.0 { 0.0 } else { 1.0 },
        };
        (self / length).within(most)
    }
    fn turn_slopes(self, pitch: Interval) -> (Interval, Interval) {
        match decided_turns(self, pitch) {
            Some(turns) => (Interval::point(1.0), Interval::point(-turns)),
            None => (Interval::ENTIRE, Interval::ENTIRE),
        }
    }
    fn apart_slopes(
        r: Interval,
        other: Interval,
        angle: Interval,
        distance: Interval,
    ) -> (Interval, Interval, Interval) {
        polar::slopes(r, other, angle, distance)
    }
    fn sag_slopes(r: Interval, aperture: Interval, rise: Interval) -> (Interval, Interval, Interval) {
        sag::slopes(r, aperture, rise)
    }
    fn choose_slopes(self) -> (Interval, Interval, Interval) {
        let (one, zero) = (Interval::point(1.0), Interval::point(0.0));
        if self.hi <= 0.0 {
            (zero, one, zero)
        } else if self.lo > 0.0 {
            (zero, zero, one)
        } else {
            let either = Interval { lo: 0.0, hi: 1.0 };
            (Interval::ENTIRE, either, either)
        }
    }
    fn pairing_slopes(gaps: &[Interval], holes: usize, foot: usize, slopes: &mut [Interval]) {
        let possible = possible_pairings(gaps, holes);
        if let [only] = possible[..] {
            slopes.fill(Interval::point(0.0));
            if let Some(hole) = only[foot] {
                slopes[foot * holes + hole] = Interval::point(1.0);
            }
        } else {
            slopes.fill(Interval::ENTIRE);
        }
    }
}

/// The one number of pitches nearest to every angle of the interval; `None` where it changes.
pub(in crate::fit::engine) fn decided_turns(angle: Interval, pitch: Interval) -> Option<f64> {
    if pitch.lo <= 0.0 {
        return None;
    }
    let turns = angle / pitch;
    let (first, last) = (whole_turns(turns.lo, 1.0), whole_turns(turns.hi, 1.0));
    (first == last).then_some(first)
}

/// A sine or cosine between its values at the ends, given where (in degrees) it is greatest.
fn wave(angle: Interval, at_lo: f64, at_hi: f64, crest: f64) -> Interval {
    let width = angle.width();
    if width >= 360.0 || width.is_nan() {
        return Interval { lo: -1.0, hi: 1.0 };
    }
    let holds = |place: f64| libm::ceil((angle.lo - place) / 360.0) * 360.0 + place <= angle.hi;
    let ends = Interval::outward(f64::min(at_lo, at_hi), f64::max(at_lo, at_hi), 8.0);
    Interval {
        lo: if holds(crest - 180.0) { -1.0 } else { f64::max(ends.lo, -1.0) },
        hi: if holds(crest) { 1.0 } else { f64::min(ends.hi, 1.0) },
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn range() -> impl Strategy<Value = (Interval, f64)> {
        (-50.0..50.0f64, 0.0..80.0f64, 0.0..=1.0f64).prop_map(|(lo, width, part)| {
            let range = Interval::new(lo, lo + width);
            (range, (lo + part * width).min(range.hi))
        })
    }

    proptest! {
        #[test]
        fn results_enclose_the_results_of_points((a, x) in range(), (b, y) in range()) {
            prop_assert!((a + b).holds(x + y) && (a - b).holds(x - y) && (a * b).holds(x * y));
            prop_assert!(y == 0.0 || (a / b).holds(x / y));
            prop_assert!((-a).holds(-x) && a.square().holds(x * x));
            prop_assert!(Number::abs(a).holds(x.abs()) && Number::sqrt(a).holds(Number::sqrt(x)));
            prop_assert!(Number::min(a, b).holds(x.min(y)) && Number::max(a, b).holds(x.max(y)));
            prop_assert!(Number::hypot(a, b).holds(Number::hypot(x, y)));
            let (wide, angle) = (a * Interval::point(9.0), 9.0 * x);
            prop_assert!(wide.sin_deg().holds(angle.sin_deg()));
            prop_assert!(wide.cos_deg().holds(angle.cos_deg()));
            let pitch = Interval::point(360.0 / 31.0);
            prop_assert!(a.nearest_turn(pitch).holds(x.nearest_turn(360.0 / 31.0)));
            prop_assert!(a.choose(b, -b).holds(x.choose(y, -y)));
        }

        #[test]
        fn distances_enclose_those_of_points(
            (r, dr, u) in (0.0..14.0f64, 0.0..2.0f64, 0.0..=1.0f64),
            (s, ds, v) in (0.0..14.0f64, 0.0..2.0f64, 0.0..=1.0f64),
            (t, dt, w) in (-400.0..400.0f64, 0.0..200.0f64, 0.0..=1.0f64),
        ) {
            let range = Interval::apart(
                Interval::new(r, r + dr), Interval::new(s, s + ds), Interval::new(t, t + dt));
            let at = f64::apart(r + u * dr, s + v * ds, t + w * dt);
            prop_assert!(range.lo - 1e-12 <= at && at <= range.hi + 1e-12, "{at} in {range:?}");
        }
    }

    #[test]
    fn crests_inside_are_seen() {
        assert_eq!(Interval::new(80.0, 100.0).sin_deg().hi, 1.0);
        assert_eq!(Interval::new(-100.0, -80.0).sin_deg().lo, -1.0);
        assert_eq!(Interval::new(350.0, 370.0).cos_deg().hi, 1.0);
        assert!(Interval::new(10.0, 20.0).sin_deg().hi < 0.35);
    }

    #[test]
    fn a_quotient_over_zero_may_be_anything() {
        assert_eq!(Interval::point(1.0) / Interval::new(-1.0, 1.0), Interval::ENTIRE);
    }
}
