//! Plain physics behind the checks: water, plates, gaskets, hands, wrists.
//!
//! Each formula is written once over [`Amount`], so that it takes a plain `f64` as well as an
//! expression whose worst case and spread are wanted. Lengths are mm, masses mg, pressures and
//! stresses MPa (1 bar is 0.1 MPa) unless the name says otherwise.

use std::ops::{Add, Div, Mul, Sub};

pub mod gasket;
pub mod hand;
pub mod materials;
pub mod plate;
pub mod water;
pub mod wrist;

/// What a formula may be written over: a number that can be added to, taken from, multiplied and
/// divided by its like and by a plain factor.
pub trait Amount:
    Clone
    + Add<Self, Output = Self>
    + Sub<Self, Output = Self>
    + Mul<Self, Output = Self>
    + Div<Self, Output = Self>
    + Add<f64, Output = Self>
    + Sub<f64, Output = Self>
    + Mul<f64, Output = Self>
    + Div<f64, Output = Self>
{
}

impl<T> Amount for T where
    T: Clone
        + Add<Self, Output = Self>
        + Sub<Self, Output = Self>
        + Mul<Self, Output = Self>
        + Div<Self, Output = Self>
        + Add<f64, Output = Self>
        + Sub<f64, Output = Self>
        + Mul<f64, Output = Self>
        + Div<f64, Output = Self>
{
}

fn square<T: Amount>(x: T) -> T {
    x.clone() * x
}
