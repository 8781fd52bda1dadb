//! The weight of a hand: what pulls it round and what it takes to start it.

use super::{Amount, square};
use std::f64::consts::FRAC_PI_4;

/// Mass, first and second moment of a hand about its post. Hands are summed of their pieces.
#[derive(Clone, Debug, PartialEq)]
pub struct Moments<T> {
    /// mg.
    pub mass: T,
    /// mg mm, positive towards the tip.
    pub first: T,
    /// mg mm2.
    pub inertia: T,
}

impl<T: Amount> Moments<T> {
    /// A blade of even width and thickness from the tail's end to the tip, its width neglected
    /// beside its length. `density` is kg/m3; `tail` is 0 without one.
    pub fn bar(density: f64, width_mm: T, thickness_mm: T, tip_mm: T, tail_mm: T) -> Self {
        let per_length = width_mm * thickness_mm * (density / 1000.0);
        let (tip2, tail2) = (square(tip_mm.clone()), square(tail_mm.clone()));
        Self {
            mass: per_length.clone() * (tip_mm.clone() + tail_mm.clone()),
            first: per_length.clone() * (tip2.clone() - tail2.clone()) / 2.0,
            inertia: per_length * (tip2 * tip_mm + tail2 * tail_mm) / 3.0,
        }
    }

    /// A hand that was weighed and balanced on an edge: its mass, how far from the post it
    /// balances (positive towards the tip), and its reach both ways, from which the inertia is
    /// taken as that of an even bar.
    pub fn weighed(mass_mg: T, centroid_mm: T, tip_mm: T, tail_mm: T) -> Self {
        let ends = square(tip_mm.clone()) - tip_mm * tail_mm.clone() + square(tail_mm);
        Self { mass: mass_mg.clone(), first: mass_mg.clone() * centroid_mm, inertia: mass_mg * ends / 3.0 }
    }

    /// A disc of sheet, such as a counterweight, `centre_mm` from the post: negative on the tail.
    pub fn disc(density: f64, diameter_mm: T, thickness_mm: T, centre_mm: T) -> Self {
        let mass = square(diameter_mm.clone()) * thickness_mm * (density / 1000.0 * FRAC_PI_4);
        let own = square(diameter_mm) / 8.0;
        Self {
            mass: mass.clone(),
            first: mass.clone() * centre_mm.clone(),
            inertia: mass * (own + square(centre_mm)),
        }
    }

    /// A small mass, such as the lume, at a radius.
    pub fn point(mass_mg: T, radius_mm: T) -> Self {
        Self {
            mass: mass_mg.clone(),
            first: mass_mg.clone() * radius_mm.clone(),
            inertia: mass_mg * square(radius_mm),
        }
    }

    /// Both pieces as one.
    pub fn and(self, other: Self) -> Self {
        Self {
            mass: self.mass + other.mass,
            first: self.first + other.first,
            inertia: self.inertia + other.inertia,
        }
    }

    /// Where the hand balances, mm from the post, positive towards the tip.
    pub fn centroid_mm(&self) -> T {
        self.first.clone() / self.mass.clone()
    }

    /// The torque, uN m, with which a level hand in an upright watch pulls on its post; the sign
    /// is the first moment's.
    pub fn unbalance_unm(&self) -> T {
        self.first.clone() * (STANDARD_GRAVITY / 1000.0)
    }
}

/// The mass, mg, that balances a first moment at that radius on the other side of the post.
pub fn counterweight_mg(first_mg_mm: f64, radius_mm: f64) -> f64 {
    first_mg_mm / radius_mm
}

/// The diameter, mm, of a disc of that mass cut from sheet; `density` is kg/m3.
pub fn disc_diameter_mm(mass_mg: f64, density: f64, thickness_mm: f64) -> f64 {
    (mass_mg / (density / 1000.0 * thickness_mm * FRAC_PI_4)).sqrt()
}

/// m/s2: the third General Conference on Weights and Measures, 1901.
const STANDARD_GRAVITY: f64 = 9.80665;

#[cfg(test)]
mod tests {
    use super::*;

    /// Summed over small squares, without any formula for a moment.
    #[test]
    fn a_disc_turns_about_its_axis() {
        let (diameter, centre, step) = (2.0, -3.5, 0.002);
        let (mut mass, mut first, mut inertia) = (0.0, 0.0, 0.0);
        for row in 0..1000 {
            for column in 0..1000 {
                let at = |index: i32| (f64::from(index) + 0.5) * step - diameter / 2.0;
                let (x, y) = (at(row), at(column));
                if x * x + y * y <= diameter * diameter / 4.0 {
                    let piece = 8500.0 / 1000.0 * 0.1 * step * step;
                    mass += piece;
                    first += piece * (x + centre);
                    inertia += piece * ((x + centre) * (x + centre) + y * y);
                }
            }
        }
        let disc = Moments::disc(8500.0, diameter, 0.1, centre);
        for (ours, summed) in [(disc.mass, mass), (disc.first, first), (disc.inertia, inertia)] {
            assert!((ours / summed - 1.0).abs() < 1e-4, "{ours} {summed}");
        }
    }

    #[test]
    fn a_counterweight_balances() {
        let blade = Moments::bar(8500.0, 0.2, 0.1, 12.0, 4.0);
        let weight = Moments::point(counterweight_mg(blade.first, 3.5), -3.5);
        assert!(blade.and(weight).unbalance_unm().abs() < 1e-12);
    }
}
