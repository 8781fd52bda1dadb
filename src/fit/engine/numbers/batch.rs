//! Eight points evaluated at once: the work of reading the program is shared.

use std::ops::{Add, Div, Mul, Neg, Sub};

use super::number::Number;

/// How many points go at once.
pub(in crate::fit::engine) const POINTS_AT_ONCE: usize = 8;

/// One number for each of eight points.
#[derive(Clone, Copy, Debug)]
pub(in crate::fit::engine) struct Batch(pub(in crate::fit::engine) [f64; POINTS_AT_ONCE]);

fn each(a: Batch, f: impl Fn(f64) -> f64) -> Batch {
    Batch(std::array::from_fn(|n| f(a.0[n])))
}

fn both(a: Batch, b: Batch, f: impl Fn(f64, f64) -> f64) -> Batch {
    Batch(std::array::from_fn(|n| f(a.0[n], b.0[n])))
}

fn all(a: Batch, b: Batch, c: Batch, f: impl Fn(f64, f64, f64) -> f64) -> Batch {
    Batch(std::array::from_fn(|n| f(a.0[n], b.0[n], c.0[n])))
}

fn pair(f: impl Fn(usize) -> (f64, f64)) -> (Batch, Batch) {
    let found: [(f64, f64); POINTS_AT_ONCE] = std::array::from_fn(f);
    (Batch(found.map(|x| x.0)), Batch(found.map(|x| x.1)))
}

fn triple(f: impl Fn(usize) -> (f64, f64, f64)) -> (Batch, Batch, Batch) {
    let found: [(f64, f64, f64); POINTS_AT_ONCE] = std::array::from_fn(f);
    (Batch(found.map(|x| x.0)), Batch(found.map(|x| x.1)), Batch(found.map(|x| x.2)))
}

/// The gaps of one point.
fn row(gaps: &[Batch], point: usize) -> Vec<f64> {
    gaps.iter().map(|gap| gap.0[point]).collect()
}

impl Add for Batch {
    type Output = Batch;
    fn add(self, other: Batch) -> Batch {
        both(self, other, |a, b| a + b)
    }
}

impl Sub for Batch {
    type Output = Batch;
    fn sub(self, other: Batch) -> Batch {
        both(self, other, |a, b| a - b)
    }
}

impl Mul for Batch {
    type Output = Batch;
    fn mul(self, other: Batch) -> Batch {
        both(self, other, |a, b| a * b)
    }
}

impl Div for Batch {
    type Output = Batch;
    fn div(self, other: Batch) -> Batch {
        both(self, other, |a, b| a / b)
    }
}

impl Neg for Batch {
    type Output = Batch;
    fn neg(self) -> Batch {
        each(self, |a| -a)
    }
}

impl Number for Batch {
    fn of(x: f64) -> Batch {
        Batch([x; POINTS_AT_ONCE])
    }
    fn is_zero(self) -> bool {
        self.0 == [0.0; POINTS_AT_ONCE]
    }
    fn square(self) -> Batch {
        self * self
    }
    fn abs(self) -> Batch {
        each(self, Number::abs)
    }
    fn sqrt(self) -> Batch {
        each(self, Number::sqrt)
    }
    fn min(self, other: Batch) -> Batch {
        both(self, other, Number::min)
    }
    fn max(self, other: Batch) -> Batch {
        both(self, other, Number::max)
    }
    fn sin_deg(self) -> Batch {
        each(self, Number::sin_deg)
    }
    fn cos_deg(self) -> Batch {
        each(self, Number::cos_deg)
    }
    fn hypot(self, other: Batch) -> Batch {
        both(self, other, Number::hypot)
    }
    fn nearest_turn(self, pitch: Batch) -> Batch {
        both(self, pitch, Number::nearest_turn)
    }
    fn apart(r: Batch, other: Batch, angle: Batch) -> Batch {
        all(r, other, angle, Number::apart)
    }
    fn sag(r: Batch, aperture: Batch, rise: Batch) -> Batch {
        all(r, aperture, rise, Number::sag)
    }
    fn choose(self, then: Batch, otherwise: Batch) -> Batch {
        all(self, then, otherwise, Number::choose)
    }
    fn pairing(gaps: &[Batch], holes: usize, foot: usize) -> Batch {
        Batch(std::array::from_fn(|n| f64::pairing(&row(gaps, n), holes, foot)))
    }

    fn abs_slope(self) -> Batch {
        each(self, Number::abs_slope)
    }
    fn sqrt_slope(self, root: Batch) -> Batch {
        both(self, root, Number::sqrt_slope)
    }
    fn min_slopes(self, other: Batch) -> (Batch, Batch) {
        pair(|n| self.0[n].min_slopes(other.0[n]))
    }
    fn hypot_slope(self, length: Batch) -> Batch {
        both(self, length, Number::hypot_slope)
    }
    fn turn_slopes(self, pitch: Batch) -> (Batch, Batch) {
        pair(|n| self.0[n].turn_slopes(pitch.0[n]))
    }
    fn apart_slopes(r: Batch, other: Batch, angle: Batch, distance: Batch) -> (Batch, Batch, Batch) {
        triple(|n| f64::apart_slopes(r.0[n], other.0[n], angle.0[n], distance.0[n]))
    }
    fn sag_slopes(r: Batch, aperture: Batch, rise: Batch) -> (Batch, Batch, Batch) {
        triple(|n| f64::sag_slopes(r.0[n], aperture.0[n], rise.0[n]))
    }
    fn choose_slopes(self) -> (Batch, Batch, Batch) {
        triple(|n| self.0[n].choose_slopes())
    }
    fn pairing_slopes(gaps: &[Batch], holes: usize, foot: usize, slopes: &mut [Batch]) {
        let mut found = vec![0.0; gaps.len()];
        for point in 0..POINTS_AT_ONCE {
            f64::pairing_slopes(&row(gaps, point), holes, foot, &mut found);
            for (slope, found) in slopes.iter_mut().zip(&found) {
                slope.0[point] = *found;
            }
        }
    }
}
