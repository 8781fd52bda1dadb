//! What a site is made of.

use crate::fit::reports::Reports;
use crate::journal::Journal;
use crate::ledger::Ledger;

use super::addresses::Scope;
use super::album::Album;
use super::results::Results;
use super::theme::Theme;

/// What the pages are made of.
pub struct Input<'a> {
    /// What was read.
    pub journal: &'a Journal,
    /// Where every part has been.
    pub ledger: &'a Ledger,
    /// The findings; those of hidden builds may be asked for too.
    pub reports: Reports<'a>,
    /// The published photos.
    pub album: &'a Album,
    /// How it looks.
    pub theme: &'a Theme,
    /// What of it is published.
    pub scope: Scope<'a>,
    /// What was made before.
    pub results: &'a Results,
    /// Whether a page, by its path, stands as it was made.
    pub stands: &'a (dyn Fn(&str) -> bool + Sync),
}
