//! What tolerances do to a formula: its worst case, how its result spreads, how often it lies outside.

pub mod distribution;
pub(in crate::fit::engine) mod sample;
pub(in crate::fit::engine) mod simplify;
pub mod spread;
pub mod worst_case;
