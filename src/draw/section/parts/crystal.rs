//! The crystal in the cut, and its gasket.

use crate::draw::drafting::{Coordinate, Corner, Halves, Ink, View, size};
use crate::draw::section::levels::{CrystalCut, Levels, sag};
use crate::draw::svg::Sheet;
use crate::draw::watch::DrawnWatch;

/// The crystal from the axis: inner face outwards, its edge, outer face inwards.
pub(super) fn crystal_outline(crystal: &CrystalCut) -> Vec<Corner> {
    let sure = crystal.known() && crystal.rise.known && crystal.wall.known;
    let fix = |mm: f64| Coordinate { mm, known: sure };
    let radial = |mm: f64| Coordinate { mm, known: crystal.radius.known };
    let (r, a) = (crystal.radius.mm, crystal.aperture.mm.min(crystal.radius.mm - 0.05).max(0.1));
    let steps = if crystal.rise.mm.abs() < 1e-6 { 1 } else { 8_u8 };
    let mut out: Vec<Corner> = Vec::new();
    let along = |i: u8, steps: u8| f64::from(i) / f64::from(steps);
    for i in 0..=steps {
        // Closer together towards the edge, where a dome is steepest.
        let x = a * libm::sin(along(i, steps) * core::f64::consts::FRAC_PI_2);
        out.push((radial(x), fix(crystal.foot.mm + crystal.wall.mm + sag(x, a, crystal.rise.mm))));
    }
    if crystal.wall.mm > 0.0 {
        out.push((radial(a), crystal.foot));
    }
    out.push((radial(r), crystal.foot));
    let rise = crystal.outer_rise();
    let edge = crystal.foot.mm + crystal.height.mm - rise;
    let bevel = 0.25_f64.min((edge - crystal.foot.mm) * 0.4).min(r * 0.2).max(0.0);
    out.push((radial(r), fix(edge - bevel)));
    let steps = if rise < 1e-6 { 1 } else { 8_u8 };
    for i in (0..=steps).rev() {
        let x = (r - bevel) * libm::sin(along(i, steps) * core::f64::consts::FRAC_PI_2);
        out.push((radial(x), fix(edge + sag(x, r - bevel, rise))));
    }
    out
}

pub(super) fn crystal_gasket(
    sheet: &mut Sheet,
    view: &View,
    watch: &DrawnWatch,
    levels: &Levels,
    crystal: &CrystalCut,
    halves: Halves,
) {
    let Some(gasket) = watch.crystal_gasket else { return };
    let seat = levels.case.as_ref().map_or(crystal.radius.by(0.4), |case| case.crystal_seat);
    let rim = levels.case.as_ref().map_or(crystal.foot.mm + 1.0, |case| case.rim.mm);
    let tall = (crystal.height.mm - crystal.outer_rise()).clamp(0.2, 1.0);
    let top = Coordinate { mm: (crystal.foot.mm + tall).min(rim), known: crystal.foot.known };
    let flange = size(gasket.flange).unwrap_or(0.0);
    let foot = crystal.foot.by(-flange);
    let inside = if flange > 0.0 { crystal.radius.by(-0.5) } else { crystal.radius };
    view.ring(
        sheet,
        Ink::SOLID,
        &[
            (inside, foot),
            (seat, foot),
            (seat, top),
            (crystal.radius, top),
            (crystal.radius, crystal.foot),
            (inside, crystal.foot),
        ],
        halves,
    );
}
