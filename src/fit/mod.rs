//! The engine that judges whether the parts of a build go together, and its checks.

pub mod chance;
pub(crate) mod dome;
pub mod expr;
pub mod interval;
pub(crate) mod lanes;
pub mod number;
pub(crate) mod pairing;
pub mod physics;
pub(crate) mod polar;
pub mod program;
pub(crate) mod reduce;
pub(crate) mod sample;
pub mod spell;
pub mod spread;
pub mod tape;
pub mod verdict;
pub mod worst;
#[cfg(test)]
mod zoo;
