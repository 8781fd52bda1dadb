//! Stem, tube and crown, at the right.

use crate::draw::drafting::{Coordinate, Halves, Ink, View, size};
use crate::draw::section::levels::{CaseCut, Levels};
use crate::draw::svg::{Path, Sheet};
use crate::draw::watch::DrawnWatch;

/// The stem in the movement, the tube through the case, and the crown, at the right.
pub(super) fn stem_and_crown(sheet: &mut Sheet, view: &View, watch: &DrawnWatch, levels: &Levels) {
    const STEM: f64 = 0.45;
    let mut axis_at = None;
    if let Some(movement) = &watch.movement
        && let Some(below) = size(movement.stem_below)
    {
        let from = size(movement.stem_seat_radius).unwrap_or(levels.movement.mm * 0.78);
        let to = levels.movement.mm.max(from);
        let mut line = Path::default();
        let (top, bottom) = (view.y(-below + STEM), view.y(-below - STEM));
        line.to(view.x(to), top).line(view.x(from), top).line(view.x(from), bottom).line(view.x(to), bottom);
        sheet.path("n", &line);
        axis_at = Some((-below, from));
    }
    if let Some(case) = &levels.case {
        const TUBE: f64 = 0.65;
        let known = case.tube.known;
        let corner =
            |r: f64, z: f64| (Coordinate { mm: r, known }, Coordinate { mm: case.tube.mm + z, known });
        let end = tube_end(case);
        view.ring(
            sheet,
            Ink { outline: "n", filling: "pp" },
            &[corner(case.bore.mm, TUBE), corner(end, TUBE), corner(end, -TUBE), corner(case.bore.mm, -TUBE)],
            Halves::Right,
        );
        let from = axis_at.map_or(case.bore.mm - 1.0, |(_, from)| from - 0.7);
        let z = axis_at.map_or(case.tube.mm, |(z, _)| z);
        sheet.line("k", view.x(from), view.y(z), view.x(crown_end(levels) + 0.6), view.y(z));
        if let Some(crown) = watch.crown {
            let r = Coordinate::radius(crown.diameter, 2.3);
            let known = known && r.known;
            let start = end.max(case.outer.mm) + 0.05;
            let stop = crown_end(levels);
            let at =
                |x: f64, z: f64| (Coordinate { mm: x, known }, Coordinate { mm: case.tube.mm + z, known });
            view.ring(
                sheet,
                Ink { outline: "o", filling: "pp" },
                &[
                    at(start, r.mm - 0.15),
                    at(stop - 0.4, r.mm),
                    at(stop, r.mm - 0.3),
                    at(stop, -r.mm + 0.3),
                    at(stop - 0.4, -r.mm),
                    at(start, -r.mm + 0.15),
                ],
                Halves::Right,
            );
        }
    }
}

/// Where the crown ends, from the axis.
pub(in crate::draw::section) fn crown_end(levels: &Levels) -> f64 {
    levels.case.as_ref().map_or(levels.widest() + 1.0, |case| {
        let end = tube_end(case);
        end.max(case.outer.mm) + 2.85
    })
}

/// Where the tube ends, somewhere near the flank whatever was written.
fn tube_end(case: &CaseCut) -> f64 {
    let from = case.bore.mm + 0.3;
    case.tube_end.mm.clamp(from, (case.outer.mm + 2.0).max(from))
}
