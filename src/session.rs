//! The one way to a checked journal: read from its folder, replayed, and checked as far as somebody asks.
//!
//! Every command begins with `Session::open`. Whoever follows a journal keeps the session and says what was
//! saved to `Session::update`; it is then what opening the folder afresh would give.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use jiff::civil::Date;

use crate::fit::assembly::Assembly;
use crate::fit::inspect::{self, Report};
use crate::fit::reports::{Filed, Reports};
use crate::fit::standards::Standards;
use crate::journal::{self, Build, Folder, Journal, folder};
use crate::ledger::Ledger;
use crate::problem::Problem;

/// A journal, and everything that follows from it. A copy shares all of that, and costs little.
#[derive(Clone, Debug)]
pub struct Session {
    folder: PathBuf,
    journal: Arc<Journal>,
    ledger: Arc<Ledger>,
    standards: Arc<Standards>,
    /// What is wrong with the standards that the journal sets.
    unread: Arc<Vec<Problem>>,
    filed: Arc<Filed>,
}

impl Session {
    /// Reads a journal's folder and replays its log. Fails only where there is no journal.
    pub fn open(folder: &Path) -> anyhow::Result<Session> {
        Ok(Session::of(folder, folder::read(folder)?))
    }

    /// The session of what a folder holds.
    #[must_use]
    pub fn of(folder: &Path, held: Folder) -> Session {
        Session::replayed(folder, journal::read(held), &Filed::default())
    }

    fn replayed(folder: &Path, journal: Journal, before: &Filed) -> Session {
        let ledger = Ledger::of(&journal);
        let (standards, unread) = Standards::of(&journal);
        let filed = before.and_then(&journal);
        Session {
            folder: folder.to_owned(),
            journal: Arc::new(journal),
            ledger: Arc::new(ledger),
            standards: Arc::new(standards),
            unread: Arc::new(unread),
            filed: Arc::new(filed),
        }
    }

    /// Takes in what was saved since: files by their paths in the folder, or whatever there is where only
    /// looking through `all` of it tells.
    pub fn update(&mut self, saved: &BTreeSet<String>, all: bool) -> anyhow::Result<()> {
        let read = |path: &String| Some((path.clone(), folder::read_one(&self.folder, path)?));
        let texts: Option<BTreeMap<String, String>> = saved.iter().map(read).collect();
        let mut journal = (*self.journal).clone();
        let journal = match texts.filter(|_| !all) {
            Some(texts) if journal.update(&texts) => journal,
            _ => journal::read(folder::read(&self.folder)?),
        };
        *self = Session::replayed(&self.folder, journal, &self.filed);
        Ok(())
    }

    /// Where it was read from.
    #[must_use]
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// What was read.
    #[must_use]
    pub fn journal(&self) -> &Journal {
        &self.journal
    }

    /// Where every part has been.
    #[must_use]
    pub fn ledger(&self) -> &Ledger {
        &self.ledger
    }

    /// What its builds are judged by.
    #[must_use]
    pub fn standards(&self) -> &Arc<Standards> {
        &self.standards
    }

    /// The last day that the journal speaks of.
    #[must_use]
    pub fn today(&self) -> Date {
        self.ledger.last_day(&self.journal)
    }

    /// A build as its checks see it.
    #[must_use]
    pub fn assembly(&self, build: &Build) -> Assembly {
        self.reports().assembly(build)
    }

    /// The findings of its builds, each worked out when it is first asked for.
    #[must_use]
    pub fn reports(&self) -> Reports<'_> {
        let Session { journal, ledger, standards, filed, .. } = self;
        Reports { journal, ledger, standards, as_of: self.today(), filed }
    }

    /// What could not be read as it is written.
    pub fn unread(&self) -> impl Iterator<Item = &Problem> {
        self.journal.problems.iter().chain(self.unread.iter())
    }

    /// Everything that is wrong, in order.
    #[must_use]
    pub fn problems(&self) -> Vec<Problem> {
        let reports = self.reports();
        let accepting = self.journal.builds.iter().filter(|build| !build.accept.is_empty());
        let accepting: Vec<&Arc<Report>> = accepting.filter_map(|build| reports.of(&build.slug)).collect();
        let mut problems =
            inspect::problems(&self.journal, &self.ledger, accepting.into_iter().map(Arc::as_ref));
        problems.extend(self.unread().chain(&self.ledger.problems).cloned());
        crate::problem::sort(&mut problems);
        problems
    }
}
