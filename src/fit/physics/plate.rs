//! A round flat plate under an even pressure: crystal and case back.
//!
//! Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, 2nd edition 1959, article 16;
//! Roark, table 11.2 cases 10a and 10b (table number from memory). Thin plates with small
//! deflections: see [`thin_enough`]; they may bend by at most half their thickness.

use super::{Amount, square};

/// How the rim of a plate is held.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Rim {
    /// Simply supported: it rests on a ledge and may tilt. The greatest stress is at the centre.
    Free,
    /// Clamped: it may not tilt. The greatest stress is at the rim.
    Held,
}

/// A plate's measures that are not in question: how its rim is held and what it is made of.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Plate {
    /// How the rim is held.
    pub rim: Rim,
    /// Poisson's ratio.
    pub poisson: f64,
    /// Young's modulus, MPa.
    pub young_mpa: f64,
}

impl Plate {
    /// How far the centre bends, mm.
    pub fn deflection_mm<T: Amount>(&self, pressure_mpa: T, radius_mm: T, thickness_mm: T) -> T {
        let stiffness = self.young_mpa / (12.0 * (1.0 - self.poisson * self.poisson));
        let held = 1.0 / (64.0 * stiffness);
        let factor = match self.rim {
            Rim::Free => held * (5.0 + self.poisson) / (1.0 + self.poisson),
            Rim::Held => held,
        };
        let slenderness = radius_mm / thickness_mm.clone();
        pressure_mpa * square(square(slenderness)) * thickness_mm * factor
    }

    /// How many times its load the plate bears before the stress reaches `strength_mpa`.
    pub fn safety<T: Amount>(&self, strength_mpa: f64, pressure_mpa: T, radius_mm: T, thickness_mm: T) -> T {
        square(thickness_mm / radius_mm) / pressure_mpa * (strength_mpa / self.stress_factor())
    }

    /// Stress over pressure x (radius / thickness) squared.
    fn stress_factor(&self) -> f64 {
        match self.rim {
            Rim::Free => 3.0 * (3.0 + self.poisson) / 8.0,
            Rim::Held => 0.75,
        }
    }
}

/// Whether a plate is thin enough for these formulas: at most a quarter of its diameter (Roark, as
/// reported at accessengineeringlibrary.com).
pub fn thin_enough(radius_mm: f64, thickness_mm: f64) -> bool {
    thickness_mm <= radius_mm / 2.0
}
