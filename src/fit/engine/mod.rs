//! One formula, evaluated with numbers, intervals and slopes.
//!
//! [`expr`] is what a check writes and [`tape`] lays it out; [`worst`] is its exact worst case over
//! the tolerances, [`chance`] its spread, [`inverse`] the way back to one dimension, [`verdict`] what
//! all of it comes to, and [`spell`] how it is printed. Nothing here knows a watch.

pub mod chance;
mod dome;
pub mod expr;
pub mod interval;
pub mod inverse;
mod lanes;
mod memo;
pub mod number;
mod pairing;
mod polar;
pub mod program;
mod reduce;
mod sample;
pub mod spell;
pub mod spread;
pub mod tape;
pub mod verdict;
pub mod worst;
#[cfg(test)]
mod zoo;
