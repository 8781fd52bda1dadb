//! Bands, and the verdict on a result that lies in one or does not.

use std::fmt;

use serde::Serialize;

/// Half of the last digit that lengths are compared at: 0.1 um.
pub const HALF_DIGIT: f64 = 0.000_05;

/// Where a result should lie; an open end is `None`. In the unit of the measure.
#[derive(Clone, Copy, PartialEq, Debug, Default, Serialize)]
pub struct Band {
    /// The least that is good.
    pub low: Option<f64>,
    /// The greatest that is good.
    pub high: Option<f64>,
}

/// The verdict on one finding, in order of trouble.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Verdict {
    /// At most one in a hundred would lie outside the band.
    Clear,
    /// A dimension is missing.
    Unmeasured,
    /// Neither clear nor fouling.
    Tight,
    /// The nominal result lies outside contact.
    Fouls,
}

/// The end of the band that a result is beyond, or may be.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Edge {
    /// The lower end.
    Closer,
    /// The upper end.
    Looser,
}

/// The greatest chance of lying outside the band that still counts as clear.
pub const CLEAR_CHANCE: f64 = 0.01;

impl Band {
    /// A band that everything lies in.
    pub const OPEN: Band = Band { low: None, high: None };

    /// From `low` on.
    pub fn at_least(low: f64) -> Band {
        Band { low: Some(low), high: None }
    }

    /// Up to `high`.
    pub fn at_most(high: f64) -> Band {
        Band { low: None, high: Some(high) }
    }

    /// From `low` to `high`.
    pub fn between(low: f64, high: f64) -> Band {
        Band { low: Some(low), high: Some(high) }
    }

    /// Whether a result, rounded to 0.1 um, lies in the band; its ends belong to it.
    pub fn holds(self, result: f64) -> bool {
        self.low.is_none_or(|low| low - HALF_DIGIT <= result)
            && self.high.is_none_or(|high| result <= high + HALF_DIGIT)
    }

    /// The distance of its ends; `None` where one is open.
    pub fn width(self) -> Option<f64> {
        Some(self.high? - self.low?)
    }
}

impl Edge {
    /// As it is said of a clearance.
    pub fn words(self) -> &'static str {
        match self {
            Edge::Closer => "closer than advised",
            Edge::Looser => "looser than advised",
        }
    }
}

impl Verdict {
    /// The word for it, as in the JSON.
    pub fn word(self) -> &'static str {
        match self {
            Verdict::Clear => "clear",
            Verdict::Tight => "tight",
            Verdict::Fouls => "fouls",
            Verdict::Unmeasured => "unmeasured",
        }
    }
}

impl fmt::Display for Verdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.word())
    }
}

/// The verdict on a nominal result and its chance of lying outside the band.
pub fn judge(nominal: f64, chance_out: f64, contact: Band) -> Verdict {
    if !contact.holds(nominal) {
        Verdict::Fouls
    } else if chance_out <= CLEAR_CHANCE {
        Verdict::Clear
    } else {
        Verdict::Tight
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn comparisons_are_made_at_a_tenth_of_a_micrometre() {
        assert!(Band::at_least(0.03).holds(0.029_951));
        assert!(!Band::at_least(0.03).holds(0.029_949));
    }

    #[test]
    fn verdicts_stand_in_order_of_trouble() {
        assert!(Verdict::Clear < Verdict::Unmeasured);
        assert!(Verdict::Unmeasured < Verdict::Tight && Verdict::Tight < Verdict::Fouls);
    }
}
