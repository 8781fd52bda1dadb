//! The engine that judges whether the parts of a build go together, and its checks.
//!
//! A check writes its formula once, as an [`expr::Expr`] over the dimensions of a [`watch::Watch`];
//! the engine evaluates it with numbers, intervals and slopes, and from that alone come the worst
//! case, the spread, the chance of lying outside and the verdict. [`inspect`] runs them all.

pub mod watch;

mod calendar;
mod geometry;

pub mod cautions;
pub mod records;

pub mod check;

pub mod checks;

pub mod bands;

pub mod finding;

pub mod headline;

pub mod inspect;

pub mod solve;

pub mod advice;

pub mod physics;

pub mod chance;
pub(crate) mod dome;
pub mod expr;
pub mod interval;
pub mod inverse;
pub(crate) mod lanes;
pub mod number;
pub(crate) mod pairing;
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
