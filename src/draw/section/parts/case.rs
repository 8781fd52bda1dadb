//! The case in the cut with its back, its bezel and the back's gasket.

use crate::draw::drafting::{Coordinate, Corner, Halves, Ink, View, size};
use crate::draw::section::levels::{CaseCut, Levels};
use crate::draw::svg::Sheet;
use crate::draw::watch::{DrawnWatch, Ledge};

/// The right half of the case, around from the ledge's inner edge.
pub(in crate::draw::section) fn case_outline(
    watch: &DrawnWatch,
    levels: &Levels,
    case: &CaseCut,
) -> Vec<Corner> {
    let ledge = watch.case.as_ref().map_or(Ledge::Front, |c| c.ledge);
    let thickness = (levels.face - levels.under).mm.max(0.05);
    let (foot, top, top_height) = case.wall;
    let mut out: Vec<Corner> = Vec::new();
    match ledge {
        Ledge::Front | Ledge::OverSeat(_) => {
            // Up under the ledge from behind: the seat is as deep as the dial is thick.
            let floor = levels.ledge.by(-thickness - 0.05);
            if foot.mm < case.seat.mm {
                out.push((foot, levels.ledge));
            }
            out.extend([(case.seat, levels.ledge), (case.seat, floor), (case.bore, floor)]);
        }
        Ledge::Back => {
            let rest = Coordinate { mm: case.bore.mm.min(case.seat.mm - 0.3), known: case.bore.known };
            let floor = levels.ledge.by(-0.45);
            let lip = levels.face.by(0.03);
            if foot.mm < case.seat.mm {
                out.push((foot, lip));
            }
            out.extend([(case.seat, lip), (case.seat, levels.ledge), (rest, levels.ledge), (rest, floor)]);
            if (case.bore.mm - rest.mm).abs() > 0.01 {
                out.push((case.bore, floor));
            }
        }
    }

    // Down the bore to the back, with the groove of its gasket, and out to the flank.
    let wall = (case.outer - case.bore) * 1.0;
    let part = |share: f64| Coordinate { mm: case.bore.mm + wall.mm.max(0.2) * share, known: wall.known };
    let bottom = case.inside.by(-0.25);
    let (groove, width, depth) = groove(watch, case);
    out.push((case.bore, case.inside));
    out.extend([
        (groove, case.inside),
        (groove, case.inside.by(depth)),
        (groove.by(width), case.inside.by(depth)),
        (groove.by(width), case.inside),
    ]);
    let land = groove.mm + width + wall.mm.max(0.2) * 0.06;
    let land = Coordinate { mm: land.min(part(0.6).mm), known: wall.known };
    out.extend([(land, case.inside), (land, bottom)]);

    let tall = case.rim - bottom;
    let up = |share: f64| Coordinate { mm: bottom.mm + tall.mm.max(0.5) * share, known: tall.known };
    out.extend([
        (part(0.6), bottom),
        (part(0.80), up(0.05)),
        (part(0.95), up(0.16)),
        (case.outer, up(0.29)),
        (case.outer, up(0.77)),
    ]);
    // The bezel's step, never inside of the crystal's seat.
    let shoulder = case.outer.by(-(case.outer - case.crystal_seat).mm.max(0.0) * 0.32);
    let chamfer = case.outer.by(-(case.outer - case.crystal_seat).mm.max(0.0) * 0.68);
    out.extend([
        (shoulder, up(0.82)),
        (shoulder, up(0.91)),
        (chamfer, case.rim),
        (case.crystal_seat, case.rim),
        (case.crystal_seat, case.shelf),
        (top, case.shelf),
    ]);
    if top_height.mm < case.shelf.mm - 1e-6 {
        out.push((top, top_height));
    }
    if foot.mm >= case.seat.mm {
        // The wall stands back from the seat: no ledge over the dial.
        out.push((foot, levels.ledge.max(levels.face)));
    }
    out
}

/// The gasket groove in the case: inner radius, width, depth.
fn groove(watch: &DrawnWatch, case: &CaseCut) -> (Coordinate, f64, f64) {
    let section = watch.back_gasket.and_then(|g| size(g.section)).unwrap_or(0.45);
    let width = (section * 1.3).clamp(0.1, ((case.outer - case.bore).mm * 0.3).max(0.1));
    let inner = watch.back_gasket.and_then(|g| size(g.inner)).map(|d| d / 2.0);
    let fits = |r: &f64| case.bore.mm <= *r && *r + width < case.outer.mm;
    let wall = (case.outer - case.bore).mm.max(0.2);
    let inner = inner.filter(fits).map_or(
        Coordinate { mm: case.bore.mm + wall * 0.05, known: case.bore.known && case.outer.known },
        Coordinate::known,
    );
    (inner, width, section * 0.75)
}

pub(super) fn back_gasket(
    sheet: &mut Sheet,
    view: &View,
    watch: &DrawnWatch,
    case: &CaseCut,
    halves: Halves,
) {
    let Some(gasket) = watch.back_gasket else { return };
    let (inner, width, depth) = groove(watch, case);
    let r = (inner.mm + width / 2.0, case.inside.mm + depth / 2.0);
    let radius = size(gasket.section).map_or(0.2, |s| s / 2.0).min(depth * 0.62);
    let class = if gasket.section.is_some() { "s" } else { "u" };
    sheet.circle(class, view.x(r.0), view.y(r.1), radius * view.scale);
    if halves == Halves::Both {
        sheet.circle(class, view.x(-r.0), view.y(r.1), radius * view.scale);
    }
}

/// The back, from the axis outwards inside and back to the axis outside.
pub(super) fn back_outline(watch: &DrawnWatch, levels: &Levels, case: &CaseCut) -> Vec<Corner> {
    let wall = (case.outer - case.bore).mm.max(0.2);
    let (groove, width, _) = groove(watch, case);
    let step = Coordinate {
        mm: (groove.mm + width + wall * 0.03).min(case.bore.mm + wall * 0.57),
        known: case.outer.known && case.bore.known,
    };
    let edge = case.bore.mm + wall * 0.57;
    let edge = Coordinate { mm: edge.max(step.mm), known: step.known };
    let bottom = case.inside.by(-0.27);
    let mut out: Vec<Corner> = Vec::new();
    let profile = watch.case.as_ref().map_or(&[][..], |c| &c.back_profile[..]);
    let mut hollow: Vec<(f64, f64)> = profile
        .iter()
        .copied()
        .filter(|(r, depth)| (0.0..step.mm).contains(r) && (0.0..=40.0).contains(depth))
        .collect();
    hollow.sort_by(|a, b| a.0.total_cmp(&b.0));
    for (i, (r, depth)) in hollow.iter().enumerate() {
        let z = levels.ledge.by(-depth);
        if i == 0 && *r > 0.0 {
            out.push((Coordinate::known(0.0), z));
        }
        out.push((Coordinate::known(*r), z));
    }
    if out.is_empty() {
        out.push((Coordinate::known(0.0), case.inside));
    }
    out.extend([(step, case.inside), (step, bottom), (edge, bottom)]);
    let slope = ((bottom - case.outside).mm * 0.8).clamp(0.0, edge.mm * 0.2);
    out.extend([(edge.by(-slope), case.outside), (Coordinate::known(0.0), case.outside)]);
    out
}

pub(super) fn bezel(sheet: &mut Sheet, view: &View, watch: &DrawnWatch, case: &CaseCut, halves: Halves) {
    let Some(bezel) = watch.bezel else { return };
    let inner = Coordinate::radius(bezel.inner, case.outer.mm - 2.0);
    let outer = Coordinate::radius(bezel.outer, case.outer.mm);
    let tall = (case.rim - case.shelf).mm.max(0.4);
    let foot = case.rim.by(-tall * 0.95);
    view.ring(
        sheet,
        Ink::NEIGHBOUR,
        &[(inner, foot), (outer, foot), (outer, foot.by(tall * 0.55)), (inner, case.rim.by(0.05))],
        halves,
    );
    if let Some((a, b)) = bezel.insert
        && let (Some(a), Some(b)) = (size(Some(a)), size(Some(b)))
    {
        let on = |r: f64| {
            let share = ((r - inner.mm) / (outer.mm - inner.mm).max(0.01)).clamp(0.0, 1.0);
            Coordinate { mm: case.rim.mm + 0.05 - tall * 0.45 * share, known: true }
        };
        let (a, b) = (a / 2.0, b / 2.0);
        view.ring(
            sheet,
            Ink::SOLID,
            &[
                (Coordinate::known(a), on(a)),
                (Coordinate::known(b), on(b)),
                (Coordinate::known(b), on(b).by(-0.25)),
                (Coordinate::known(a), on(a).by(-0.25)),
            ],
            halves,
        );
    }
}
