//! Drawings to scale as SVG, made from the same numbers as the checks.
//!
//! Plain figures go in, a piece of SVG text comes out, ready to stand in a page: with classes only (the
//! theme's drawings.css says what they mean), `role="img"` and the figures in words, or hidden from
//! readers where the same figures stand beside it as text. Same figures, same bytes. What was not
//! measured is dashed and named, and nothing else is ever dashed.

mod bar;
mod figures;
mod fix;
mod headline;
mod hints;
mod labels;
mod lettering;
mod outline;
mod plan;
mod section;
mod sprite;
mod svg;
#[cfg(test)]
mod testing;
mod timing;
mod verdict;
mod view;
mod watch;

pub use bar::{Bar, Range, bar, small_bar};
pub use figures::{drawn, figures};
pub use headline::{Headline, gallery_headline, headline};
pub use hints::hint;
pub use outline::{Outline, line_up};
pub use plan::{KeyLine, front, narrow_plan, plan, plan_key, plan_words};
pub use section::{narrow_section, section, section_words, unmeasured};
pub use sprite::{Sample, State, glyph, sample, sprite, state_block};
pub use timing::{Drift, Position, Set, Timing, narrow_rate_by_position, rate_by_position, rate_over_time};
pub use verdict::Verdict;
pub use watch::{
    BackGasket, Bezel, Case, ChapterRing, Clearance, Cone, Crown, Crystal, CrystalGasket, Dial, DialRing,
    Foot, Form, Hand, Indices, Ledge, Movement, MovementRing, Place, Post, Role, Shim, SubDial, Watch,
    Window,
};
