//! The shape of a case from the front: lugs, spring bars, crown.

use std::f64::consts::PI;

use super::coordinate::Coordinate;

/// The four lugs in mm from the axis, right and down; their shape is a usual one. `r`: the case's
/// radius, `gap`: half of the width between lugs, `end`: half of lug to lug.
pub(crate) fn lug_outlines(r: f64, gap: f64, end: f64) -> Vec<[(f64, f64); 6]> {
    if end <= r || gap >= r * 0.95 {
        return Vec::new();
    }
    let inner = inner(r, gap);
    let wide = (r * 0.17).min(r - gap);
    let lug = [
        (gap, inner),
        (gap, end - 0.6),
        (gap + wide * 0.2, end),
        (gap + wide * 0.72, end),
        (gap + wide, end - 0.9),
        (r * 0.77, r * 0.63),
    ];
    [(-1.0, -1.0), (1.0, -1.0), (-1.0, 1.0), (1.0, 1.0)]
        .into_iter()
        .map(|(side, down)| lug.map(|(a, b)| (a * side, b * down)))
        .collect()
}

/// The two edges of each spring bar between the lugs, in mm from the axis.
pub(crate) fn spring_bars(r: f64, gap: f64, end: f64) -> Vec<[(f64, f64); 2]> {
    if end <= r || gap >= r * 0.95 {
        return Vec::new();
    }
    [end - 1.3, end - 2.1]
        .into_iter()
        .filter(|at| *at > inner(r, gap) + 0.4)
        .flat_map(|at| [-1.0, 1.0].map(|down| [(-gap, at * down), (gap, at * down)]))
        .collect()
}

fn inner(r: f64, gap: f64) -> f64 {
    libm::sqrt((r * r - gap * gap).max(0.0)) - 0.3
}

/// The crown in mm from the axis, `half` its radius, turned to its place by the clock.
pub(crate) fn crown_outline(r: f64, half: f64, clock: f64) -> [(f64, f64); 10] {
    let angle = clock / 180.0 * PI;
    let (sin, cos) = (libm::sin(angle), libm::cos(angle));
    let neck = half * 0.42;
    let edge = 0.4_f64.min(half);
    [
        (r - 0.1, -neck),
        (r + 0.3, -neck),
        (r + 0.3, -half),
        (r + 2.4, -half),
        (r + 2.8, -half + edge),
        (r + 2.8, half - edge),
        (r + 2.4, half),
        (r + 0.3, half),
        (r + 0.3, neck),
        (r - 0.1, neck),
    ]
    .map(|(out, across)| (out * sin + across * cos, -out * cos + across * sin))
}

/// The radius of a case that was not measured.
pub(crate) fn case_radius(dial: f64, diameter: Option<f64>) -> Coordinate {
    Coordinate::radius(diameter, dial + 3.6)
}
