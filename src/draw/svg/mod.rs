//! Writing SVG: the sheet, the width of texts, and the symbols that a page holds once.

mod line_samples;
mod numbers;
mod path;
mod sheet;
mod symbols;
mod text_metrics;

pub use self::line_samples::{LineSample, line_sample};
pub use self::symbols::{state_symbol, symbols, verdict_symbol};

#[cfg(test)]
pub(crate) use self::numbers::Px;
pub(crate) use self::numbers::figure;
pub(crate) use self::path::Path;
pub(crate) use self::sheet::{Anchor, Frame, Sheet};
pub(crate) use self::symbols::symbol_id;
pub(crate) use self::text_metrics::Style;
