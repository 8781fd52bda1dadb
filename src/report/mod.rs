//! Findings and problems for a terminal, for programs and for editors.

pub mod audit;
pub mod combine;
pub mod explain;
pub mod json;
pub mod sarif;
pub mod text;
pub mod wanted;

use crate::fit::inspect::Report;
use crate::fit::places::Places;
use crate::journal::{Build, Journal};
use crate::ledger::Ledger;
use crate::problem::{Problem, has_errors};

/// Everything that a run of `fit` has to tell.
#[derive(Debug)]
pub struct FitOutput<'a> {
    /// The journal's folder as it was named.
    pub name: &'a str,
    /// What was read: where places are looked up.
    pub journal: &'a Journal,
    /// Where every part has been.
    pub ledger: &'a Ledger,
    /// The builds that were asked for, with what each is called and how far it is.
    pub builds: Vec<(&'a Build, &'a Report)>,
    /// What is wrong with the journal.
    pub problems: &'a [Problem],
}

impl<'a> FitOutput<'a> {
    /// Where everything is written that a build is judged by.
    pub fn places(&self, build: &'a Build) -> Places<'a> {
        Places::of(self.journal, self.ledger, build)
    }

    /// Whether a problem is an error.
    pub fn has_errors(&self) -> bool {
        has_errors(self.problems)
    }

    /// Whether a finding counts against the exit status.
    pub fn counts(&self, strict: bool) -> bool {
        let mut findings = self.builds.iter().flat_map(|(_, report)| &report.findings);
        findings.any(|finding| finding.counts(strict))
    }
}
