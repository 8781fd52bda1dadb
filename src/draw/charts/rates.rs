//! Timing charts: the rate in each position before and after, and the mean rate over the months.

use super::tolerance_bar::Range;
use crate::draw::svg::Style;
use crate::draw::svg::{Anchor, Path, Sheet, figure};

/// A watch on the timing machine.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Timing {
    /// The rate that the build aims at, in seconds a day.
    pub target: Range,
    /// One row each, in this order.
    pub positions: Vec<Position>,
}

/// One position's readings; `None` where nothing was read.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Position {
    /// Its ISO 3158 code.
    pub code: String,
    /// In words, as `dial up`.
    pub words: String,
    /// The rate in the set before, s/d.
    pub before: Option<f64>,
    /// The rate in the latest set, s/d.
    pub rate: Option<f64>,
    /// Amplitude in degrees.
    pub amplitude: Option<f64>,
    /// Beat error in ms.
    pub beat_error: Option<f64>,
}

/// The mean rate of sets of readings over time.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Drift {
    /// The rate that the build aims at, in seconds a day.
    pub target: Range,
    /// In the order of their dates.
    pub sets: Vec<Set>,
}

/// The mean of one set of readings.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Set {
    /// Days since the first set.
    pub day: f64,
    /// The date as the axis says it.
    pub date: String,
    /// Mean rate, s/d.
    pub rate: f64,
    /// A word beside it, as `as it came`; empty for none.
    pub note: String,
}

/// `+6`, `0`, `-1.5` with a real minus sign: a rate is always signed.
fn rate(value: f64) -> String {
    let decimals = usize::from((value - value.round()).abs() > 0.05 && value.abs() < 100.0);
    let text = figure(value, decimals);
    if value > 0.0 && !text.starts_with('>') && text != "0" && text != "0.0" {
        format!("+{text}")
    } else {
        text
    }
}

fn target_words(target: Range) -> Option<String> {
    let low = target.low.filter(|v| v.is_finite());
    let high = target.high.filter(|v| v.is_finite());
    match (low, high) {
        (Some(low), Some(high)) => Some(format!("{} to {}", rate(low), rate(high))),
        (Some(low), None) => Some(format!("from {}", rate(low))),
        (None, Some(high)) => Some(format!("up to {}", rate(high))),
        (None, None) => None,
    }
}

impl Timing {
    /// The figures in words.
    pub fn words(&self) -> String {
        let mut out = String::from("Rate by position, in seconds a day");
        if let Some(target) = target_words(self.target) {
            out += &format!(", target {target}");
        }
        out.push('.');
        for position in &self.positions {
            let Some(now) = position.rate.filter(|v| v.is_finite()) else { continue };
            out += &format!(" {} {}", position.words, rate(now));
            if let Some(before) = position.before.filter(|v| v.is_finite()) {
                out += &format!(", before {}", rate(before));
            }
            if let Some(amplitude) = position.amplitude.filter(|v| v.is_finite()) {
                out += &format!(", amplitude {}\u{b0}", figure(amplitude, 0));
            }
            if let Some(beat) = position.beat_error.filter(|v| v.is_finite()) {
                out += &format!(", beat error {} ms", figure(beat, 1));
            }
            out.push('.');
        }
        out
    }
}

/// Rate by position for a page, 620 px wide; empty where nothing was read.
pub fn rate_by_position(timing: &Timing) -> String {
    Chart { width: 620.0, row: 34.0, left: 150.0, right: 478.0, narrow: false }.draw(timing)
}

/// The same for a phone, 330 px wide.
pub fn narrow_rate_by_position(timing: &Timing) -> String {
    Chart { width: 330.0, row: 40.0, left: 58.0, right: 258.0, narrow: true }.draw(timing)
}

struct Chart {
    width: f64,
    row: f64,
    left: f64,
    right: f64,
    narrow: bool,
}

const TOP: f64 = 44.0;

impl Chart {
    fn draw(&self, timing: &Timing) -> String {
        let rates = timing.positions.iter().flat_map(|p| [p.rate, p.before]).flatten();
        let rates: Vec<f64> = rates.filter(|v| v.is_finite()).map(|v| v.clamp(-999.0, 999.0)).collect();
        if rates.is_empty() {
            return String::new();
        }
        let axis = Axis::new(&rates, timing.target, self.left, self.right);
        let mut sheet = Sheet::default();
        #[expect(clippy::cast_precision_loss, reason = "a handful of rows")]
        let bottom = TOP + self.row * timing.positions.len() as f64;
        self.target(&mut sheet, &axis, timing.target, bottom);
        sheet.line("k", axis.x(0.0), TOP - 10.0, axis.x(0.0), bottom);
        let mut y = TOP + self.row / 2.0 - 6.0;
        for position in &timing.positions {
            self.position(&mut sheet, &axis, position, timing.target, y);
            y += self.row;
        }
        let beat = if self.narrow { "beat" } else { "beat error" };
        let amplitude = if self.narrow { "ampl." } else { "amplitude" };
        sheet.text("q", self.right + 36.0, TOP - 22.0, Anchor::End, amplitude);
        sheet.text("q", self.width - 2.0, TOP - 22.0, Anchor::End, beat);
        let mut ticks = Path::default();
        for value in axis.ticks() {
            let x = axis.x(value);
            ticks.to(x, bottom + 2.0).line(x, bottom + 7.0);
            sheet.text("q", x, bottom + 22.0, Anchor::Middle, &rate(value));
        }
        sheet.path("x", &ticks);
        sheet.text("q", if self.narrow { 0.0 } else { 36.0 }, bottom + 22.0, Anchor::Start, "s/d");
        let class = if self.narrow { "tm narrow" } else { "tm wide" };
        sheet.labelled(class, self.width, bottom + 30.0, &timing.words())
    }

    fn target(&self, sheet: &mut Sheet, axis: &Axis, target: Range, bottom: f64) {
        let Some(words) = target_words(target) else { return };
        let (top, bottom) = (TOP - 14.0, bottom - 2.0);
        let (low, high) = (target.low.filter(|v| v.is_finite()), target.high.filter(|v| v.is_finite()));
        let (left, right) = (low.map_or(self.left, |v| axis.x(v)), high.map_or(self.right, |v| axis.x(v)));
        sheet.rect("w", left, top, right, bottom);
        let mut brackets = Path::default();
        for (end, x, inwards) in [(low, left, 5.0), (high, right, -5.0)] {
            if end.is_some() {
                brackets.to(x + inwards, top).line(x, top).line(x, bottom).line(x + inwards, bottom);
            }
        }
        sheet.path("be", &brackets);
        let words = format!("target {words}");
        let half = Style::Name.width(&words) / 2.0;
        let most = self.right - if self.narrow { 4.0 } else { 30.0 } - half;
        let middle = f64::midpoint(left, right).clamp(half.min(most), most);
        sheet.text("q", middle, TOP - 22.0, Anchor::Middle, &words);
    }

    fn position(&self, sheet: &mut Sheet, axis: &Axis, position: &Position, target: Range, y: f64) {
        let code = Style::Figure.fitted(&position.code, 34.0);
        sheet.text("b", 0.0, y + 5.0, Anchor::Start, &code);
        if !self.narrow {
            let words = Style::Name.fitted(&position.words, self.left - 46.0);
            sheet.text("q", 36.0, y + 5.0, Anchor::Start, &words);
        }
        sheet.line("x", self.left, y, self.right, y);
        let finite = |value: Option<f64>| value.filter(|v| v.is_finite());
        let (before, now) = (finite(position.before), finite(position.rate));
        if let (Some(before), Some(now)) = (before, now) {
            let (a, b) = (axis.x(before), axis.x(now));
            let way = (b - a).signum();
            if (a - b).abs() > 18.0 {
                sheet.line("wc", a + way * 4.2, y, b - way * 8.0, y);
                let tip = b - way * 7.0;
                sheet.polygon("s", &[(tip, y), (tip - way * 7.0, y - 3.0), (tip - way * 7.0, y + 3.0)]);
            }
        }
        if let Some(before) = before {
            sheet.circle("bf", axis.x(before), y, 4.2);
        }
        match now {
            Some(now) => {
                let outside =
                    target.low.is_some_and(|low| now < low) || target.high.is_some_and(|high| high < now);
                let (fill, text) = if outside { ("ra", "b a") } else { ("s", "b") };
                diamond(sheet, fill, axis.x(now), y, 6.0);
                sheet.text(text, axis.x(now), y - 9.0, Anchor::Middle, &rate(now));
            }
            None => sheet.text("q", self.left + 4.0, y - 5.0, Anchor::Start, "not read"),
        }
        if let Some(amplitude) = finite(position.amplitude) {
            sheet.text(
                Style::Plain.class(),
                self.right + 36.0,
                y + 5.0,
                Anchor::End,
                &format!("{}\u{b0}", figure(amplitude, 0)),
            );
        }
        if let Some(beat) = finite(position.beat_error) {
            let unit = if self.narrow { "" } else { " ms" };
            sheet.text(
                Style::Plain.class(),
                self.width - 2.0,
                y + 5.0,
                Anchor::End,
                &format!("{}{unit}", figure(beat, 1)),
            );
        }
    }
}

fn diamond(sheet: &mut Sheet, class: &str, x: f64, y: f64, r: f64) {
    sheet.polygon(class, &[(x, y - r), (x + r, y), (x, y + r), (x - r, y)]);
}

/// Rates along a level, with round ticks.
struct Axis {
    low: f64,
    high: f64,
    step: f64,
    left: f64,
    right: f64,
}

impl Axis {
    fn new(rates: &[f64], target: Range, left: f64, right: f64) -> Axis {
        let marks = [target.low, target.high].into_iter().flatten().filter(|v| v.is_finite());
        let all = rates.iter().copied().chain(marks.map(|v| v.clamp(-999.0, 999.0))).chain([0.0]);
        let (low, high) = all.fold((0.0_f64, 0.0_f64), |(a, b), v| (a.min(v), b.max(v)));
        let span = (high - low).max(2.0);
        // The smallest round step whose figures stand apart.
        let most = ((right - left) / 48.0).floor().max(2.0);
        let step = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0]
            .into_iter()
            .find(|step| span * 1.08 / step + 1.0 <= most)
            .unwrap_or(1000.0);
        // The axis ends at a quarter of a step: a round figure at each end would waste its width.
        let part = step / 4.0;
        let low = ((low - span * 0.04) / part).floor() * part;
        let high = ((high + span * 0.04) / part).ceil() * part;
        Axis { low, high, step, left, right }
    }

    fn x(&self, value: f64) -> f64 {
        let share = ((value - self.low) / (self.high - self.low).max(1e-9)).clamp(0.0, 1.0);
        self.left + share * (self.right - self.left)
    }

    fn ticks(&self) -> impl Iterator<Item = f64> {
        let (step, high) = (self.step, self.high);
        let low = (self.low / step).ceil() * step;
        (0..64_u8).map(move |i| low + step * f64::from(i)).take_while(move |v| *v <= high + step * 0.01)
    }
}

impl Drift {
    /// The figures in words.
    pub fn words(&self) -> String {
        let told: Vec<String> = self
            .sets
            .iter()
            .filter(|set| set.rate.is_finite())
            .map(|set| {
                let note = if set.note.is_empty() { String::new() } else { format!(" {}", set.note) };
                format!("{} on {}{note}", rate(set.rate), set.date)
            })
            .collect();
        let target = target_words(self.target).map_or_else(String::new, |t| format!(" Target {t}."));
        format!("Mean rate over time, in seconds a day: {}.{target}", told.join(", "))
    }
}

/// The mean rate over time, 330 px wide; empty with fewer than two sets.
pub fn rate_over_time(drift: &Drift) -> String {
    const WIDTH: f64 = 330.0;
    const PLOT: (f64, f64, f64, f64) = (46.0, 22.0, 322.0, 196.0);
    let mut sets: Vec<&Set> =
        drift.sets.iter().filter(|set| set.rate.is_finite() && set.day.is_finite()).collect();
    sets.sort_by(|a, b| a.day.total_cmp(&b.day));
    let (Some(first), Some(last)) = (sets.first(), sets.last()) else { return String::new() };
    if sets.len() < 2 {
        return String::new();
    }
    let days = (last.day - first.day).max(1e-6);
    let rates: Vec<f64> = sets.iter().map(|set| set.rate.clamp(-999.0, 999.0)).collect();
    // The level axis, turned upright: more to the top.
    let axis = Axis::new(&rates, drift.target, 0.0, PLOT.3 - PLOT.1);
    let y = |value: f64| PLOT.3 - axis.x(value);
    let x = |day: f64| PLOT.0 + 8.0 + (day - first.day) / days * (PLOT.2 - PLOT.0 - 16.0);
    let mut sheet = Sheet::default();
    let (low, high) =
        (drift.target.low.filter(|v| v.is_finite()), drift.target.high.filter(|v| v.is_finite()));
    if low.is_some() || high.is_some() {
        let (bottom, top) = (low.map_or(PLOT.3, y), high.map_or(PLOT.1, y));
        sheet.rect("w", PLOT.0, top, PLOT.2, bottom);
        let mut bracket = Path::default();
        let inwards = PLOT.0 + 5.0;
        match (high, low) {
            (Some(_), Some(_)) => {
                bracket.to(inwards, top).line(PLOT.0, top).line(PLOT.0, bottom).line(inwards, bottom)
            }
            (Some(_), None) => bracket.to(inwards, top).line(PLOT.0, top).line(PLOT.0, bottom),
            _ => bracket.to(PLOT.0, top).line(PLOT.0, bottom).line(inwards, bottom),
        };
        sheet.path("be", &bracket);
    }
    sheet.line("k", PLOT.0, y(0.0), PLOT.2, y(0.0));
    let mut taken: Vec<f64> = Vec::new();
    for value in [Some(0.0), low, high].into_iter().flatten().chain(axis.ticks()) {
        let at = y(value);
        if taken.iter().all(|other| (other - at).abs() >= 15.0) {
            sheet.text("q", PLOT.0 - 6.0, at + 4.5, Anchor::End, &rate(value));
            taken.push(at);
        }
    }
    let points: Vec<(f64, f64)> =
        sets.iter().map(|set| (x(set.day), y(set.rate.clamp(-999.0, 999.0)))).collect();
    sheet.path("wc", Path::default().polyline(&points));
    for (set, (px, py)) in sets.iter().zip(&points) {
        let outside = low.is_some_and(|low| set.rate < low) || high.is_some_and(|high| high < set.rate);
        diamond(&mut sheet, if outside { "ra" } else { "s" }, *px, *py, 5.5);
    }
    point_labels(&mut sheet, &sets, &points, PLOT, y(0.0));
    dates(&mut sheet, &sets, &points, (WIDTH, PLOT.3 + 20.0));
    sheet.labelled("tm", WIDTH, PLOT.3 + 26.0, &drift.words())
}

/// Rates beside their points where they meet neither a point nor each other: ends first.
fn point_labels(
    sheet: &mut Sheet,
    sets: &[&Set],
    points: &[(f64, f64)],
    plot: (f64, f64, f64, f64),
    zero: f64,
) {
    let last = sets.len() - 1;
    let mut order: Vec<usize> = vec![last, 0];
    order.extend(1..last);
    let mut boxes: Vec<(f64, f64, f64, f64)> =
        points.iter().map(|(x, y)| (x - 6.0, y - 6.0, x + 6.0, y + 6.0)).collect();
    boxes.push((plot.0, zero, plot.2, zero));
    for i in order {
        let (px, py) = points[i];
        let mut text = rate(sets[i].rate);
        if !sets[i].note.is_empty() {
            text += &format!(" {}", Style::Figure.fitted(&sets[i].note, 150.0));
        }
        let width = Style::Figure.width(&text);
        let left = (px - width / 2.0).clamp(plot.0 + 3.0, plot.2 - width);
        // Above, below, beside.
        let spots =
            [(left, py - 10.0), (left, py + 20.0), (px + 10.0, py + 5.0), (px - 10.0 - width, py + 5.0)];
        let free = spots.into_iter().find(|(x, y)| {
            let (l, t, r, b) = (*x - 2.0, y - 11.0, x + width + 2.0, y + 3.0);
            let inside = plot.0 <= l && r <= plot.2 + 4.0 && t >= 0.0 && b <= plot.3;
            inside && boxes.iter().all(|o| r <= o.0 || o.2 <= l || b <= o.1 || o.3 <= t)
        });
        if let Some((x, y)) = free {
            sheet.text("b", x, y, Anchor::Start, &text);
            boxes.push((x - 2.0, y - 11.0, x + width + 2.0, y + 3.0));
        }
    }
}

/// The first and the last date, and those between that fit.
fn dates(sheet: &mut Sheet, sets: &[&Set], points: &[(f64, f64)], (width, y): (f64, f64)) {
    let last = sets.len() - 1;
    let mut order: Vec<usize> = vec![0, last];
    order.extend(1..last);
    let mut taken: Vec<(f64, f64)> = Vec::new();
    for i in order {
        let text = Style::Name.fitted(&sets[i].date, 110.0);
        let wide = Style::Name.width(&text);
        let left = (points[i].0 - wide / 2.0).clamp(0.0, width - wide);
        if taken.iter().all(|(a, b)| left + wide + 8.0 <= *a || b + 8.0 <= left) {
            sheet.text("q", left, y, Anchor::Start, &text);
            taken.push((left, left + wide));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::testing::{paths, texts_apart, well_formed};
    use proptest::prelude::*;

    fn position(code: &str, before: f64, rate: f64) -> Position {
        Position {
            code: code.to_owned(),
            words: "dial up".to_owned(),
            before: Some(before),
            rate: Some(rate),
            amplitude: Some(268.0),
            beat_error: Some(0.2),
        }
    }

    fn lantern() -> Timing {
        Timing {
            target: Range::between(-5.0, 10.0),
            positions: vec![position("CH", 21.0, 6.0), position("FH", 24.0, 8.0), position("6H", 9.0, -2.0)],
        }
    }

    #[test]
    fn rates_are_signed_and_stand_to_scale() {
        let svg = rate_by_position(&lantern());
        well_formed(&svg);
        for text in [">+6<", ">+8<", ">\u{2212}2<"] {
            assert!(svg.contains(text), "{text}");
        }
        // Diamonds of +6, +8 and -2: ten seconds apart are five times two.
        let tops: Vec<f64> =
            paths(&svg, "s").into_iter().filter(|p| p.len() == 5).map(|points| points[0].0).collect();
        assert_eq!(tops.len(), 3, "{tops:?}");
        assert!(((tops[1] - tops[2]) / (tops[1] - tops[0]) - 5.0).abs() < 0.1, "{tops:?}");
    }

    #[test]
    fn a_rate_outside_the_target_is_marked() {
        let mut timing = lantern();
        timing.positions[0].rate = Some(14.0);
        assert!(rate_by_position(&timing).contains("class=\"ra\""));
        assert!(!rate_by_position(&lantern()).contains("class=\"ra\""));
    }

    #[test]
    fn nothing_read_draws_nothing() {
        assert_eq!(rate_by_position(&Timing::default()), "");
        assert_eq!(rate_over_time(&Drift::default()), "");
    }

    fn number() -> impl Strategy<Value = f64> {
        prop_oneof![6 => -60.0..60.0f64, 1 => any::<f64>()]
    }

    proptest! {
        #[test]
        fn any_readings_stand_apart(
            rows in prop::collection::vec((
                prop::option::of(number()), prop::option::of(number()),
                prop::option::of(0.0..360.0f64), prop::option::of(0.0..10.0f64),
            ), 0..8),
            low in prop::option::of(number()), high in prop::option::of(number()),
            days in prop::collection::vec((0.0..900.0f64, number()), 0..14),
        ) {
            let positions = rows.into_iter().map(|(before, rate, amplitude, beat_error)| Position {
                code: "12H".to_owned(), words: "crown right <&>".to_owned(), before, rate, amplitude, beat_error,
            });
            let timing = Timing { target: Range { low, high }, positions: positions.collect() };
            let sets = days.into_iter().map(|(day, rate)| Set {
                day, date: format!("{day:.0} days on"), rate, note: "as it came".to_owned(),
            });
            let drift = Drift { target: Range { low, high }, sets: sets.collect() };
            for svg in [rate_by_position(&timing), narrow_rate_by_position(&timing), rate_over_time(&drift)] {
                if !svg.is_empty() {
                    well_formed(&svg);
                    texts_apart(&svg);
                }
            }
        }
    }
}
