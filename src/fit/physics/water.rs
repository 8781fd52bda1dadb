//! The pressure of water over a watch, above that of the air.

use super::{Amount, square};

/// What a depth in metres is marked as, bar: 10 m is 1 bar, whatever the water weighs.
pub fn marked_bar<T: Amount>(depth_m: T) -> T {
    depth_m / 10.0
}

/// The depth in metres that a pressure in bar stands for by the marking rule.
pub fn marked_depth_m<T: Amount>(bar: T) -> T {
    bar * 10.0
}

/// The pressure, MPa, in water of an even density, kg/m3.
pub fn pressure_mpa<T: Amount>(depth_m: T, density: f64) -> T {
    depth_m * (density * STANDARD_GRAVITY / 1e6)
}

/// The depth, m, at which water of an even density, kg/m3, has the pressure.
pub fn depth_m<T: Amount>(pressure_mpa: T, density: f64) -> T {
    pressure_mpa * (1e6 / (density * STANDARD_GRAVITY))
}

/// The pressure, MPa, in the sea at 45 degrees of latitude: the water's own weight presses it
/// together a little, and gravity grows a little. Within 1e-5 of itself of TEOS-10 down to 1000 m;
/// 0.3 % more at the pole, and as much less at the equator.
pub fn sea_pressure_mpa<T: Amount>(depth_m: T) -> T {
    let surface = SEA_DENSITY * GRAVITY_AT_45 / 1e6;
    let closer = (SEA_DENSITY * GRAVITY_AT_45 * SEA_COMPRESSIBILITY + GRAVITY_GROWTH) / 2.0;
    depth_m.clone() * surface + square(depth_m) * (surface * closer)
}

/// The pressure, MPa, with which a watch marked for so many bar is loaded at the depth that the
/// mark names, in the sea: 1 to 2 % more than the mark says.
pub fn marked_load_mpa<T: Amount>(bar: T) -> T {
    sea_pressure_mpa(marked_depth_m(bar))
}

/// The force, N, on a disc that water presses on from one side.
pub fn force_n<T: Amount>(pressure_mpa: T, diameter_mm: T) -> T {
    pressure_mpa * square(diameter_mm) * std::f64::consts::FRAC_PI_4
}

/// Fresh water at 20 degrees, kg/m3: IAPWS-95, as used for the published values compared.
pub const FRESH_DENSITY: f64 = 998.2071;

/// Sea water at the surface (salinity 35.16504 g/kg, 0 degrees), kg/m3: TEOS-10.
pub const SEA_DENSITY: f64 = 1028.107;

/// By how much sea water gives, 1/Pa (35.16504 g/kg, 0 degrees): TEOS-10.
const SEA_COMPRESSIBILITY: f64 = 4.6326e-10;

/// m/s2: the third General Conference on Weights and Measures, 1901.
const STANDARD_GRAVITY: f64 = 9.80665;

/// At the sea's surface, 45 degrees of latitude, m/s2: TEOS-10.
const GRAVITY_AT_45: f64 = 9.8062;

/// Share by which gravity grows with each metre of depth: TEOS-10.
const GRAVITY_GROWTH: f64 = 2.26e-7;
