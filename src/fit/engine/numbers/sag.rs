//! The slopes of a dome's sag over a whole box of sizes.

use super::interval::Interval;
use super::number::Number;

/// Slopes of the sag in radius, aperture and rise.
///
/// Measured in aperture radii, a dome's slopes depend on two numbers: how far out (0..1) and how
/// steep, rise over aperture (0..1). Each slope is monotone in both, so corners enclose it; that
/// in the aperture only up to about 0.57, steeper than any crystal, and is bounded coarsely there.
pub(in crate::fit::engine) fn slopes(
    r: Interval,
    aperture: Interval,
    rise: Interval,
) -> (Interval, Interval, Interval) {
    let zero = Interval::point(0.0);
    if r.lo >= aperture.hi || rise.hi < 0.0 || aperture.hi <= 0.0 {
        return (zero, zero, zero);
    }
    if aperture.lo <= 0.0 || rise.hi >= aperture.lo {
        let up = Interval { lo: 0.0, hi: f64::INFINITY };
        return (-up, up, Interval { lo: 0.0, hi: 1.0 });
    }
    let out = Interval {
        lo: f64::max(r.lo, 0.0) / aperture.hi,
        hi: f64::min(f64::max(r.hi, 0.0) / aperture.lo, 1.0),
    };
    let steep =
        Interval { lo: f64::max(rise.lo, 0.0) / aperture.hi, hi: f64::max(rise.hi, 0.0) / aperture.lo };
    let mut in_r = Interval { lo: in_radius(out.hi, steep.hi), hi: in_radius(out.lo, steep.lo) };
    let mut in_a = if steep.hi <= STEEPEST_MONOTONE {
        Interval { lo: in_aperture(out.lo, steep.lo), hi: in_aperture(out.hi, steep.hi) }
    } else {
        Interval { lo: 0.0, hi: coarse_in_aperture(out.hi, steep) }
    };
    let mut in_i = Interval { lo: in_rise(out.hi, steep.lo), hi: in_rise(out.lo, steep.hi) };
    if r.hi >= aperture.lo || rise.lo < 0.0 {
        // Beyond the edge, and on a flat, nothing slopes.
        (in_r, in_a, in_i) = (in_r.hull(zero), in_a.hull(zero), in_i.hull(zero));
    }
    (widened(in_r), widened(in_a), widened(in_i))
}

/// Whether the dome's edge, or the change from flat to domed, lies inside the box.
pub(in crate::fit::engine) fn edge_inside(r: Interval, aperture: Interval, rise: Interval) -> bool {
    let flat = rise.hi <= 0.0;
    let outside = r.lo >= aperture.hi;
    !flat && !outside && (r.hi >= aperture.lo || rise.lo < 0.0 || rise.hi >= aperture.lo)
}

fn in_radius(out: f64, steep: f64) -> f64 {
    f64::sag_slopes(inside(out), 1.0, steep).0
}

fn in_aperture(out: f64, steep: f64) -> f64 {
    f64::sag_slopes(inside(out), 1.0, steep).1
}

/// Up to this rise over aperture the slope in the aperture grows with the rise.
const STEEPEST_MONOTONE: f64 = 0.55;

/// No slope in the aperture lies above it: the numerator at its greatest, the root at its least.
fn coarse_in_aperture(out: f64, steep: Interval) -> f64 {
    let (low, high) = (steep.lo * steep.lo, steep.hi * steep.hi);
    let square = (1.0 + low) * (1.0 + low) - 4.0 * high * out * out;
    let root = Number::sqrt(square);
    if root > 0.0 { 4.0 * steep.hi * out * out / (root * (1.0 + low + root)) } else { f64::INFINITY }
}

fn in_rise(out: f64, steep: f64) -> f64 {
    f64::sag_slopes(inside(out), 1.0, steep).2
}

/// Just inside the edge, where the slopes are those that the dome itself has there.
fn inside(out: f64) -> f64 {
    f64::min(out, 1.0 - f64::EPSILON)
}

fn widened(slope: Interval) -> Interval {
    let slack = 1e-12;
    Interval { lo: slope.lo - slack * libm::fabs(slope.lo), hi: slope.hi + slack * libm::fabs(slope.hi) }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        /// The slopes at any point of a box lie in what the corners say.
        #[test]
        fn corners_enclose_the_slopes(
            (r, a, i) in (0.0..16.0f64, 8.0..16.0f64, 0.0..9.0f64),
            (dr, da, di) in (0.0..2.0f64, 0.0..1.0f64, 0.0..1.0f64),
            (u, v, w) in (0.0..1.0f64, 0.0..1.0f64, 0.0..1.0f64),
        ) {
            let (in_r, in_a, in_i) =
                slopes(Interval::new(r, r + dr), Interval::new(a, a + da), Interval::new(i, i + di));
            let at = f64::sag_slopes(r + u * dr, a + v * da, i + w * di);
            for (slope, range) in [(at.0, in_r), (at.1, in_a), (at.2, in_i)] {
                let slack = 1e-9 * (1.0 + slope.abs());
                prop_assert!(range.lo - slack <= slope && slope <= range.hi + slack, "{slope} in {range:?}");
            }
        }
    }
}
