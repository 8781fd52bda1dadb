//! The movement, not cut, and the ring around it.

use crate::draw::drafting::{Coordinate, Corner, Halves, Ink, View, size};
use crate::draw::section::levels::Levels;
use crate::draw::svg::Sheet;
use crate::draw::watch::{DrawnWatch, MovementRing};

pub(super) fn movement(sheet: &mut Sheet, view: &View, watch: &DrawnWatch, levels: &Levels, halves: Halves) {
    let Some(movement) = &watch.movement else { return };
    let r = levels.movement;
    let (zero, low) = (Coordinate::known(0.0), levels.lowest);
    let axis = Coordinate::known(0.0);
    if movement.self_winds {
        // Body, then the rotor below it.
        let body = low * 0.72;
        let rotor = match size(movement.rotor_radius) {
            Some(rotor) => Coordinate::known(rotor),
            None => r.by(-0.4),
        };
        view.disc(sheet, Ink::UNCUT, &[(axis, zero), (r, zero), (r, body), (axis, body)], halves);
        let top = body.by(low.mm * 0.08);
        view.disc(
            sheet,
            Ink::UNCUT,
            &[(axis, body), (r.by(-1.2), body), (r.by(-1.2), top), (axis, top)],
            halves,
        );
        view.disc(sheet, Ink::UNCUT, &[(axis, top), (rotor, top), (rotor, low), (axis, low)], halves);
    } else {
        view.disc(
            sheet,
            Ink::UNCUT,
            &[(axis, zero), (r, zero), (r, low * 0.8), (r.by(-0.5), low), (axis, low)],
            halves,
        );
    }
    if let Some((outer, height)) = movement.holder {
        let outer = Coordinate::radius(outer, r.mm + 1.0);
        let low = Coordinate::known(0.0) - Coordinate::size(height, 2.0);
        view.ring(sheet, Ink::PLASTIC, &[(r, zero), (outer, zero), (outer, low), (r, low)], halves);
    }
}

pub(super) fn movement_ring(
    sheet: &mut Sheet,
    view: &View,
    watch: &DrawnWatch,
    levels: &Levels,
    halves: Halves,
) {
    let Some(ring) = watch.ring else { return };
    let outline = movement_ring_outline(&ring, levels);
    let ink = if ring.metal { Ink { outline: "n", filling: "h2" } } else { Ink::PLASTIC };
    view.ring(sheet, ink, &outline, halves);
}

/// The ring between movement and case.
pub(in crate::draw::section) fn movement_ring_outline(ring: &MovementRing, levels: &Levels) -> Vec<Corner> {
    let bore = levels.case.as_ref().map_or(levels.movement.mm + 0.9, |case| case.bore.mm);
    let inner = Coordinate::radius(ring.inner, levels.movement.mm + 0.03);
    let outer = Coordinate::radius(ring.outer, bore - 0.03);
    let top = Coordinate::known(0.0) - Coordinate::height(ring.from_seat, 0.3);
    let inside = levels.case.as_ref().map_or(levels.lowest.mm, |case| case.inside.mm);
    let bottom = top - Coordinate::size(ring.height, (top.mm - inside).max(0.5));
    vec![(inner, top), (outer, top), (outer, bottom), (inner, bottom)]
}
