//! The pressure of water over a watch, above that of the air.

use super::{Amount, square};

/// The depth in metres that a pressure in bar stands for by the marking rule.
fn marked_depth_m<T: Amount>(bar: T) -> T {
    bar * 10.0
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

/// Sea water at the surface (salinity 35.16504 g/kg, 0 degrees), kg/m3: TEOS-10.
pub const SEA_DENSITY: f64 = 1028.107;

/// By how much sea water gives, 1/Pa (35.16504 g/kg, 0 degrees): TEOS-10.
const SEA_COMPRESSIBILITY: f64 = 4.6326e-10;

/// At the sea's surface, 45 degrees of latitude, m/s2: TEOS-10.
const GRAVITY_AT_45: f64 = 9.8062;

/// Share by which gravity grows with each metre of depth: TEOS-10.
const GRAVITY_GROWTH: f64 = 2.26e-7;
