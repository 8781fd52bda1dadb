//! Reading and checking a journal: what most commands begin with.

use std::path::Path;

use jiff::civil::Date;

use crate::fit::bands::Bands;
use crate::fit::inspect::{self, Report};
use crate::fit::watch::{Stage, Watch};
use crate::journal::{self, Build, Journal, folder};
use crate::ledger::Ledger;
use crate::problem::{self, Problem};

/// A journal that was read, replayed and checked.
pub(super) struct Checked {
    pub(super) journal: Journal,
    pub(super) ledger: Ledger,
    pub(super) as_of: Date,
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
    let (bands, mut problems) = Bands::of(&journal);
    let as_of = ledger.last_day(&journal);
    let reports = inspect::all(&journal, &ledger, &bands, as_of);
    problems.extend(inspect::problems(&journal, &ledger, &reports));
    problems.extend(journal.problems.iter().cloned());
    problems.extend(ledger.problems.iter().cloned());
    problem::sort(&mut problems);
    Ok(Checked { journal, ledger, as_of, reports, problems })
}

impl Checked {
    /// A build's parts as they are in it.
    pub(super) fn watch<'a>(&'a self, build: &'a Build) -> Watch<'a> {
        Watch::of(&self.journal, &self.ledger, build, self.as_of, Stage::AsIs)
    }
}
