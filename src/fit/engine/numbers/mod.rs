//! What formulas are evaluated with: plain numbers, eight of them at once, and intervals.

pub(in crate::fit::engine) mod batch;
pub mod interval;
pub(in crate::fit::engine) mod interval_functions;
pub mod number;
pub(in crate::fit::engine) mod pairing;
pub(in crate::fit::engine) mod polar;
pub(in crate::fit::engine) mod possible_pairings;
pub(in crate::fit::engine) mod sag;
