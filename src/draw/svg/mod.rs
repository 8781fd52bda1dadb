//! Writing SVG: the sheet, the width of texts, and the symbols that a page holds once.

mod sheet;
mod symbols;
mod text_metrics;

pub use self::symbols::{Sample, sample, state_symbol, symbols, verdict_symbol};

#[cfg(test)]
pub(crate) use self::sheet::Px;
pub(crate) use self::sheet::{Anchor, Frame, Path, Sheet, figure};
pub(crate) use self::symbols::{Marked, arrow};
pub(crate) use self::text_metrics::Style;
