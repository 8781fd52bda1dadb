//! The findings of a whole journal, each build checked when somebody first asks.
//!
//! A report is a function of an assembly, and remembered by the assembly's key: where a journal was read
//! again, only builds whose key is another are checked again.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use jiff::civil::Date;
use rayon::prelude::*;

use crate::journal::{Build, Journal};
use crate::ledger::Ledger;

use super::assemble::assemble;
use super::assembly::Assembly;
use super::inspect::{Report, inspect};
use super::key::Key;
use super::standards::Standards;

/// Room for a report of each build of a journal, over all that is remembered of earlier ones.
#[derive(Debug, Default)]
pub struct Filed {
    each: BTreeMap<String, OnceLock<(Key, Arc<Report>)>>,
    remembered: Arc<Mutex<BTreeMap<Key, Arc<Report>>>>,
}

impl Filed {
    /// Room for the reports of a journal, or of what it has become.
    #[must_use]
    pub fn and_then(&self, journal: &Journal) -> Filed {
        let each = journal.builds.iter().map(|build| (build.slug.clone(), OnceLock::new()));
        let remembered = Arc::clone(&self.remembered);
        let mut known = remembered.lock().unwrap_or_else(PoisonError::into_inner);
        // What is remembered beside the present builds is for work that is undone again.
        if known.len() > 64 + 2 * journal.builds.len() {
            let present: Vec<&Key> = self.each.values().filter_map(|one| Some(&one.get()?.0)).collect();
            known.retain(|key, _| present.contains(&key));
        }
        drop(known);
        Filed { each: each.collect(), remembered }
    }

    fn once(&self, assembly: &Assembly) -> (Key, Arc<Report>) {
        let key = assembly.key();
        let known = || self.remembered.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(report) = known().get(&key) {
            return (key, Arc::clone(report));
        }
        let report = Arc::new(inspect(assembly));
        known().insert(key, Arc::clone(&report));
        (key, report)
    }
}

/// The reports of a journal's builds: each is made when it is first asked for.
#[derive(Clone, Copy, Debug)]
pub struct Reports<'a> {
    /// What was read.
    pub journal: &'a Journal,
    /// Where every part has been.
    pub ledger: &'a Ledger,
    /// What they are judged by.
    pub standards: &'a Arc<Standards>,
    /// The day that the builds are looked at.
    pub as_of: Date,
    /// Those that were made.
    pub filed: &'a Filed,
}

impl<'a> Reports<'a> {
    /// A build as its checks see it.
    #[must_use]
    pub fn assembly(&self, build: &Build) -> Assembly {
        assemble(self.journal, self.ledger, self.standards, self.as_of, build)
    }

    /// The key of a build's report; `None` where the journal has no such build.
    #[must_use]
    pub fn key(&self, slug: &str) -> Option<Key> {
        match self.filed.each.get(slug)?.get() {
            Some((key, _)) => Some(*key),
            None => Some(self.assembly(self.journal.build(slug)?).key()),
        }
    }

    /// The report of one build; `None` where the journal has no such build.
    pub fn of(&self, slug: &str) -> Option<&'a Arc<Report>> {
        let build = self.journal.build(slug)?;
        let (_, report) = self.filed.each.get(slug)?.get_or_init(|| self.filed.once(&self.assembly(build)));
        Some(report)
    }

    /// Those of all builds, in the order of the journal.
    pub fn all(&self) -> Vec<&'a Arc<Report>> {
        self.journal.builds.par_iter().filter_map(|build| self.of(&build.slug)).collect()
    }
}
