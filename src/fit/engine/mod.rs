//! One formula, evaluated with numbers, intervals and slopes.
//!
//! [`expression`] is what a check writes, laid out flat and printed; [`numbers`] is what it is
//! evaluated with; [`statistics`] holds its exact worst case over the tolerances and its spread;
//! [`assessment`] is what all of it comes to, and [`inverse`] the way back to one dimension.
//! Nothing here knows a watch.

pub mod assessment;
mod cache;
pub(super) mod expression;
#[cfg(test)]
mod fixtures;
pub mod inverse;
pub(super) mod numbers;
pub(super) mod statistics;
pub mod verdict;
