//! The tolerance bar: where a result lies, how far it may wander, and where it ought to be.
//!
//! A trough is the axis, with three grounds: hatched fouls, bare is tight, washed between brackets is
//! the band. Over it a thin line for the worst case, a thick one for 95 of 100, and a diamond for the
//! figures as written. Under it contact on the first line and the band on the second.

use super::range::Range;
use crate::draw::svg::{Anchor, Path, Sheet, Style, figure};
use crate::fit::verdict::Verdict;

/// A measure's result against its band. Values are in the check's own unit.
#[derive(Clone, PartialEq, Debug)]
pub struct ToleranceBar {
    /// What was computed, for the text alternative.
    pub title: String,
    /// `mm`, `deg`, `s/d`, or empty for a bare number.
    pub unit: String,
    /// Decimals of the figures: two for lengths, three for shares.
    pub decimals: usize,
    /// The result with every dimension as written; `None` while a dimension is missing.
    pub nominal: Option<f64>,
    /// The worst case; `None` where it is not known.
    pub worst: Option<(f64, f64)>,
    /// Where 95 of 100 would lie; `None` where it is not known.
    pub likely: Option<(f64, f64)>,
    /// The advised range.
    pub band: Range,
    /// Outside it parts truly meet. An open end: nothing fouls on that side.
    pub contact: Range,
    /// The verdict on it.
    pub verdict: Verdict,
    /// While unmeasured: what to aim for, as `tube.below 2.28 to 2.52`.
    pub aim: Option<String>,
}

impl ToleranceBar {
    /// The figures in one sentence.
    pub fn words(&self) -> String {
        let f = |v| figure(v, self.decimals);
        let unit = if self.unit.is_empty() { String::new() } else { format!(" {}", self.unit) };
        let mut out = match self.nominal {
            Some(nominal) => format!("{}: {}{unit}, {}", self.title, f(nominal), self.verdict.word()),
            None => format!("{}: not measured", self.title),
        };
        if let Some((low, high)) = self.worst {
            out += &format!("; worst case {} to {}", f(low), f(high));
        }
        if let Some((low, high)) = self.likely {
            out += &format!("; 95 of 100 {} to {}", f(low), f(high));
        }
        if let Some(band) = self.band.finite().words(self.decimals) {
            out += &format!("; band {band}");
        }
        if let Some(contact) = self.contact.finite().words(self.decimals) {
            out += &format!("; contact {contact}");
        }
        if let Some(aim) = &self.aim {
            out += &format!("; clear with {aim}");
        }
        out
    }
}

/// The bar's width in px.
const WIDTH: f64 = 380.0;

/// The trough's upper and lower edge.
const TROUGH: (f64, f64) = (50.0, 70.0);

/// The height of the line over the trough.
const OVER: f64 = 35.0;

/// The full bar with its figures, 380 px wide: for the place where a finding opens.
pub fn tolerance_bar(bar: &ToleranceBar) -> String {
    let (band, contact) = (bar.band.finite(), bar.contact.finite());
    let nominal = bar.nominal.filter(|v| v.is_finite());
    let worst = finite_pair(bar.worst);
    let likely = finite_pair(bar.likely);
    let f = |v| figure(v, bar.decimals);
    let mut sheet = Sheet::default();

    // Room at both sides for the figures at the ends of the worst case.
    let ends = worst.map_or(0.0, |(low, high)| Style::Name.width(&f(low)).max(Style::Name.width(&f(high))));
    let axis = Axis::new(bar, nominal, worst, ends + 18.0);
    let x = |v| axis.x(v);

    grounds(&mut sheet, &axis, band, contact);

    if let Some(nominal) = nominal {
        if let Some((low, high)) = worst {
            let (x1, x2) = (x(low), x(high));
            let mut line = Path::default();
            line.to(x1, OVER).line(x2, OVER);
            for (end, at) in [(low, x1), (high, x2)] {
                if axis.holds(end) {
                    line.to(at, OVER - 5.0).line(at, OVER + 5.0);
                }
            }
            sheet.path("wc", &line);
            // Clear of the diamond, however close the ends are.
            let (left, right) = (x1.min(x(nominal) - 8.0), x2.max(x(nominal) + 8.0));
            sheet.text("q", left - 4.0, OVER + 4.5, Anchor::End, &f(low));
            sheet.text("q", right + 4.0, OVER + 4.5, Anchor::Start, &f(high));
        }
        if let Some((low, high)) = likely {
            sheet.line("lk", x(low), OVER, x(high).max(x(low) + 2.0), OVER);
        }
        sheet.line("wc", x(nominal), OVER, x(nominal), TROUGH.1);
        mark(&mut sheet, &axis, nominal, OVER, 6.0);
        let text = f(nominal);
        let half = Style::Overall.width(&text) / 2.0;
        sheet.text("big", x(nominal).clamp(half, WIDTH - half), 19.0, Anchor::Middle, &text);
    } else {
        sheet.line("u", 12.0, OVER, WIDTH - 12.0, OVER);
        sheet.text("b a", WIDTH / 2.0, 24.0, Anchor::Middle, "not measured");
    }

    let height = words_below(&mut sheet, bar, &axis, band, contact, nominal.is_none());
    sheet.labelled("bar", WIDTH, height, &bar.words())
}

/// Hatched, bare and washed grounds, the trough's edges, brackets and contact.
fn grounds(sheet: &mut Sheet, axis: &Axis, band: Range, contact: Range) {
    let (top, bottom) = TROUGH;
    let x = |v| axis.x(v);
    if band.low.is_some() || band.high.is_some() {
        sheet.rect("w", band.low.map_or(0.0, x), top, band.high.map_or(WIDTH, x), bottom);
    }
    let mut hatched = Path::default();
    if let Some(low) = contact.low {
        hatched.rect(0.0, top, x(low), bottom);
    }
    if let Some(high) = contact.high {
        hatched.rect(x(high), top, WIDTH, bottom);
    }
    sheet.path("h4", &hatched);

    let mut edges = Path::default();
    edges.to(0.0, top).line(WIDTH, top).to(0.0, bottom).line(WIDTH, bottom);
    // Ticks down to the words below.
    for at in [contact.low, contact.high, band.low, band.high].into_iter().flatten() {
        edges.to(x(at), bottom + 3.0).line(x(at), bottom + 8.0);
    }
    sheet.path("x", &edges);

    let mut strong = Path::default();
    for at in [contact.low, contact.high].into_iter().flatten() {
        strong.to(x(at), top).line(x(at), bottom);
    }
    for (at, inwards) in [(band.low, 5.0), (band.high, -5.0)] {
        if let Some(at) = at.map(x) {
            let (top, bottom) = (top - 3.0, bottom + 3.0);
            strong.to(at + inwards, top).line(at, top).line(at, bottom).line(at + inwards, bottom);
        }
    }
    sheet.path("be", &strong);
}

/// Contact on the first line, the band on the second, the aim on the last; the height that it all
/// takes.
fn words_below(
    sheet: &mut Sheet,
    bar: &ToleranceBar,
    axis: &Axis,
    band: Range,
    contact: Range,
    aiming: bool,
) -> f64 {
    let mut y = TROUGH.1 + 21.0;
    let mut centred = |style: Style, class: &str, at: f64, y: f64, text: &str| {
        let text = style.fitted(text, WIDTH);
        let half = style.width(&text) / 2.0;
        sheet.text(class, at.clamp(half, WIDTH - half), y, Anchor::Middle, &text);
    };
    // A contact that is the band's own edge has nothing to add.
    let contact = Range {
        low: contact.low.filter(|v| Some(*v) != band.low),
        high: contact.high.filter(|v| Some(*v) != band.high),
    };
    let middle = |range: Range| match (range.low, range.high) {
        (Some(low), Some(high)) => f64::midpoint(axis.x(low), axis.x(high)),
        (Some(one), None) | (None, Some(one)) => axis.x(one),
        (None, None) => WIDTH / 2.0,
    };
    if let Some(words) = contact.words(bar.decimals) {
        centred(
            Style::Name,
            "q",
            middle(contact),
            y,
            &format!("contact {}", words.trim_start_matches("from ")),
        );
        y += 17.0;
    }
    if let Some(words) = band.words(bar.decimals) {
        centred(Style::Figure, "b", middle(band), y, &format!("band {words}"));
        y += 17.0;
    }
    if aiming && let Some(aim) = &bar.aim {
        centred(Style::Name, "q a", middle(band), y, &format!("clear with {aim}"));
        y += 17.0;
    }
    y - 10.0
}

/// A diamond, or beyond the axis's end a triangle that points to where the value lies.
pub(super) fn diamond(sheet: &mut Sheet, x: f64, y: f64, r: f64, outside: f64) {
    let points = if outside == 0.0 {
        vec![(x, y - r), (x + r, y), (x, y + r), (x - r, y)]
    } else {
        vec![(x - outside * r, y - r), (x + outside * r / 2.0, y), (x - outside * r, y + r)]
    };
    sheet.polygon("nm", &points);
}

fn mark(sheet: &mut Sheet, axis: &Axis, value: f64, y: f64, r: f64) {
    let outside = if value < axis.low {
        -1.0
    } else if value > axis.high {
        1.0
    } else {
        0.0
    };
    diamond(sheet, axis.x(value), y, r, outside);
}

/// From a check's unit to px; values beyond its ends are drawn at them.
struct Axis {
    low: f64,
    high: f64,
    margin: f64,
}

impl Axis {
    /// So far beyond band and contact, in multiples of what they span, a value is still to scale.
    const REACH: f64 = 25.0;

    fn new(bar: &ToleranceBar, nominal: Option<f64>, worst: Option<(f64, f64)>, margin: f64) -> Axis {
        let (band, contact) = (bar.band.finite(), bar.contact.finite());
        let marks: Vec<f64> =
            [band.low, band.high, contact.low, contact.high].into_iter().flatten().collect();
        let values: Vec<f64> =
            nominal.into_iter().chain(worst.map(|w| w.0)).chain(worst.map(|w| w.1)).collect();
        let hull = |of: &[f64]| {
            of.iter().fold(None, |hull: Option<(f64, f64)>, v| {
                Some(hull.map_or((*v, *v), |(low, high)| (low.min(*v), high.max(*v))))
            })
        };
        let core = hull(&marks).or(hull(&values)).unwrap_or((0.0, 1.0));
        let span = (core.1 - core.0).max(core.0.abs() * 0.02).max(0.02);
        let allowed = (core.0 - Axis::REACH * span, core.1 + Axis::REACH * span);
        let (mut low, mut high) = core;
        for value in values {
            low = low.min(value.max(allowed.0));
            high = high.max(value.min(allowed.1));
        }
        // The ground beyond the outermost mark must show what it is.
        let rest = ((high - low) * 0.14).max(span * 0.1);
        let open = |end: Option<f64>, of: f64| end.is_none() && (core.0 - core.1).abs() < of;
        if open(band.low, span * 2.0) {
            low -= rest;
        }
        if open(band.high, span * 2.0) {
            high += rest;
        }
        if (high - low).abs() < 1e-12 {
            high = low + span;
        }
        Axis { low, high, margin: margin.clamp(26.0, 110.0) }
    }

    fn x(&self, value: f64) -> f64 {
        let share = ((value - self.low) / (self.high - self.low)).clamp(0.0, 1.0);
        self.margin + share * (WIDTH - 2.0 * self.margin)
    }

    fn holds(&self, value: f64) -> bool {
        self.low <= value && value <= self.high
    }
}

pub(super) fn finite_pair(pair: Option<(f64, f64)>) -> Option<(f64, f64)> {
    pair.filter(|(a, b)| a.is_finite() && b.is_finite()).map(|(a, b)| (a.min(b), a.max(b)))
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::draw::testing::{texts_apart, well_formed};
    use proptest::prelude::*;

    pub(in crate::draw::charts) fn seat() -> ToleranceBar {
        ToleranceBar {
            title: "Dial in its seat".to_owned(),
            unit: "mm".to_owned(),
            decimals: 2,
            nominal: Some(0.12),
            worst: Some((0.05, 0.19)),
            likely: Some((0.08, 0.16)),
            band: Range::between(0.03, 0.30),
            contact: Range::at_least(0.0),
            verdict: Verdict::Clear,
            aim: None,
        }
    }

    #[test]
    fn the_figures_are_told_in_words() {
        assert_eq!(
            seat().words(),
            "Dial in its seat: 0.12 mm, clear; worst case 0.05 to 0.19; 95 of 100 0.08 to 0.16; \
             band 0.03 to 0.30; contact from 0.00"
        );
    }

    #[test]
    fn the_axis_is_to_scale() {
        let axis = Axis::new(&seat(), Some(0.12), Some((0.05, 0.19)), 40.0);
        let px = |a: f64, b: f64| axis.x(b) - axis.x(a);
        assert!((px(0.03, 0.12) / px(0.03, 0.30) - 1.0 / 3.0).abs() < 1e-9);
    }

    #[test]
    fn what_is_not_measured_is_dashed_and_says_what_to_aim_for() {
        let bar = ToleranceBar {
            nominal: None,
            worst: None,
            likely: None,
            verdict: Verdict::Unmeasured,
            aim: Some("case.tube.below 2.28 to 2.52".to_owned()),
            ..seat()
        };
        let svg = tolerance_bar(&bar);
        assert!(svg.contains("class=\"u\"") && svg.contains("not measured"));
        assert!(svg.contains("clear with case.tube.below 2.28 to 2.52"));
    }

    #[test]
    fn a_value_far_away_points_outwards() {
        let far = ToleranceBar { nominal: Some(400.0), worst: None, likely: None, ..seat() };
        well_formed(&tolerance_bar(&far));
        assert!(tolerance_bar(&far).contains(">400.00<"));
    }

    #[test]
    fn bars_are_light() {
        assert!(tolerance_bar(&seat()).len() < 1500, "{}", tolerance_bar(&seat()).len());
    }

    pub(in crate::draw::charts) fn number() -> impl Strategy<Value = f64> {
        prop_oneof![4 => -2.0..2.0f64, 1 => any::<f64>()]
    }

    proptest! {
        #[test]
        fn any_figures_stand_apart(
            nominal in prop::option::of(number()),
            worst in prop::option::of((number(), number())),
            likely in prop::option::of((number(), number())),
            ends in prop::array::uniform4(prop::option::of(number())),
            decimals in 0usize..4,
            aim in prop::option::of(".{0,60}"),
        ) {
            let any = ToleranceBar {
                title: "<any> & all".to_owned(), unit: "mm".to_owned(), decimals, nominal, worst, likely,
                band: Range { low: ends[0], high: ends[1] }, contact: Range { low: ends[2], high: ends[3] },
                verdict: Verdict::Tight, aim,
            };
            let svg = tolerance_bar(&any);
            well_formed(&svg);
            texts_apart(&svg);
        }
    }
}
