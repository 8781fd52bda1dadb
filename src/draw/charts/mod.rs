//! Charts: tolerance bars, rates, overall dimensions, and the watches in outline.

mod headline;
mod line_up;
mod range;
mod rate_axis;
mod rate_by_position;
mod rate_over_time;
mod row_bar;
mod tolerance_bar;

pub use self::headline::{gallery_headline, headline};
pub use self::line_up::{Outline, line_up};
pub use self::range::Range;
pub use self::rate_by_position::{PositionRate, PositionRates, narrow_rate_by_position, rate_by_position};
pub use self::rate_over_time::{MeanRate, RateHistory, rate_over_time};
pub use self::row_bar::row_bar;
pub use self::tolerance_bar::{ToleranceBar, tolerance_bar};
