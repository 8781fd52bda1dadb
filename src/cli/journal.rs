//! Reading and checking a journal: what most commands begin with.

use std::path::Path;
use std::sync::Arc;

use jiff::civil::Date;

use crate::fit::assemble::assemble;
use crate::fit::assembly::Assembly;
use crate::fit::inspect::{self, Report};
use crate::fit::standards::Standards;
use crate::journal::{self, Build, Journal, folder};
use crate::ledger::Ledger;
use crate::problem::{self, Problem};

/// A journal that was read, replayed and checked.
pub(super) struct Checked {
    pub(super) journal: Journal,
    pub(super) ledger: Ledger,
    pub(super) as_of: Date,
    pub(super) standards: Arc<Standards>,
    /// A report a build, in the order of `journal.builds`.
    pub(super) reports: Vec<Report>,
    pub(super) problems: Vec<Problem>,
}

/// The journal's name in what other programs read: its folder's own. Where that stands on this machine
/// is nobody's business.
pub(super) fn name(root: &Path) -> String {
    let last = |path: &Path| path.file_name().map(|name| name.to_string_lossy().into_owned());
    last(root).or_else(|| last(&root.canonicalize().ok()?)).unwrap_or_default()
}

/// Reads a journal and replays its log; checks nothing yet.
pub(super) fn read(root: &Path) -> anyhow::Result<(Journal, Ledger)> {
    let journal = journal::read(folder::read(root)?);
    let ledger = Ledger::of(&journal);
    Ok((journal, ledger))
}

/// Reads a journal and checks every build.
pub(super) fn check(root: &Path) -> anyhow::Result<Checked> {
    let (journal, ledger) = read(root)?;
    let (standards, mut problems) = Standards::of(&journal);
    let standards = Arc::new(standards);
    let as_of = ledger.last_day(&journal);
    let reports = inspect::all(&journal, &ledger, &standards);
    problems.extend(inspect::problems(&journal, &ledger, &reports));
    problems.extend(journal.problems.iter().cloned());
    problems.extend(ledger.problems.iter().cloned());
    problem::sort(&mut problems);
    Ok(Checked { journal, ledger, as_of, standards, reports, problems })
}

impl Checked {
    /// A build as its checks see it.
    pub(super) fn assembly(&self, build: &Build) -> Assembly {
        assemble(&self.journal, &self.ledger, &self.standards, self.as_of, build)
    }
}
