//! Findings and problems for a terminal, for programs and for editors.

pub mod audit;
pub mod combine;
pub mod explain;
pub mod json;
pub mod sarif;
pub mod text;
pub mod wanted;

use crate::fit::inspect::Report;
use crate::problem::{Problem, has_errors};

/// Everything that a run of `fit` has to tell.
#[derive(Debug)]
pub struct FitOutput<'a> {
    /// The journal's folder as it was named.
    pub journal: &'a str,
    /// The builds that were asked for, with what each is called and how far it is.
    pub builds: Vec<(&'a crate::journal::Build, &'a Report)>,
    /// What is wrong with the journal.
    pub problems: &'a [Problem],
}

impl FitOutput<'_> {
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
