//! Watches in outline, side by side at one scale: what sizes there are, smallest first.

use serde::{Deserialize, Serialize};

use crate::draw::drafting::{crown_outline, lug_outlines, overall, size, spring_bars};
use crate::draw::svg::{Anchor, Path, Sheet, Style, figure};
use crate::draw::watch::DrawnWatch;
use crate::journal::BuildState;

/// A watch as the line-up shows it; lengths in mm, `None` where not known.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Outline {
    /// Under it.
    pub name: String,
    /// Told by the line: thick finished, thin on the bench, dashes with two dots taken apart, soft
    /// planned.
    pub state: BuildState,
    /// Across the case.
    pub diameter: Option<f64>,
    /// From lug end to lug end.
    pub lug_to_lug: Option<f64>,
    /// Between the lugs.
    pub lug_width: Option<f64>,
    /// The opening over the dial, a diameter.
    pub opening: Option<f64>,
    /// The crown's place by the clock, degrees.
    pub crown_at: Option<f64>,
}

impl Outline {
    /// A watch's outline.
    pub fn of(watch: &DrawnWatch, state: BuildState) -> Outline {
        let case = watch.case.as_ref();
        let cone = watch.chapter_ring.map(|ring| ring.cone).or_else(|| case.and_then(|case| case.rehaut));
        Outline {
            name: watch.name.clone(),
            state,
            diameter: watch.headline.diameter.or_else(|| case.and_then(|case| case.diameter)),
            lug_to_lug: case.and_then(|case| case.lug_to_lug),
            lug_width: case.and_then(|case| case.lug_width),
            opening: cone.and_then(|cone| cone.bottom).or_else(|| case.and_then(|case| case.opening)),
            crown_at: case.and_then(|case| case.crown_at),
        }
    }
}

const WIDTH: f64 = 1200.0;

/// px for a millimetre.
const SCALE: f64 = 3.35;

/// Watches in a row.
const ROW: usize = 7;

/// From one row's top to the next one's.
const PITCH: f64 = 252.0;

/// Larger than any wristwatch: drawn no larger.
const LARGEST: f64 = 56.0;

/// The watches in outline, smallest first, seven to a row; empty for none.
pub fn line_up(outlines: &[Outline]) -> String {
    if outlines.is_empty() {
        return String::new();
    }
    let mut sorted: Vec<&Outline> = outlines.iter().collect();
    let across = |outline: &Outline| size(outline.diameter).unwrap_or(f64::MAX);
    sorted.sort_by(|a, b| across(a).total_cmp(&across(b)).then_with(|| a.name.cmp(&b.name)));
    let mut sheet = Sheet::default();
    let mut top = 0.0;
    for row in sorted.chunks(ROW) {
        // A second row stands under the first one's places.
        let places = if sorted.len() > ROW { ROW } else { row.len().max(6) };
        #[expect(clippy::cast_precision_loss, reason = "seven at most")]
        let cell = WIDTH / places as f64;
        let mut x = cell / 2.0;
        for outline in row {
            one(&mut sheet, outline, (x, top + 112.0), cell);
            x += cell;
        }
        top += PITCH;
    }
    sheet.labelled("lu", WIDTH, top, &words(&sorted))
}

fn words(sorted: &[&Outline]) -> String {
    let told: Vec<String> = sorted
        .iter()
        .map(|outline| match size(outline.diameter) {
            Some(d) => format!("{} {}, {}", outline.name, figure(d, 1), outline.state.words()),
            None => format!("{}, size not known yet, {}", outline.name, outline.state.words()),
        })
        .collect();
    format!("The watches in outline at one scale, diameters in millimetres: {}", told.join("; "))
}

fn one(sheet: &mut Sheet, outline: &Outline, (x, y): (f64, f64), cell: f64) {
    let known = size(outline.diameter).filter(|d| *d > 8.0).map(|d| d.min(LARGEST));
    let r = known.unwrap_or(38.0) / 2.0;
    let gap = size(outline.lug_width).map_or(r * 0.52, |d| d / 2.0);
    let end = size(outline.lug_to_lug).map_or(r * 1.2, |d| d.min(64.0) / 2.0);
    let to = |(a, b): (f64, f64)| (x + a * SCALE, y + b * SCALE);
    let (class, edge) = match (known, outline.state) {
        (None, _) => ("u", "u"),
        (_, BuildState::Finished) => ("o", "n"),
        (_, BuildState::OnTheBench) => ("n", "n"),
        (_, BuildState::TakenApart) => ("p", "p"),
        (_, BuildState::Planned) => ("x", "x"),
    };
    let mut lines = Path::default();
    for lug in lug_outlines(r, gap, end) {
        lines.polyline(&lug.map(to));
    }
    for bar in spring_bars(r, gap, end) {
        lines.polyline(&bar.map(to));
    }
    lines
        .polyline(&crown_outline(r, 2.3, outline.crown_at.filter(|v| v.is_finite()).unwrap_or(90.0)).map(to));
    sheet.path(edge, &lines);
    sheet.circle(&format!("{class} pp"), x, y, r * SCALE);
    if let Some(opening) = size(outline.opening).filter(|d| *d < r * 2.0) {
        sheet.circle("n", x, y, opening / 2.0 * SCALE);
    }
    let mut axes = Path::default();
    axes.to(x - r * SCALE - 5.0, y).line(x + r * SCALE + 5.0, y);
    axes.to(x, y - end * SCALE - 5.0).line(x, y + end * SCALE + 5.0);
    sheet.path("k", &axes);
    let text = known.map_or_else(|| "not known yet".to_owned(), |d| figure(d, 1));
    if known.is_some() {
        let mut lines = Path::default();
        for side in [-1.0, 1.0] {
            lines.to(x + side * r * SCALE, y + 38.0).line(x + side * r * SCALE, y + 114.0);
        }
        sheet.path("x", &lines);
        overall(sheet, y + 110.0, x - r * SCALE, x + r * SCALE, &text);
    } else {
        sheet.text("q", x, y + 115.0, Anchor::Middle, &text);
    }
    let name = Style::Name.fitted(&outline.name, cell - 12.0);
    sheet.text("q", x, y + 134.0, Anchor::Middle, &name);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::testing::{any_watch, lantern, texts_apart, well_formed};
    use proptest::prelude::*;

    #[test]
    fn all_stand_at_one_scale_smallest_first() {
        let mut large = lantern();
        large.name = "Breakwater".to_owned();
        large.headline.diameter = Some(40.0);
        let svg = line_up(&[
            Outline::of(&large, BuildState::OnTheBench),
            Outline::of(&lantern(), BuildState::Finished),
        ]);
        let (small, large) = (svg.find(">Lantern<").unwrap(), svg.find(">Breakwater<").unwrap());
        assert!(small < large);
        // 35.5 / 2 and 40 / 2 at 3.35.
        assert!(svg.contains("class=\"o pp\"") && svg.contains("r=\"59.5\""), "{svg}");
        assert!(svg.contains("class=\"n pp\"") && svg.contains("r=\"67\""), "{svg}");
    }

    proptest! {
        #[test]
        fn any_watches_stand_apart(watches in prop::collection::vec(any_watch(), 0..9)) {
            let outlines: Vec<Outline> =
                watches.iter().map(|watch| Outline::of(watch, BuildState::TakenApart)).collect();
            let svg = line_up(&outlines);
            if !svg.is_empty() {
                well_formed(&svg);
                texts_apart(&svg);
            }
        }
    }
}
