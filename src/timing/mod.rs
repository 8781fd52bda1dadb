//! Readings of a timing machine into rates, spreads and criteria.
//!
//! Everything here is a pure function on plain readings; which watch they belong to, and what its
//! calibre sheet says, is the caller's business.

pub mod chronometer;
mod latest;
mod position;
mod reading;
mod sitting;
pub mod statistics;
mod wind;

pub use latest::latest;
pub use position::{Position, PositionFault};
pub use reading::{Reading, Wound, WoundFault, corrected_amplitude_deg};
pub use sitting::{Sitting, SittingFigures, sittings};
pub use wind::{WindDrift, wind_drift};
