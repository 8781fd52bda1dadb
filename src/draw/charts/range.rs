//! A range with open ends, as the charts show it.

use crate::draw::svg::figure;

/// A range of results; an end that is `None` is open.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Range {
    /// The least value that lies in it.
    pub low: Option<f64>,
    /// The greatest value that lies in it.
    pub high: Option<f64>,
}

impl Range {
    /// From one value to another.
    pub fn between(low: f64, high: f64) -> Range {
        Range { low: Some(low), high: Some(high) }
    }

    /// From a value upwards.
    pub fn at_least(low: f64) -> Range {
        Range { low: Some(low), high: None }
    }

    /// Up to a value.
    pub fn at_most(high: f64) -> Range {
        Range { low: None, high: Some(high) }
    }

    pub(super) fn finite(self) -> Range {
        let mut ends = [self.low, self.high].map(|end| end.filter(|v| v.is_finite()));
        if let [Some(low), Some(high)] = ends
            && low > high
        {
            ends.reverse();
        }
        Range { low: ends[0], high: ends[1] }
    }

    /// `0.03 to 0.60`, `from 0.20`, `up to 0.10`; nothing where both ends are open.
    pub(super) fn words(self, decimals: usize) -> Option<String> {
        match (self.low, self.high) {
            (Some(low), Some(high)) => {
                Some(format!("{} to {}", figure(low, decimals), figure(high, decimals)))
            }
            (Some(low), None) => Some(format!("from {}", figure(low, decimals))),
            (None, Some(high)) => Some(format!("up to {}", figure(high, decimals))),
            (None, None) => None,
        }
    }
}
