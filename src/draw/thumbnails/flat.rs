//! Places that no section shows: from the front, on the wrist, along a line of days.

use super::frame::{SIZE, across, show};
use crate::draw::drafting::{View, level};
use crate::draw::section::CloseUp;
use crate::draw::svg::{Anchor, Path, Sheet};

/// From the front: the hole in the movement, and the foot beside its middle.
pub(super) fn feet(sheet: &mut Sheet) {
    let (hole, foot) = ((150.0, 84.0), (176.0, 90.0));
    sheet.circle("x", SIZE.0 / 2.0, 1_180.0, 1_100.0);
    sheet.circle("x", SIZE.0 / 2.0, 1_180.0, 1_150.0);
    sheet.circle("n w", hole.0, hole.1, 44.0);
    sheet.circle("o h1", foot.0, foot.1, 32.0);
    let mut axes = Path::default();
    for (x, y, r) in [(hole.0, hole.1, 56.0), (foot.0, foot.1, 42.0)] {
        axes.to(x - r, y).line(x + r, y).to(x, y - r).line(x, y + r);
    }
    sheet.path("k", &axes);
    let mut lines = Path::default();
    for x in [hole.0, foot.0] {
        lines.to(x, 128.0).line(x, 153.0);
    }
    sheet.path("xa", &lines);
    level(sheet, 148.0, hole.0, foot.0, true);
    sheet.text("q", 92.0, 40.0, Anchor::End, "hole");
    sheet.text("q", 222.0, 60.0, Anchor::Start, "foot");
}

pub(super) fn date(sheet: &mut Sheet) {
    let view = View { x0: SIZE.0 / 2.0, y0: SIZE.1 / 2.0, scale: 44.0 };
    show(sheet, CloseUp::Window, &view);
    across(sheet, &view, (0.55, 0.95), -0.9, 152.0);
}

/// Two lugs from the front and the strap between them.
pub(super) fn strap(sheet: &mut Sheet) {
    let (middle, half) = (SIZE.0 / 2.0, 84.0);
    let mut lugs = Path::default();
    for side in [-1.0, 1.0] {
        lugs.polyline(&[
            (middle + side * half, 0.0),
            (middle + side * half, 92.0),
            (middle + side * (half + 6.0), 100.0),
            (middle + side * (half + 26.0), 100.0),
            (middle + side * (half + 32.0), 90.0),
            (middle + side * (half + 40.0), 0.0),
        ]);
    }
    sheet.rect("w", middle - half, 20.0, middle + half, 98.0);
    let mut strap = Path::default();
    strap.polyline(&[
        (middle - half + 10.0, SIZE.1),
        (middle - half + 10.0, 26.0),
        (middle + half - 10.0, 26.0),
        (middle + half - 10.0, SIZE.1),
    ]);
    sheet.path("o h3", &strap);
    sheet.path("o", &lugs);
    sheet.line("k", middle - half - 20.0, 72.0, middle + half + 20.0, 72.0);
    let mut lines = Path::default();
    for x in [middle + half - 10.0, middle + half] {
        lines.to(x, 98.0).line(x, 135.0);
    }
    sheet.path("xa", &lines);
    level(sheet, 130.0, middle + half - 10.0, middle + half, true);
}

/// A wrist across, and a watch on it.
pub(super) fn wrist(sheet: &mut Sheet) {
    let (x, y) = (SIZE.0 / 2.0, 116.0);
    let mut arm = Path::default();
    let points: Vec<(f64, f64)> = (0..=40_u8)
        .map(|i| {
            let turn = f64::from(i) / 40.0 * 2.0 * std::f64::consts::PI;
            let (sin, cos) = (libm::sin(turn), libm::cos(turn));
            // Rounder than a box, flatter than an egg.
            let flat = |v: f64| v.signum() * libm::pow(v.abs(), 0.75);
            (x + 104.0 * flat(cos), y + 52.0 * flat(sin))
        })
        .collect();
    arm.polygon(&points);
    sheet.path("n mf", &arm);
    let half = 82.0;
    sheet.polygon(
        "o pp",
        &[
            (x - half, y - 46.0),
            (x - 62.0, y - 68.0),
            (x - 48.0, y - 78.0),
            (x + 48.0, y - 78.0),
            (x + 62.0, y - 68.0),
            (x + half, y - 46.0),
            (x + 60.0, y - 55.0),
            (x - 60.0, y - 55.0),
        ],
    );
    let mut lines = Path::default();
    for side in [-1.0, 1.0] {
        lines.to(x + side * half, y - 48.0).line(x + side * half, 17.0);
    }
    sheet.path("xa", &lines);
    level(sheet, 22.0, x - half, x + half, true);
    let mut flat = Path::default();
    for side in [-1.0, 1.0] {
        flat.to(x + side * 104.0, y).line(x + side * 104.0, 9.0);
    }
    sheet.path("x", &flat);
    level(sheet, 10.0, x - 104.0, x + 104.0, false);
}

pub(super) fn timing(sheet: &mut Sheet) {
    let y = SIZE.1 / 2.0;
    sheet.rect("w", 80.0, 30.0, 220.0, 140.0);
    let mut bracket = Path::default();
    bracket.to(86.0, 30.0).line(80.0, 30.0).line(80.0, 140.0).line(86.0, 140.0);
    bracket.to(214.0, 30.0).line(220.0, 30.0).line(220.0, 140.0).line(214.0, 140.0);
    sheet.path("be", &bracket);
    sheet.line("k", 130.0, 24.0, 130.0, 146.0);
    for (x, row, class) in [(150.0, -40.0, "s"), (168.0, -14.0, "s"), (116.0, 14.0, "s"), (262.0, 40.0, "ra")]
    {
        let at = y + row;
        sheet.line("x", 20.0, at, 300.0, at);
        sheet.polygon(class, &[(x, at - 6.0), (x + 6.0, at), (x, at + 6.0), (x - 6.0, at)]);
    }
}

pub(super) fn log(sheet: &mut Sheet) {
    let mut line = Path::default();
    line.to(20.0, 140.0).line(300.0, 140.0);
    for x in [40.0, 90.0, 140.0, 190.0, 240.0, 290.0] {
        line.to(x, 136.0).line(x, 144.0);
    }
    sheet.rect("w", 150.0, 34.0, 200.0, 140.0);
    sheet.path("x", &line);
    sheet.rect("o pp", 50.0, 46.0, 200.0, 66.0);
    sheet.rect("o pp", 150.0, 90.0, 280.0, 110.0);
    level(sheet, 128.0, 150.0, 200.0, true);
    sheet.text("q", 58.0, 61.0, Anchor::Start, "in one watch");
    sheet.text("q", 208.0, 105.0, Anchor::Start, "in another");
}
