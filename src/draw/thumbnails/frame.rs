//! The frame of a thumbnail, and what marks a place in it.

use super::typical_watch::typical_watch;
use crate::draw::drafting::{View, level};
use crate::draw::section::{CloseUp, close_up};
use crate::draw::svg::{Path, Sheet};

/// Width and height of a hint in px.
pub(super) const SIZE: (f64, f64) = (320.0, 170.0);

pub(super) fn centred(r: f64, z: f64, scale: f64) -> View {
    View { x0: SIZE.0 / 2.0 - r * scale, y0: SIZE.1 / 2.0 + z * scale, scale }
}

pub(super) fn show(sheet: &mut Sheet, close: CloseUp, view: &View) {
    close_up(sheet, &typical_watch(), close, view);
}

/// A washed gap between radii and heights, inside its edges.
pub(super) fn wash(sheet: &mut Sheet, view: &View, r: (f64, f64), z: (f64, f64)) {
    let inset = 0.8;
    sheet.rect("w", view.x(r.0) + inset, view.y(z.1) + inset, view.x(r.1) - inset, view.y(z.0) - inset);
}

/// Lines down from two radii to a level dimension in the accent.
pub(super) fn across(sheet: &mut Sheet, view: &View, r: (f64, f64), from: f64, y: f64) {
    let mut lines = Path::default();
    for r in [r.0, r.1] {
        lines.to(view.x(r), view.y(from)).line(view.x(r), y + if view.y(from) < y { 5.0 } else { -5.0 });
    }
    sheet.path("xa", &lines);
    level(sheet, y, view.x(r.0), view.x(r.1), true);
}
