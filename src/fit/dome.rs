//! The slopes of a dome's sag over a whole box of sizes.

use super::interval::Interval;
use super::number::Number;

/// Slopes of the sag in radius, aperture and rise.
///
/// Measured in aperture radii, a dome's slopes depend on two numbers: how far out (0..1) and how
/// steep, rise over aperture (0..1). Each slope is monotone in both, so corners enclose it.
pub(super) fn slopes(r: Interval, aperture: Interval, rise: Interval) -> (Interval, Interval, Interval) {
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
    let mut in_a = Interval { lo: in_aperture(out.lo, steep.lo), hi: in_aperture(out.hi, steep.hi) };
    let mut in_i = Interval { lo: in_rise(out.hi, steep.lo), hi: in_rise(out.lo, steep.hi) };
    if r.hi >= aperture.lo || rise.lo < 0.0 {
        // Beyond the edge, and on a flat, nothing slopes.
        (in_r, in_a, in_i) = (in_r.hull(zero), in_a.hull(zero), in_i.hull(zero));
    }
    (widened(in_r), widened(in_a), widened(in_i))
}

/// Whether the dome's edge, or the change from flat to domed, lies inside the box.
pub(super) fn edge_inside(r: Interval, aperture: Interval, rise: Interval) -> bool {
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
