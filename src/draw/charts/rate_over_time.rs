//! The mean rate over the months.

use super::range::Range;
use super::rate_axis::{Axis, diamond, rate, target_words};
use crate::draw::svg::{Anchor, Path, Sheet, Style};

/// The mean rate of several readings over time.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct RateHistory {
    /// The rate that the build aims at, in seconds a day.
    pub target: Range,
    /// In the order of their dates.
    pub means: Vec<MeanRate>,
}

/// The mean of one sitting.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct MeanRate {
    /// Days since the first sitting.
    pub day: f64,
    /// The date as the axis says it.
    pub date: String,
    /// Mean rate, s/d.
    pub rate: f64,
    /// A word beside it, as `as it came`; empty for none.
    pub note: String,
}

impl RateHistory {
    /// The figures in words.
    pub fn words(&self) -> String {
        let told: Vec<String> = self
            .means
            .iter()
            .filter(|mean| mean.rate.is_finite())
            .map(|mean| {
                let note = if mean.note.is_empty() { String::new() } else { format!(" {}", mean.note) };
                format!("{} on {}{note}", rate(mean.rate), mean.date)
            })
            .collect();
        let target = target_words(self.target).map_or_else(String::new, |t| format!(" Target {t}."));
        format!("Mean rate over time, in seconds a day: {}.{target}", told.join(", "))
    }
}

/// The mean rate over time, 330 px wide; empty with fewer than two sittings.
pub fn rate_over_time(history: &RateHistory) -> String {
    const WIDTH: f64 = 330.0;
    const PLOT: (f64, f64, f64, f64) = (46.0, 22.0, 322.0, 196.0);
    let mut means: Vec<&MeanRate> =
        history.means.iter().filter(|mean| mean.rate.is_finite() && mean.day.is_finite()).collect();
    means.sort_by(|a, b| a.day.total_cmp(&b.day));
    let (Some(first), Some(last)) = (means.first(), means.last()) else { return String::new() };
    if means.len() < 2 {
        return String::new();
    }
    let days = (last.day - first.day).max(1e-6);
    let rates: Vec<f64> = means.iter().map(|mean| mean.rate.clamp(-999.0, 999.0)).collect();
    // The level axis, turned upright: more to the top.
    let axis = Axis::new(&rates, history.target, 0.0, PLOT.3 - PLOT.1);
    let y = |value: f64| PLOT.3 - axis.x(value);
    let x = |day: f64| PLOT.0 + 8.0 + (day - first.day) / days * (PLOT.2 - PLOT.0 - 16.0);
    let mut sheet = Sheet::default();
    let (low, high) =
        (history.target.low.filter(|v| v.is_finite()), history.target.high.filter(|v| v.is_finite()));
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
        means.iter().map(|mean| (x(mean.day), y(mean.rate.clamp(-999.0, 999.0)))).collect();
    sheet.path("wc", Path::default().polyline(&points));
    for (mean, (px, py)) in means.iter().zip(&points) {
        let outside = low.is_some_and(|low| mean.rate < low) || high.is_some_and(|high| high < mean.rate);
        diamond(&mut sheet, if outside { "ra" } else { "s" }, *px, *py, 5.5);
    }
    point_labels(&mut sheet, &means, &points, PLOT, y(0.0));
    dates(&mut sheet, &means, &points, (WIDTH, PLOT.3 + 20.0));
    sheet.labelled("tm", WIDTH, PLOT.3 + 26.0, &history.words())
}

/// Rates beside their points where they meet neither a point nor each other: ends first.
fn point_labels(
    sheet: &mut Sheet,
    means: &[&MeanRate],
    points: &[(f64, f64)],
    plot: (f64, f64, f64, f64),
    zero: f64,
) {
    let last = means.len() - 1;
    let mut order: Vec<usize> = vec![last, 0];
    order.extend(1..last);
    let mut boxes: Vec<(f64, f64, f64, f64)> =
        points.iter().map(|(x, y)| (x - 6.0, y - 6.0, x + 6.0, y + 6.0)).collect();
    boxes.push((plot.0, zero, plot.2, zero));
    for i in order {
        let (px, py) = points[i];
        let mut text = rate(means[i].rate);
        if !means[i].note.is_empty() {
            text += &format!(" {}", Style::Figure.fitted(&means[i].note, 150.0));
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
fn dates(sheet: &mut Sheet, means: &[&MeanRate], points: &[(f64, f64)], (width, y): (f64, f64)) {
    let last = means.len() - 1;
    let mut order: Vec<usize> = vec![0, last];
    order.extend(1..last);
    let mut taken: Vec<(f64, f64)> = Vec::new();
    for i in order {
        let text = Style::Name.fitted(&means[i].date, 110.0);
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
    use crate::draw::testing::{texts_apart, well_formed};
    use proptest::prelude::*;

    #[test]
    fn no_readings_draw_nothing() {
        assert_eq!(rate_over_time(&RateHistory::default()), "");
    }

    fn number() -> impl Strategy<Value = f64> {
        prop_oneof![6 => -60.0..60.0f64, 1 => any::<f64>()]
    }

    proptest! {
        #[test]
        fn any_rates_are_drawn_with_texts_apart(
            low in prop::option::of(number()), high in prop::option::of(number()),
            days in prop::collection::vec((0.0..900.0f64, number()), 0..14),
        ) {
            let means = days.into_iter().map(|(day, rate)| MeanRate {
                day, date: format!("{day:.0} days on"), rate, note: "as it came".to_owned(),
            });
            let history = RateHistory { target: Range { low, high }, means: means.collect() };
            let svg = rate_over_time(&history);
            if !svg.is_empty() {
                well_formed(&svg);
                texts_apart(&svg);
            }
        }
    }
}
