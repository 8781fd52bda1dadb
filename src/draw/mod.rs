//! Drawings to scale as SVG, made from the same numbers as the checks.
//!
//! Plain figures go in, a piece of SVG text comes out, ready to stand in a page: with classes only (the
//! theme's drawings.css says what they mean), `role="img"` and the figures in words, or hidden from
//! readers where the same figures stand beside it as text. Same figures, same bytes. What was not
//! measured is dashed and named, and nothing else is ever dashed.

mod bar;
mod headline;
#[allow(dead_code, reason = "the section and the plan stand on it")]
mod lettering;
#[allow(dead_code, reason = "the section and the plan stand on it")]
mod sprite;
#[allow(dead_code, reason = "the section and the plan stand on it")]
mod svg;
#[cfg(test)]
#[allow(dead_code, reason = "read by Debug alone")]
mod testing;
#[allow(dead_code, reason = "the section and the plan stand on it")]
mod verdict;

pub use bar::{Bar, Range, bar, small_bar};
pub use headline::{Headline, gallery_headline, headline};
pub use sprite::{Sample, State, glyph, sample, sprite, state_block};
pub use verdict::Verdict;
