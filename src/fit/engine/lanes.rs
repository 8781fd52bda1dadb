//! Eight points evaluated at once: the work of reading the program is shared.

use std::ops::{Add, Div, Mul, Neg, Sub};

use super::number::Number;

/// How many points go at once.
pub(super) const LANES: usize = 8;

/// One number for each of eight points.
#[derive(Clone, Copy, Debug)]
pub(super) struct Lanes(pub(super) [f64; LANES]);

fn each(a: Lanes, f: impl Fn(f64) -> f64) -> Lanes {
    Lanes(std::array::from_fn(|n| f(a.0[n])))
}

fn both(a: Lanes, b: Lanes, f: impl Fn(f64, f64) -> f64) -> Lanes {
    Lanes(std::array::from_fn(|n| f(a.0[n], b.0[n])))
}

fn all(a: Lanes, b: Lanes, c: Lanes, f: impl Fn(f64, f64, f64) -> f64) -> Lanes {
    Lanes(std::array::from_fn(|n| f(a.0[n], b.0[n], c.0[n])))
}

fn pair(f: impl Fn(usize) -> (f64, f64)) -> (Lanes, Lanes) {
    let found: [(f64, f64); LANES] = std::array::from_fn(f);
    (Lanes(found.map(|x| x.0)), Lanes(found.map(|x| x.1)))
}

fn triple(f: impl Fn(usize) -> (f64, f64, f64)) -> (Lanes, Lanes, Lanes) {
    let found: [(f64, f64, f64); LANES] = std::array::from_fn(f);
    (Lanes(found.map(|x| x.0)), Lanes(found.map(|x| x.1)), Lanes(found.map(|x| x.2)))
}

/// The gaps of one point.
fn row(gaps: &[Lanes], lane: usize) -> Vec<f64> {
    gaps.iter().map(|gap| gap.0[lane]).collect()
}

impl Add for Lanes {
    type Output = Lanes;
    fn add(self, other: Lanes) -> Lanes {
        both(self, other, |a, b| a + b)
    }
}

impl Sub for Lanes {
    type Output = Lanes;
    fn sub(self, other: Lanes) -> Lanes {
        both(self, other, |a, b| a - b)
    }
}

impl Mul for Lanes {
    type Output = Lanes;
    fn mul(self, other: Lanes) -> Lanes {
        both(self, other, |a, b| a * b)
    }
}

impl Div for Lanes {
    type Output = Lanes;
    fn div(self, other: Lanes) -> Lanes {
        both(self, other, |a, b| a / b)
    }
}

impl Neg for Lanes {
    type Output = Lanes;
    fn neg(self) -> Lanes {
        each(self, |a| -a)
    }
}

impl Number for Lanes {
    fn of(x: f64) -> Lanes {
        Lanes([x; LANES])
    }
    fn is_zero(self) -> bool {
        self.0 == [0.0; LANES]
    }
    fn square(self) -> Lanes {
        self * self
    }
    fn abs(self) -> Lanes {
        each(self, Number::abs)
    }
    fn sqrt(self) -> Lanes {
        each(self, Number::sqrt)
    }
    fn min(self, other: Lanes) -> Lanes {
        both(self, other, Number::min)
    }
    fn max(self, other: Lanes) -> Lanes {
        both(self, other, Number::max)
    }
    fn sin_deg(self) -> Lanes {
        each(self, Number::sin_deg)
    }
    fn cos_deg(self) -> Lanes {
        each(self, Number::cos_deg)
    }
    fn hypot(self, other: Lanes) -> Lanes {
        both(self, other, Number::hypot)
    }
    fn nearest_turn(self, pitch: Lanes) -> Lanes {
        both(self, pitch, Number::nearest_turn)
    }
    fn apart(r: Lanes, other: Lanes, angle: Lanes) -> Lanes {
        all(r, other, angle, Number::apart)
    }
    fn sag(r: Lanes, aperture: Lanes, rise: Lanes) -> Lanes {
        all(r, aperture, rise, Number::sag)
    }
    fn choose(self, then: Lanes, otherwise: Lanes) -> Lanes {
        all(self, then, otherwise, Number::choose)
    }
    fn pairing(gaps: &[Lanes], holes: usize, foot: usize) -> Lanes {
        Lanes(std::array::from_fn(|n| f64::pairing(&row(gaps, n), holes, foot)))
    }

    fn abs_slope(self) -> Lanes {
        each(self, Number::abs_slope)
    }
    fn sqrt_slope(self, root: Lanes) -> Lanes {
        both(self, root, Number::sqrt_slope)
    }
    fn min_slopes(self, other: Lanes) -> (Lanes, Lanes) {
        pair(|n| self.0[n].min_slopes(other.0[n]))
    }
    fn hypot_slope(self, length: Lanes) -> Lanes {
        both(self, length, Number::hypot_slope)
    }
    fn turn_slopes(self, pitch: Lanes) -> (Lanes, Lanes) {
        pair(|n| self.0[n].turn_slopes(pitch.0[n]))
    }
    fn apart_slopes(r: Lanes, other: Lanes, angle: Lanes, distance: Lanes) -> (Lanes, Lanes, Lanes) {
        triple(|n| f64::apart_slopes(r.0[n], other.0[n], angle.0[n], distance.0[n]))
    }
    fn sag_slopes(r: Lanes, aperture: Lanes, rise: Lanes) -> (Lanes, Lanes, Lanes) {
        triple(|n| f64::sag_slopes(r.0[n], aperture.0[n], rise.0[n]))
    }
    fn choose_slopes(self) -> (Lanes, Lanes, Lanes) {
        triple(|n| self.0[n].choose_slopes())
    }
    fn pairing_slopes(gaps: &[Lanes], holes: usize, foot: usize, slopes: &mut [Lanes]) {
        let mut found = vec![0.0; gaps.len()];
        for lane in 0..LANES {
            f64::pairing_slopes(&row(gaps, lane), holes, foot, &mut found);
            for (slope, found) in slopes.iter_mut().zip(&found) {
                slope.0[lane] = *found;
            }
        }
    }
}
