//! What both charts of rates have in common: an axis with round ticks, and signed rates.

use super::range::Range;
use crate::draw::svg::{Sheet, figure};

/// `+6`, `0`, `-1.5` with a real minus sign: a rate is always signed.
pub(super) fn rate(value: f64) -> String {
    let decimals = usize::from((value - value.round()).abs() > 0.05 && value.abs() < 100.0);
    let text = figure(value, decimals);
    if value > 0.0 && !text.starts_with('>') && text != "0" && text != "0.0" {
        format!("+{text}")
    } else {
        text
    }
}

pub(super) fn target_words(target: Range) -> Option<String> {
    let low = target.low.filter(|v| v.is_finite());
    let high = target.high.filter(|v| v.is_finite());
    match (low, high) {
        (Some(low), Some(high)) => Some(format!("{} to {}", rate(low), rate(high))),
        (Some(low), None) => Some(format!("from {}", rate(low))),
        (None, Some(high)) => Some(format!("up to {}", rate(high))),
        (None, None) => None,
    }
}

pub(super) fn diamond(sheet: &mut Sheet, class: &str, x: f64, y: f64, r: f64) {
    sheet.polygon(class, &[(x, y - r), (x + r, y), (x, y + r), (x - r, y)]);
}

/// Rates along a level, with round ticks.
pub(super) struct Axis {
    low: f64,
    high: f64,
    step: f64,
    left: f64,
    right: f64,
}

impl Axis {
    pub(super) fn new(rates: &[f64], target: Range, left: f64, right: f64) -> Axis {
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

    pub(super) fn x(&self, value: f64) -> f64 {
        let share = ((value - self.low) / (self.high - self.low).max(1e-9)).clamp(0.0, 1.0);
        self.left + share * (self.right - self.left)
    }

    pub(super) fn ticks(&self) -> impl Iterator<Item = f64> {
        let (step, high) = (self.step, self.high);
        let low = (self.low / step).ceil() * step;
        (0..64_u8).map(move |i| low + step * f64::from(i)).take_while(move |v| *v <= high + step * 0.01)
    }
}
