//! The dial in the cut, with what lies on it and around it.

use crate::draw::drafting::{Coordinate, Corner, Halves, Ink, View, size};
use crate::draw::section::levels::Levels;
use crate::draw::svg::Sheet;
use crate::draw::watch::{ChapterRing, DialRing, DrawnWatch};

pub(super) fn dial(sheet: &mut Sheet, view: &View, watch: &DrawnWatch, levels: &Levels, halves: Halves) {
    let (r, under, face) = (levels.dial, levels.under, levels.face);
    if watch.shim.is_some() {
        let outer = levels.movement.by(-0.1);
        let zero = Coordinate::known(0.0);
        let inner = outer.by(-2.1_f64.min(outer.mm * 0.5));
        view.ring(sheet, Ink::SOLID, &[(inner, zero), (outer, zero), (outer, under), (inner, under)], halves);
    }
    let Some(dial) = &watch.dial else { return };
    let hole = Coordinate::radius(dial.centre_hole, 1.0);
    // A window at 3 or 9 lies in the cut.
    let windows: Vec<(f64, f64)> = [dial.date_window, dial.day_window]
        .into_iter()
        .flatten()
        .filter(|w| w.at.is_some_and(|at| (at.rem_euclid(360.0) - 90.0).abs() < 12.0))
        .filter_map(|w| Some((size(w.radius)?, size(w.along)?)))
        .map(|(radius, along)| (radius - along / 2.0, radius + along / 2.0))
        .filter(|(a, b)| hole.mm < *a && *b < r.mm)
        .collect();
    let mut sorted = windows.clone();
    sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
    let band = |from: Coordinate, to: Coordinate| vec![(from, under), (to, under), (to, face), (from, face)];
    if windows.is_empty() {
        view.ring(sheet, Ink::SOLID, &band(hole, r), halves);
    } else {
        let mut from = hole;
        for (a, b) in sorted {
            if a > from.mm {
                view.ring(sheet, Ink::SOLID, &band(from, Coordinate::known(a)), Halves::Right);
                from = Coordinate::known(b);
            }
        }
        view.ring(sheet, Ink::SOLID, &band(from, r), Halves::Right);
        if halves == Halves::Both {
            let corners = band(hole, r).into_iter().map(|(x, z)| (x * -1.0, z)).collect::<Vec<_>>();
            view.ring(sheet, Ink::SOLID, &corners, Halves::Right);
        }
    }
    if let Some(indices) = dial.indices {
        let inner = Coordinate::size(indices.inner_radius, r.mm * 0.7);
        let outer = Coordinate::size(indices.outer_radius, r.mm * 0.92);
        let top = face + Coordinate::size(indices.height, 0.4);
        let corners = [(inner, face), (outer, face), (outer, top), (inner, top)];
        // None over a window.
        let free = windows.iter().all(|(a, b)| *b < inner.mm || outer.mm < *a);
        if free {
            view.ring(sheet, Ink::BRASS, &corners, halves);
        } else if halves == Halves::Both {
            view.ring(sheet, Ink::BRASS, &corners.map(|(r, z)| (r * -1.0, z)), Halves::Right);
        }
    }
    for (from, to, height) in dial.raised.iter().take(6) {
        if let (Some(from), Some(to), Some(height)) =
            (size(Some(*from)), size(Some(*to)), size(Some(*height)))
        {
            let top = face.by(height);
            let (from, to) = (Coordinate::known(from), Coordinate::known(to));
            view.ring(sheet, Ink::BRASS, &[(from, face), (to, face), (to, top), (from, top)], halves);
        }
    }
    if let Some(ring) = watch.dial_ring {
        let outline = dial_ring_outline(&ring, levels);
        view.ring(sheet, Ink::PLASTIC, &outline, halves);
    }
}

/// The ring around the dial.
pub(in crate::draw::section) fn dial_ring_outline(ring: &DialRing, levels: &Levels) -> Vec<Corner> {
    let inner = Coordinate::radius(ring.inner, levels.dial.mm + 0.03);
    let seat = levels.case.as_ref().map_or(levels.dial.mm + 0.8, |case| case.seat.mm);
    let outer = Coordinate::radius(ring.outer, seat - 0.03);
    let top = levels.under + Coordinate::size(ring.thickness, (levels.face - levels.under).mm);
    vec![(inner, levels.under), (outer, levels.under), (outer, top), (inner, top)]
}

pub(super) fn chapter_ring(
    sheet: &mut Sheet,
    view: &View,
    watch: &DrawnWatch,
    levels: &Levels,
    halves: Halves,
) {
    let Some(ring) = watch.chapter_ring else { return };
    let outline = chapter_ring_outline(&ring, levels);
    view.ring(sheet, Ink::NEIGHBOUR, &outline, halves);
}

/// A loose chapter ring on the dial's face.
pub(in crate::draw::section) fn chapter_ring_outline(ring: &ChapterRing, levels: &Levels) -> Vec<Corner> {
    let wall = levels.case.as_ref().map_or(levels.dial.mm, |case| case.wall.0.mm);
    let outer = Coordinate::radius(ring.outer, wall - 0.03);
    let bottom = Coordinate::radius(ring.cone.bottom, outer.mm - 0.7);
    let top = Coordinate::radius(ring.cone.top, (bottom.mm + 0.4).min(outer.mm));
    let height = levels.face + Coordinate::size(ring.cone.height, 1.2);
    vec![(bottom, levels.face), (outer, levels.face), (outer, height), (top, height)]
}
