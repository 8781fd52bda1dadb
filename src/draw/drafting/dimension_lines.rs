//! Dimension lines with their arrows, in px.

use crate::draw::svg::{Anchor, Path, Sheet, Style};

/// A slim filled arrow with its point at (x, y), flying along (dx, dy).
pub(crate) fn arrow(path: &mut Path, (x, y): (f64, f64), (dx, dy): (f64, f64)) {
    const LENGTH: f64 = 7.5;
    const HALF_WIDTH: f64 = 1.5;
    let (bx, by) = (x - dx * LENGTH, y - dy * LENGTH);
    path.polygon(&[
        (x, y),
        (bx - dy * HALF_WIDTH, by + dx * HALF_WIDTH),
        (bx + dy * HALF_WIDTH, by - dx * HALF_WIDTH),
    ]);
}

/// An upright dimension between two heights in px, arrows inside where there is room and outside
/// where there is not.
pub(crate) fn upright(sheet: &mut Sheet, x: f64, a: f64, b: f64, accented: bool) {
    let (top, bottom) = (a.min(b), a.max(b));
    let (mut line, mut arrows) = (Path::default(), Path::default());
    if bottom - top >= 17.0 {
        line.to(x, top).line(x, bottom);
        arrow(&mut arrows, (x, top), (0.0, -1.0));
        arrow(&mut arrows, (x, bottom), (0.0, 1.0));
    } else {
        line.to(x, top - 13.0).line(x, bottom + 13.0);
        arrow(&mut arrows, (x, top), (0.0, 1.0));
        arrow(&mut arrows, (x, bottom), (0.0, -1.0));
    }
    ink(sheet, accented, &line, &arrows);
}

/// A link of a chain: like [`upright`], but where there is no room for arrows strokes stand across the
/// ends, since its neighbours' lines go on from there.
pub(crate) fn link(sheet: &mut Sheet, x: f64, a: f64, b: f64, accented: bool) {
    let (top, bottom) = (a.min(b), a.max(b));
    if bottom - top >= 17.0 {
        upright(sheet, x, top, bottom, accented);
        return;
    }
    let mut line = Path::default();
    line.to(x, top).line(x, bottom);
    for y in [top, bottom] {
        line.to(x - 3.0, y + 3.0).line(x + 3.0, y - 3.0);
    }
    ink(sheet, accented, &line, &Path::default());
}

/// A level dimension between two places in px.
pub(crate) fn level(sheet: &mut Sheet, y: f64, a: f64, b: f64, accented: bool) {
    let (left, right) = (a.min(b), a.max(b));
    let (mut line, mut arrows) = (Path::default(), Path::default());
    if right - left >= 17.0 {
        line.to(left, y).line(right, y);
        arrow(&mut arrows, (left, y), (-1.0, 0.0));
        arrow(&mut arrows, (right, y), (1.0, 0.0));
    } else {
        line.to(left - 14.0, y).line(right + 14.0, y);
        arrow(&mut arrows, (left, y), (1.0, 0.0));
        arrow(&mut arrows, (right, y), (-1.0, 0.0));
    }
    ink(sheet, accented, &line, &arrows);
}

/// A level dimension whose line breaks for the overall figure.
pub(crate) fn overall(sheet: &mut Sheet, y: f64, left: f64, right: f64, text: &str) {
    let room = Style::Overall.width(text) / 2.0 + 8.0;
    let middle = f64::midpoint(left, right);
    let (mut line, mut arrows) = (Path::default(), Path::default());
    line.to(left, y).line(middle - room, y).to(middle + room, y).line(right, y);
    arrow(&mut arrows, (left, y), (-1.0, 0.0));
    arrow(&mut arrows, (right, y), (1.0, 0.0));
    ink(sheet, false, &line, &arrows);
    sheet.text(Style::Overall.class(), middle, y + 5.5, Anchor::Middle, text);
}

fn ink(sheet: &mut Sheet, accented: bool, line: &Path, arrows: &Path) {
    let (lines, heads) = if accented { ("xa", "ra") } else { ("x", "r") };
    sheet.path(lines, line);
    sheet.path(heads, arrows);
}
