//! The engine that judges whether the parts of a build go together, and its checks.
//!
//! A check writes its formula once, as an `expr::Expr` over the dimensions of a `assembly::Assembly`;
//! the engine evaluates it with numbers, intervals and slopes, and from that alone come the worst
//! case, the spread, the chance of lying outside and the verdict. `inspect` runs them all.

pub mod assembly;

pub mod assemble;

pub mod fitted;

pub mod booking;

pub mod standards;

pub mod key;

pub mod trace;

mod calendar;
mod geometry;

pub mod cautions;
pub mod records;

pub mod check;

pub mod checks;

pub mod bands;

pub mod sentence;

pub mod finding;

pub mod headline;

pub mod judge;

pub mod inspect;

pub mod places;

pub mod reports;

pub mod nominal;

pub mod solve;

pub mod advice;

pub mod mends;

pub mod physics;

mod engine;

pub use engine::expression::{compiled, expr, program};
pub use engine::numbers::{interval, number};
pub use engine::statistics::{distribution, spread, worst_case};
pub use engine::{assessment, inverse, verdict};
