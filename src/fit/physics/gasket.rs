//! Round gaskets in their groove. Shares are fractions: 0.24 is a squeeze of 24 %.

use super::{Amount, square};
use std::f64::consts::FRAC_PI_4;

/// How much of its section a ring gives up: (section - gap) / section.
pub fn squeeze<T: Amount>(section_mm: T, gap_mm: T) -> T {
    (section_mm.clone() - gap_mm) / section_mm
}

/// How far a ring is drawn out over its groove: (groove's inner diameter - ring's) / ring's.
pub fn stretch<T: Amount>(ring_inner_mm: T, groove_inner_mm: T) -> T {
    (groove_inner_mm - ring_inner_mm.clone()) / ring_inner_mm
}

/// How much of the groove's section the ring's section fills.
pub fn fill<T: Amount>(section_mm: T, depth_mm: T, width_mm: T) -> T {
    square(section_mm) * FRAC_PI_4 / (depth_mm * width_mm)
}

/// The section of a stretched ring whose volume stays: (ring + section) section^2 =
/// (groove + x) x^2, mm. A ring that is not stretched keeps its section.
pub fn section_at_constant_volume(section_mm: f64, ring_inner_mm: f64, groove_inner_mm: f64) -> f64 {
    if groove_inner_mm <= ring_inner_mm {
        return section_mm;
    }
    let volume = (ring_inner_mm + section_mm) * section_mm * section_mm;
    // Newton from the unstretched section, which lies above the root of a rising convex curve: it
    // closes in from above and doubles its digits, so a dozen steps are plenty.
    let mut x = section_mm;
    for _ in 0..12 {
        let slope = (2.0 * groove_inner_mm + 3.0 * x) * x;
        x -= ((groove_inner_mm + x) * x * x - volume) / slope;
    }
    x
}
