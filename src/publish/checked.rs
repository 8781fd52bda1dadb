//! A journal that was read, replayed and checked.

use std::collections::BTreeMap;
use std::path::Path;

use anyhow::Context as _;

use crate::fit::bands::Bands;
use crate::fit::inspect::{self, Report};
use crate::journal::{self, Journal};
use crate::ledger::Ledger;
use crate::pages::theme::Theme;
use crate::problem::Problem;

/// Everything that pages are made of, but for photos and looks.
#[derive(Debug)]
pub struct Checked {
    /// What was read.
    pub journal: Journal,
    /// Where every part has been.
    pub ledger: Ledger,
    /// The bands in force.
    pub bands: Bands,
    /// The findings by build's slug.
    pub reports: BTreeMap<String, Report>,
    /// What is wrong, in no order.
    pub problems: Vec<Problem>,
}

impl Checked {
    /// Reads and checks a journal.
    pub fn read(root: &Path) -> anyhow::Result<Checked> {
        let journal = journal::read(journal::folder::read(root)?);
        let ledger = Ledger::of(&journal);
        let (bands, mut problems) = Bands::of(&journal);
        let reports = inspect::all(&journal, &ledger, &bands, ledger.last_day(&journal));
        problems.extend(inspect::problems(&journal, &ledger, &reports));
        problems.extend(journal.problems.iter().cloned());
        problems.extend(ledger.problems.iter().cloned());
        let reports = reports.into_iter().map(|report| (report.slug.clone(), report)).collect();
        Ok(Checked { journal, ledger, bands, reports, problems })
    }

    /// The theme that the journal asks for.
    pub fn theme(&self, root: &Path) -> anyhow::Result<Theme> {
        let theme = &self.journal.settings.theme;
        Theme::read(root, &theme.value).with_context(|| self.journal.files.place(theme.span).to_string())
    }
}
