//! Arithmetic with everything between two numbers at once.

use std::ops::{Add, Div, Mul, Neg, Sub};

/// All numbers from `lo` to `hi`, both included; ends may be infinite.
///
/// Results enclose every result of their operands: each end is moved outwards by at least the
/// rounding of its last digit (a sine's by some more), about 1e-15 of its size, far below the
/// tenth of a micrometre that is compared at the end.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Interval {
    /// The least number.
    pub lo: f64,
    /// The greatest number; never below `lo`.
    pub hi: f64,
}

impl Interval {
    /// Every number there is.
    pub const ENTIRE: Interval = Interval { lo: f64::NEG_INFINITY, hi: f64::INFINITY };

    /// From one number to another, whichever is the smaller.
    pub fn new(a: f64, b: f64) -> Interval {
        if b < a { Interval { lo: b, hi: a } } else { Interval { lo: a, hi: b } }
    }

    /// One number alone.
    pub fn point(x: f64) -> Interval {
        Interval { lo: x, hi: x }
    }

    /// The distance of its ends.
    pub fn width(self) -> f64 {
        self.hi - self.lo
    }

    /// The number halfway; one of the ends, or 0, where an end is infinite.
    pub fn middle(self) -> f64 {
        match (self.lo.is_finite(), self.hi.is_finite()) {
            (true, true) => self.lo + 0.5 * (self.hi - self.lo),
            (true, false) => self.lo,
            (false, true) => self.hi,
            (false, false) => 0.0,
        }
    }

    /// The greatest size that it holds.
    pub fn magnitude(self) -> f64 {
        f64::max(libm::fabs(self.lo), libm::fabs(self.hi))
    }

    /// Whether it holds the number.
    pub fn holds(self, x: f64) -> bool {
        self.lo <= x && x <= self.hi
    }

    /// From the least of both to the greatest of both.
    pub fn hull(self, other: Interval) -> Interval {
        Interval { lo: f64::min(self.lo, other.lo), hi: f64::max(self.hi, other.hi) }
    }

    /// What both hold; `self` where rounding leaves them apart.
    pub fn within(self, other: Interval) -> Interval {
        let (lo, hi) = (f64::max(self.lo, other.lo), f64::min(self.hi, other.hi));
        if lo <= hi { Interval { lo, hi } } else { self }
    }

    pub(in crate::fit::engine) fn outward(lo: f64, hi: f64, digits: f64) -> Interval {
        let slack = digits * f64::EPSILON;
        let lo = lo - libm::fabs(lo) * slack;
        let hi = hi + libm::fabs(hi) * slack;
        Interval {
            lo: if lo.is_nan() { f64::NEG_INFINITY } else { lo },
            hi: if hi.is_nan() { f64::INFINITY } else { hi },
        }
    }
}

impl Add for Interval {
    type Output = Interval;
    fn add(self, other: Interval) -> Interval {
        Interval::outward(self.lo + other.lo, self.hi + other.hi, 1.0)
    }
}

impl Sub for Interval {
    type Output = Interval;
    fn sub(self, other: Interval) -> Interval {
        Interval::outward(self.lo - other.hi, self.hi - other.lo, 1.0)
    }
}

impl Neg for Interval {
    type Output = Interval;
    fn neg(self) -> Interval {
        Interval { lo: -self.hi, hi: -self.lo }
    }
}

impl Mul for Interval {
    type Output = Interval;
    fn mul(self, other: Interval) -> Interval {
        let products = [
            times(self.lo, other.lo),
            times(self.lo, other.hi),
            times(self.hi, other.lo),
            times(self.hi, other.hi),
        ];
        let lo = products.into_iter().fold(f64::INFINITY, f64::min);
        let hi = products.into_iter().fold(f64::NEG_INFINITY, f64::max);
        Interval::outward(lo, hi, 1.0)
    }
}

/// Zero times anything is zero, an infinite end included: the end itself is never reached.
fn times(a: f64, b: f64) -> f64 {
    if a == 0.0 || b == 0.0 { 0.0 } else { a * b }
}

impl Div for Interval {
    type Output = Interval;
    fn div(self, other: Interval) -> Interval {
        if other.holds(0.0) {
            return if self == Interval::point(0.0) { self } else { Interval::ENTIRE };
        }
        self * Interval::outward(1.0 / other.hi, 1.0 / other.lo, 1.0)
    }
}
