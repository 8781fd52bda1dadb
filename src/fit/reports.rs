//! The findings of a whole journal, each build checked when somebody first asks.
//!
//! Most of a site stands from one run to the next: who asks only for what changed has only that checked.

use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

use jiff::civil::Date;
use rayon::prelude::*;

use crate::journal::{Build, Journal};
use crate::ledger::Ledger;

use super::assemble::assemble;
use super::inspect::{Report, inspect};
use super::standards::Standards;

/// The reports that were asked for, by build's slug, with room for all.
#[derive(Debug, Default)]
pub struct Filed {
    each: BTreeMap<String, OnceLock<Arc<Report>>>,
}

impl Filed {
    /// Room for a report of each build of a journal; `before` answers those that still hold.
    pub fn new(journal: &Journal, before: impl Fn(&Build) -> Option<Arc<Report>>) -> Filed {
        let each = journal.builds.iter().map(|build| {
            let report = before(build).map(OnceLock::from).unwrap_or_default();
            (build.slug.clone(), report)
        });
        Filed { each: each.collect() }
    }

    /// Takes another report in the place of the one that there was.
    pub fn replace(&mut self, report: Report) {
        self.each.insert(report.slug.clone(), OnceLock::from(Arc::new(report)));
    }

    /// The reports that were made by now.
    pub fn made(&self) -> BTreeMap<String, Arc<Report>> {
        let made = |(slug, report): (&String, &OnceLock<Arc<Report>>)| {
            Some((slug.clone(), Arc::clone(report.get()?)))
        };
        self.each.iter().filter_map(made).collect()
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
    /// That of one build; `None` where the journal has no such build.
    pub fn of(&self, slug: &str) -> Option<&'a Arc<Report>> {
        let build = self.journal.build(slug)?;
        let Reports { journal, ledger, standards, as_of, .. } = *self;
        let make = || Arc::new(inspect(&assemble(journal, ledger, standards, as_of, build)));
        Some(self.filed.each.get(slug)?.get_or_init(make))
    }

    /// Those of all builds, in the order of the journal.
    pub fn all(&self) -> Vec<&'a Arc<Report>> {
        self.journal.builds.par_iter().filter_map(|build| self.of(&build.slug)).collect()
    }
}
