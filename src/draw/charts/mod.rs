//! Charts: tolerance bars, rates, overall dimensions, and the watches in outline.

mod headline;
pub(super) mod line_up;
mod rates;
mod tolerance_bar;

pub use self::headline::{gallery_headline, headline};
pub use self::line_up::{Outline, line_up};
pub use self::rates::{
    Drift, Position, Set, Timing, narrow_rate_by_position, rate_by_position, rate_over_time,
};
pub use self::tolerance_bar::{Range, ToleranceBar, bar, small_bar};
