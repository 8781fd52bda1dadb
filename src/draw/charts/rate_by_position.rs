//! The rate in each position, before and after.

use super::range::Range;
use super::rate_axis::{Axis, diamond, rate, target_words};
use crate::draw::svg::{Anchor, Path, Sheet, Style, figure};

/// A watch on the timing machine.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct PositionRates {
    /// The rate that the build aims at, in seconds a day.
    pub target: Range,
    /// One row each, in this order.
    pub positions: Vec<PositionRate>,
}

/// One position's readings; `None` where nothing was read.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct PositionRate {
    /// Its ISO 3158 code.
    pub code: String,
    /// In words, as `dial up`.
    pub words: String,
    /// The rate in the readings before, s/d.
    pub before: Option<f64>,
    /// The rate in the latest readings, s/d.
    pub rate: Option<f64>,
    /// Amplitude in degrees.
    pub amplitude: Option<f64>,
    /// Beat error in ms.
    pub beat_error: Option<f64>,
}

impl PositionRates {
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
pub fn rate_by_position(timing: &PositionRates) -> String {
    Chart { width: 620.0, row: 34.0, left: 150.0, right: 478.0, narrow: false }.draw(timing)
}

/// The same for a phone, 330 px wide.
pub fn narrow_rate_by_position(timing: &PositionRates) -> String {
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
    fn draw(&self, timing: &PositionRates) -> String {
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

    fn position(&self, sheet: &mut Sheet, axis: &Axis, position: &PositionRate, target: Range, y: f64) {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::testing::{paths, texts_apart, well_formed};
    use proptest::prelude::*;

    fn position(code: &str, before: f64, rate: f64) -> PositionRate {
        PositionRate {
            code: code.to_owned(),
            words: "dial up".to_owned(),
            before: Some(before),
            rate: Some(rate),
            amplitude: Some(268.0),
            beat_error: Some(0.2),
        }
    }

    fn lantern() -> PositionRates {
        PositionRates {
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
        assert_eq!(rate_by_position(&PositionRates::default()), "");
    }

    fn number() -> impl Strategy<Value = f64> {
        prop_oneof![6 => -60.0..60.0f64, 1 => any::<f64>()]
    }

    proptest! {
        #[test]
        fn any_rates_are_drawn_with_texts_apart(
            rows in prop::collection::vec((
                prop::option::of(number()), prop::option::of(number()),
                prop::option::of(0.0..360.0f64), prop::option::of(0.0..10.0f64),
            ), 0..8),
            low in prop::option::of(number()), high in prop::option::of(number()),
        ) {
            let positions = rows.into_iter().map(|(before, rate, amplitude, beat_error)| PositionRate {
                code: "12H".to_owned(), words: "crown right <&>".to_owned(), before, rate, amplitude, beat_error,
            });
            let timing = PositionRates { target: Range { low, high }, positions: positions.collect() };
            for svg in [rate_by_position(&timing), narrow_rate_by_position(&timing)] {
                if !svg.is_empty() {
                    well_formed(&svg);
                    texts_apart(&svg);
                }
            }
        }
    }
}
