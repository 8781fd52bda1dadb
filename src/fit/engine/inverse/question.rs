//! What may be asked of a dimension, and the ranges that answer it.

use crate::fit::engine::expression::expr::{Shape, Term};

/// What is asked of the dimension.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Goal {
    /// At most one result in a hundred outside the band, and no contact.
    Clear,
    /// The nominal result inside contact.
    NotFouling,
}

/// How far a dimension's true value may lie from its nominal one.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Tolerance {
    /// Above it; never below zero.
    pub plus: f64,
    /// Below it; never below zero.
    pub minus: f64,
    /// The spread between the two limits.
    pub shape: Shape,
}

/// A dimension to solve for.
pub struct Question<'a> {
    /// Its name in the formula.
    pub dimension: &'a str,
    /// What it is to bring about.
    pub goal: Goal,
    /// The values that are looked at, from the least to the greatest.
    pub search: (f64, f64),
    /// The tolerance that it would have, once known, at a value.
    pub tolerance: &'a dyn Fn(f64) -> Tolerance,
    /// What the other dimensions are taken as, by name, where that is not as they are: values
    /// for those that are missing too.
    pub stand_ins: &'a [Term],
}

/// A range of nominal values. An end is `None` where it is open: the search found no end there.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Range {
    /// The least value.
    pub low: Option<f64>,
    /// The greatest value.
    pub high: Option<f64>,
}

/// The answer.
#[derive(Clone, PartialEq, Debug)]
pub struct Solved {
    /// The range nearest to the present value, or the widest where there is none; its ends are
    /// rounded inwards to 0.01 (a range under 0.1 wide, to 0.001), so that an end as printed is
    /// itself good. `None`: no value would do.
    pub range: Option<Range>,
    /// Every range, from the least to the greatest.
    pub ranges: Vec<Range>,
    /// Whether none exists because the spread alone exceeds the band.
    pub too_wide: bool,
}

/// Why there is no answer.
#[derive(Clone, PartialEq, Debug)]
pub enum Unsolvable {
    /// The formula does not have the dimension.
    NotThere,
    /// These others are missing, and nothing stands in for them.
    Missing(Vec<Term>),
    /// The worst case could not be told within its limit of work, value after value: sizes that no
    /// watch has. A range found so would be no answer.
    Vain,
}

/// What lies in every one of several answers: the values of a dimension that suit all of its
/// measures. Empty: none do.
pub fn common<'a>(answers: impl IntoIterator<Item = &'a [Range]>) -> Vec<Range> {
    let everything = vec![Range { low: None, high: None }];
    answers.into_iter().fold(everything, |so_far, ranges| {
        let pairs = so_far.iter().flat_map(|a| ranges.iter().map(move |b| (a, b)));
        pairs.filter_map(|(a, b)| a.within(*b)).collect()
    })
}

impl Range {
    /// Whether the value lies in it.
    pub fn holds(self, value: f64) -> bool {
        self.low.is_none_or(|low| low <= value) && self.high.is_none_or(|high| value <= high)
    }

    /// What both have; `None` where they do not meet.
    pub fn within(self, other: Range) -> Option<Range> {
        let low = self.low.into_iter().chain(other.low).reduce(f64::max);
        let high = self.high.into_iter().chain(other.high).reduce(f64::min);
        let empty = low.zip(high).is_some_and(|(low, high)| low > high);
        (!empty).then_some(Range { low, high })
    }

    pub(super) fn distance(self, value: f64) -> f64 {
        let under = self.low.map_or(0.0, |low| low - value);
        let over = self.high.map_or(0.0, |high| value - high);
        under.max(over).max(0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_suits_several_measures_is_what_they_share() {
        let range = |low, high| Range { low, high };
        let one = [range(None, Some(2.0)), range(Some(3.0), Some(5.0))];
        let other = [range(Some(1.0), Some(4.0))];
        let shared = common([&one[..], &other[..]]);
        assert_eq!(shared, [range(Some(1.0), Some(2.0)), range(Some(3.0), Some(4.0))]);
        assert!(common([&one[..], &[]]).is_empty());
    }
}
