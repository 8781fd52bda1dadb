//! What a formula can be evaluated with, and plain numbers as the first such thing.

use std::ops::{Add, Div, Mul, Neg, Sub};

use super::pairing::{NO_HOLE, best_pairing};

/// A value that a formula can be evaluated with, together with the slopes of every operation.
///
/// Slopes are what the reverse pass multiplies. For intervals they enclose every slope that the
/// operation has in the interval; where it jumps, the slope is everything.
pub trait Number:
    Copy + Add<Output = Self> + Sub<Output = Self> + Mul<Output = Self> + Div<Output = Self> + Neg<Output = Self>
{
    /// An exact number.
    fn of(x: f64) -> Self;
    /// Whether it is exactly zero, so that nothing need be carried on.
    fn is_zero(self) -> bool;
    /// The square: tighter than the product for an interval.
    fn square(self) -> Self;
    /// The size without the sign.
    fn abs(self) -> Self;
    /// The root, 0 below zero.
    fn sqrt(self) -> Self;
    /// The smaller of two.
    fn min(self, other: Self) -> Self;
    /// The greater of two.
    fn max(self, other: Self) -> Self;
    /// The sine of degrees.
    fn sin_deg(self) -> Self;
    /// The cosine of degrees.
    fn cos_deg(self) -> Self;
    /// The hypotenuse.
    fn hypot(self, other: Self) -> Self;
    /// An angle moved by whole pitches to lie nearest zero.
    fn nearest_turn(self, pitch: Self) -> Self;
    /// The distance of two points in polar coordinates.
    fn apart(r: Self, other: Self, angle: Self) -> Self;
    /// A dome's height over its foot.
    fn sag(r: Self, aperture: Self, rise: Self) -> Self;
    /// `then` where `self` is at most zero.
    fn choose(self, then: Self, otherwise: Self) -> Self;
    /// One foot's gap in the best pairing; `gaps` row by row.
    fn pairing(gaps: &[Self], holes: usize, foot: usize) -> Self;

    /// Slope of [`Number::abs`].
    fn abs_slope(self) -> Self;
    /// Slope of [`Number::sqrt`], whose value is `root`.
    fn sqrt_slope(self, root: Self) -> Self;
    /// Slopes of [`Number::min`] in both; those of the maximum are the same two swapped.
    fn min_slopes(self, other: Self) -> (Self, Self);
    /// Slope of [`Number::hypot`], whose value is `length`, in this leg.
    fn hypot_slope(self, length: Self) -> Self;
    /// Slopes of [`Number::nearest_turn`] in the angle and in the pitch.
    fn turn_slopes(self, pitch: Self) -> (Self, Self);
    /// Slopes of [`Number::apart`], whose value is `distance`, in both radii and the angle.
    fn apart_slopes(r: Self, other: Self, angle: Self, distance: Self) -> (Self, Self, Self);
    /// Slopes of [`Number::sag`] in its three arguments.
    fn sag_slopes(r: Self, aperture: Self, rise: Self) -> (Self, Self, Self);
    /// Slopes of [`Number::choose`] in the condition and the two choices.
    fn choose_slopes(self) -> (Self, Self, Self);
    /// Slopes of [`Number::pairing`] in each gap.
    fn pairing_slopes(gaps: &[Self], holes: usize, foot: usize, slopes: &mut [Self]);
}

impl Number for f64 {
    fn of(x: f64) -> f64 {
        x
    }
    fn is_zero(self) -> bool {
        self == 0.0
    }
    fn square(self) -> f64 {
        self * self
    }
    fn abs(self) -> f64 {
        libm::fabs(self)
    }
    fn sqrt(self) -> f64 {
        if self > 0.0 { libm::sqrt(self) } else { 0.0 }
    }
    fn min(self, other: f64) -> f64 {
        if other < self { other } else { self }
    }
    fn max(self, other: f64) -> f64 {
        if other > self { other } else { self }
    }
    fn sin_deg(self) -> f64 {
        sin_cos_deg(self).0
    }
    fn cos_deg(self) -> f64 {
        sin_cos_deg(self).1
    }
    fn hypot(self, other: f64) -> f64 {
        libm::sqrt(self * self + other * other)
    }
    fn nearest_turn(self, pitch: f64) -> f64 {
        self - pitch * whole_turns(self, pitch)
    }
    fn apart(r: f64, other: f64, angle: f64) -> f64 {
        let half = sin_cos_deg(0.5 * angle).0;
        libm::sqrt((r - other) * (r - other) + 4.0 * r * other * half * half)
    }
    fn sag(r: f64, aperture: f64, rise: f64) -> f64 {
        let (r, a, i) = (f64::max(r, 0.0), aperture, f64::min(rise, aperture));
        if i <= 0.0 || r >= a {
            return 0.0;
        }
        // sqrt(R^2 - r^2) - (R - i) multiplied out, so that a nearly flat dome loses no digits.
        2.0 * i * (a * a - r * r) / ((a * a - i * i) + dome_root(r, a, i))
    }
    fn choose(self, then: f64, otherwise: f64) -> f64 {
        if self <= 0.0 { then } else { otherwise }
    }
    fn pairing(gaps: &[f64], holes: usize, foot: usize) -> f64 {
        match best_pairing(gaps, holes)[foot] {
            Some(hole) => gaps[foot * holes + hole],
            None => NO_HOLE,
        }
    }

    fn abs_slope(self) -> f64 {
        if self > 0.0 {
            1.0
        } else if self < 0.0 {
            -1.0
        } else {
            0.0
        }
    }
    fn sqrt_slope(self, root: f64) -> f64 {
        if root > 0.0 { 0.5 / root } else { 0.0 }
    }
    fn min_slopes(self, other: f64) -> (f64, f64) {
        if other < self {
            (0.0, 1.0)
        } else if self < other {
            (1.0, 0.0)
        } else {
            (0.5, 0.5)
        }
    }
    fn hypot_slope(self, length: f64) -> f64 {
        if length > 0.0 { self / length } else { 0.0 }
    }
    fn turn_slopes(self, pitch: f64) -> (f64, f64) {
        (1.0, -whole_turns(self, pitch))
    }
    fn apart_slopes(r: f64, other: f64, angle: f64, distance: f64) -> (f64, f64, f64) {
        if distance <= 0.0 {
            return (0.0, 0.0, 0.0);
        }
        let (sin, cos) = sin_cos_deg(angle);
        let in_angle = r * other * sin / distance;
        ((r - other * cos) / distance, (other - r * cos) / distance, in_angle.to_radians())
    }
    fn sag_slopes(r: f64, aperture: f64, rise: f64) -> (f64, f64, f64) {
        let (r, a, i) = (f64::max(r, 0.0), aperture, f64::min(rise, aperture));
        if i < 0.0 || r >= a {
            return (0.0, 0.0, 0.0);
        }
        let root = dome_root(r, a, i);
        let sum = root * (a * a + i * i + root);
        let in_r = -2.0 * i * r / root;
        let in_a = 4.0 * a * i * r * r / sum;
        let in_i = 1.0 - 2.0 * (a * a - i * i) * r * r / sum;
        if rise > aperture { (in_r, in_a + in_i, 0.0) } else { (in_r, in_a, in_i) }
    }
    fn choose_slopes(self) -> (f64, f64, f64) {
        if self <= 0.0 { (0.0, 1.0, 0.0) } else { (0.0, 0.0, 1.0) }
    }
    fn pairing_slopes(gaps: &[f64], holes: usize, foot: usize, slopes: &mut [f64]) {
        slopes.fill(0.0);
        if let Some(hole) = best_pairing(gaps, holes)[foot] {
            slopes[foot * holes + hole] = 1.0;
        }
    }
}

/// How many whole pitches lie nearest to an angle; 0 where the pitch is not above zero.
pub(in crate::fit::engine) fn whole_turns(angle: f64, pitch: f64) -> f64 {
    if pitch > 0.0 { nearest_whole(angle / pitch) } else { 0.0 }
}

/// Rounded to a whole number, halves to even; for sizes up to 2^51.
fn nearest_whole(x: f64) -> f64 {
    const SHIFT: f64 = 6_755_399_441_055_744.0;
    (x + SHIFT) - SHIFT
}

/// `sqrt((a^2 + i^2)^2 - 4 i^2 r^2)`: twice the rise times the height of the sphere over its
/// centre at the radius r.
fn dome_root(r: f64, a: f64, i: f64) -> f64 {
    let sum = a * a + i * i;
    libm::sqrt(f64::max((sum - 2.0 * i * r) * (sum + 2.0 * i * r), 0.0))
}

/// Sine and cosine of an angle in degrees, exact at every multiple of 90.
///
/// Taken to within 45 degrees of a quarter turn, which loses nothing, and then by their Taylor
/// polynomials, whose first term left out is below 1e-17. Plain arithmetic, so that a loop over
/// many angles is turned into vector code, and the bits are the same on every machine.
#[inline]
pub(in crate::fit::engine) fn sin_cos_deg(angle: f64) -> (f64, f64) {
    let turned = angle - 360.0 * nearest_whole(angle / 360.0);
    let quarters = nearest_whole(turned / 90.0);
    let x = (turned - 90.0 * quarters).to_radians();
    let y = x * x;
    let sin = x - x * y * horner(y, &SINE);
    let cos = 1.0 - y * horner(y, &COSINE);
    let swap = quarters == 1.0 || quarters == -1.0;
    let (a, b) = if swap { (cos, sin) } else { (sin, cos) };
    let half = quarters == 2.0 || quarters == -2.0;
    let sin_turned = half || quarters == -1.0;
    let cos_turned = half || quarters == 1.0;
    (if sin_turned { -a } else { a }, if cos_turned { -b } else { b })
}

#[inline]
fn horner(y: f64, factors: &[f64; 8]) -> f64 {
    factors.iter().rev().fold(0.0, |sum, factor| factor - y * sum)
}

/// 1/3!, 1/5!, ... 1/17!.
const SINE: [f64; 8] = [
    1.0 / 6.0,
    1.0 / 120.0,
    1.0 / 5_040.0,
    1.0 / 362_880.0,
    1.0 / 39_916_800.0,
    1.0 / 6_227_020_800.0,
    1.0 / 1_307_674_368_000.0,
    1.0 / 355_687_428_096_000.0,
];
/// 1/2!, 1/4!, ... 1/16!.
const COSINE: [f64; 8] = [
    1.0 / 2.0,
    1.0 / 24.0,
    1.0 / 720.0,
    1.0 / 40_320.0,
    1.0 / 3_628_800.0,
    1.0 / 479_001_600.0,
    1.0 / 87_178_291_200.0,
    1.0 / 20_922_789_888_000.0,
];

#[cfg(test)]
mod tests {
    use super::*;

    /// Against libm's sine and cosine.
    #[test]
    fn sines_of_degrees_keep_their_digits() {
        for n in -8000..8000 {
            let angle = 0.173 * f64::from(n);
            let (sin, cos) = sin_cos_deg(angle);
            // The angle in radians is itself rounded, a part in 1e16 of up to 24.
            assert!((sin - libm::sin(angle.to_radians())).abs() < 8e-15, "{angle}");
            assert!((cos - libm::cos(angle.to_radians())).abs() < 8e-15, "{angle}");
        }
        for (angle, exact) in [(0.0, 0.0), (90.0, 1.0), (180.0, 0.0), (270.0, -1.0), (450.0, 1.0)] {
            assert_eq!((sin_cos_deg(angle).0, sin_cos_deg(angle + 90.0).1), (exact, -exact));
        }
        assert!((sin_cos_deg(30.0).0 - 0.5).abs() < 2e-16);
    }

    /// The dome's own formula: sqrt(R^2 - r^2) - (R - i), R = (a^2 + i^2) / (2 i).
    #[test]
    fn a_dome_is_a_sphere() {
        for (r, a, i) in [(12.6, 14.1, 0.2), (0.0, 14.0, 1.0), (5.0, 10.0, 9.0)] {
            let radius: f64 = (a * a + i * i) / (2.0 * i);
            let plain = libm::sqrt(radius * radius - r * r) - (radius - i);
            assert!((f64::sag(r, a, i) - plain).abs() < 1e-11);
        }
        assert_eq!(f64::sag(14.0, 14.0, 1.0), 0.0);
        assert_eq!(f64::sag(3.0, 14.0, 0.0), 0.0);
        // So flat a dome is a parabola; the plain formula has no digits left here.
        assert!((f64::sag(7.0, 14.0, 1e-9) - 0.75e-9).abs() < 1e-20);
    }
}
