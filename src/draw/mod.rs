//! Drawings to scale as SVG, made from the same numbers as the checks.
//!
//! Plain figures go in, a piece of SVG text comes out, ready to stand in a page: with classes only (the
//! theme's drawings.css says what they mean), `role="img"` and the figures in words, or hidden from
//! readers where the same figures stand beside it as text. Same figures, same bytes. What was not
//! measured is dashed and named, and nothing else is ever dashed.
//!
//! From the ground up: `svg` writes elements, `watch` holds what is drawn of a build, `drafting` has
//! views, dimension lines and labels; on these stand the section, the plan, the charts and the
//! thumbnails of checks.

mod charts;
mod drafting;
mod plan;
mod section;
mod svg;
#[cfg(test)]
mod testing;
mod thumbnails;
mod watch;

pub use charts::{
    MeanRate, Outline, PositionRate, PositionRates, Range, RateHistory, ToleranceBar, gallery_headline,
    headline, line_up, narrow_rate_by_position, rate_by_position, rate_over_time, row_bar, tolerance_bar,
};
pub use plan::{KeyLine, front, narrow_plan, plan, plan_key, plan_words};
pub use section::{narrow_section, section, section_words, unmeasured};
pub use svg::{LineSample, line_sample, state_symbol, symbols, verdict_symbol};
pub use thumbnails::thumbnail;
pub use watch::{
    BackGasket, Bezel, Case, ChapterRing, Clearance, Cone, Crown, Crystal, CrystalGasket, Dial, DialRing,
    DrawnWatch, Foot, Form, Hand, Headline, Indices, Ledge, Movement, MovementRing, Place, Post, Role, Shim,
    SubDial, Window, drawn_watch,
};
