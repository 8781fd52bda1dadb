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

#[cfg(test)]
mod tests {
    use super::plate::{Plate, Rim};
    use crate::fit::compiled::{Compiled, Scratch};
    use crate::fit::expr::{Expr, Shape, Term};

    #[test]
    fn a_check_may_use_the_formulas_as_they_are() {
        let size = |name: &'static str, value: f64| {
            let (name, value) = (name.into(), Some(value));
            Expr::leaf(Term { name, value, plus: 0.05, minus: 0.05, shape: Shape::Normal, tag: 0 })
        };
        let glass = Plate { rim: Rim::Free, poisson: 0.27, young_mpa: 345_000.0 };
        let compiled = Compiled::new(&glass.safety(
            448.0,
            Expr::from(0.5),
            size("radius", 14.0),
            size("thickness", 1.5),
        ));
        let ours = glass.safety(448.0, 0.5, 14.0, 1.5);
        let nominal: Vec<f64> = compiled.terms.iter().filter_map(|term| term.value).collect();
        assert!((compiled.value(&nominal, &mut Scratch::new()) - ours).abs() < 1e-12);
    }
}
