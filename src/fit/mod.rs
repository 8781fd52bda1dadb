//! The engine that judges whether the parts of a build go together, and its checks.

pub(crate) mod dome;
pub mod expr;
pub mod interval;
pub mod number;
pub(crate) mod pairing;
pub mod physics;
pub(crate) mod polar;
pub mod program;
pub(crate) mod reduce;
pub mod spell;
pub mod tape;
pub mod worst;
#[cfg(test)]
mod zoo;
