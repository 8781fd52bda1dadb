//! A figure of the drawing that knows whether it was measured.

use std::ops::{Add, Mul, Sub};

/// A radius or a height in mm; where it was not measured it holds a usual value, and every edge that
/// ends in it is dashed.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) struct Coordinate {
    pub(crate) mm: f64,
    pub(crate) known: bool,
}

/// No part of a wristwatch is larger; what is has been mistyped and would leave no drawing.
const LARGEST: f64 = 80.0;

impl Coordinate {
    pub(crate) fn known(mm: f64) -> Coordinate {
        Coordinate { mm, known: true }
    }

    pub(crate) fn guess(mm: f64) -> Coordinate {
        Coordinate { mm, known: false }
    }

    /// A length that is not below 0, or a usual one in its place.
    pub(crate) fn size(value: Option<f64>, usual: f64) -> Coordinate {
        match size(value) {
            Some(mm) => Coordinate::known(mm),
            None => Coordinate::guess(usual),
        }
    }

    /// Half of a diameter, or a usual radius in its place.
    pub(crate) fn radius(diameter: Option<f64>, usual: f64) -> Coordinate {
        Coordinate::size(diameter.map(|d| d / 2.0), usual)
    }

    /// A height over or under the plate, or a usual one in its place.
    pub(crate) fn height(value: Option<f64>, usual: f64) -> Coordinate {
        match value.filter(|v| v.is_finite() && v.abs() <= LARGEST / 2.0) {
            Some(mm) => Coordinate::known(mm),
            None => Coordinate::guess(usual),
        }
    }

    /// Further on by so much, as well known as before.
    pub(crate) fn by(self, mm: f64) -> Coordinate {
        Coordinate { mm: self.mm + mm, ..self }
    }

    pub(crate) fn max(self, other: Coordinate) -> Coordinate {
        if other.mm > self.mm { other } else { self }
    }
}

/// A length that can be drawn: finite, not below 0, not larger than any wristwatch.
pub(crate) fn size(value: Option<f64>) -> Option<f64> {
    value.filter(|v| (0.0..=LARGEST).contains(v))
}

impl Add for Coordinate {
    type Output = Coordinate;
    fn add(self, other: Coordinate) -> Coordinate {
        Coordinate { mm: self.mm + other.mm, known: self.known && other.known }
    }
}

impl Sub for Coordinate {
    type Output = Coordinate;
    fn sub(self, other: Coordinate) -> Coordinate {
        Coordinate { mm: self.mm - other.mm, known: self.known && other.known }
    }
}

impl Mul<f64> for Coordinate {
    type Output = Coordinate;
    fn mul(self, factor: f64) -> Coordinate {
        Coordinate { mm: self.mm * factor, ..self }
    }
}
