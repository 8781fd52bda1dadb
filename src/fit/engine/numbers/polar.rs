//! The distance of two points in polar coordinates over a whole box.

use super::interval::Interval;
use super::number::Number;

/// Every distance, exactly: the greatest lies at the ends of the radii, the least where one
/// radius stands at an end and the other as near as it can come.
pub(in crate::fit::engine) fn apart(r: Interval, other: Interval, angle: Interval) -> Interval {
    let half = (angle * Interval::point(0.5)).sin_deg().abs();
    let far = |a: f64, b: f64| distance(a, b, half.hi);
    let most = f64::max(
        f64::max(far(r.lo, other.lo), far(r.lo, other.hi)),
        f64::max(far(r.hi, other.lo), far(r.hi, other.hi)),
    );
    let cos = 1.0 - 2.0 * half.lo * half.lo;
    let near = |a: f64, range: Interval| {
        let b = f64::min(f64::max(a * cos, range.lo), range.hi);
        distance(a, b, half.lo)
    };
    let least = f64::min(
        f64::min(near(r.lo, other), near(r.hi, other)),
        f64::min(near(other.lo, r), near(other.hi, r)),
    );
    let centre = r.lo <= 0.0 && other.lo <= 0.0;
    Interval::outward(if centre { 0.0 } else { least }, most, 16.0)
}

/// Slopes in both radii and the angle. A radius moves the distance by no more than itself, the
/// angle by no more than the smaller radius.
pub(in crate::fit::engine) fn slopes(
    r: Interval,
    other: Interval,
    angle: Interval,
    distance: Interval,
) -> (Interval, Interval, Interval) {
    let one = Interval { lo: -1.0, hi: 1.0 };
    let cos = angle.cos_deg();
    let most = f64::min(r.magnitude(), other.magnitude()).to_radians();
    let in_angle = r * other * angle.sin_deg() * Interval::point(1f64.to_radians()) / distance;
    (
        ((r - other * cos) / distance).within(one),
        ((other - r * cos) / distance).within(one),
        in_angle.within(signs_of(angle, most)),
    )
}

/// Whether the two points may fall together: there the distance has a tip.
pub(in crate::fit::engine) fn may_touch(distance: Interval) -> bool {
    distance.lo <= 0.0
}

/// The slope in the angle has the sign of its sine.
fn signs_of(angle: Interval, most: f64) -> Interval {
    let sin = angle.sin_deg();
    Interval { lo: if sin.lo >= 0.0 { 0.0 } else { -most }, hi: if sin.hi <= 0.0 { 0.0 } else { most } }
}

fn distance(a: f64, b: f64, half_sine: f64) -> f64 {
    libm::sqrt((a - b) * (a - b) + 4.0 * a * b * half_sine * half_sine)
}

#[cfg(test)]
mod tests {
    use super::super::number::sin_cos_deg;
    use super::*;

    #[test]
    fn half_angle_and_cartesian_agree() {
        for (a, b, angle) in [(12.6, 12.4, 1.0), (3.0, 4.0, 90.0), (5.0, 5.0, 180.0), (2.0, 1.0, 300.0)] {
            let (sin, cos) = sin_cos_deg(angle);
            let plain = libm::hypot(a - b * cos, b * sin);
            assert!((f64::apart(a, b, angle) - plain).abs() < 1e-12);
        }
    }

    #[test]
    fn equal_points_inside_the_box_are_seen() {
        let range = apart(Interval::new(12.5, 12.7), Interval::new(12.6, 12.8), Interval::new(-0.3, 0.4));
        assert_eq!(range.lo, 0.0);
        assert!((range.hi - f64::apart(12.5, 12.8, 0.4)).abs() < 1e-9);
    }
}
