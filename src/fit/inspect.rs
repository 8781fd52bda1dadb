//! Runs the checks over a build and judges what they ask.

use std::sync::Arc;

use rayon::prelude::*;

use crate::journal::{Build, Journal, Slot};
use crate::ledger::{Ledger, contradictions};
use crate::measure::figure;
use crate::problem::{Problem, did_you_mean};

use super::advice;
use super::assemble::assemble;
use super::assembly::Assembly;
use super::cautions;
use super::checks;
use super::finding::Finding;
use super::headline::{Headline, headline};
use super::judge::judge_all;
use super::records;
use super::solve;
use super::standards::Standards;
use super::verdict::Verdict;

/// A build's findings and headline figures.
#[derive(Clone, Debug)]
pub struct Report {
    /// The build's slug.
    pub slug: String,
    /// What is told of it first.
    pub headline: Headline,
    /// Every finding, in the order of the checks.
    pub findings: Vec<Finding>,
}

/// How many findings have which verdict.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Counts {
    /// Clear.
    pub clear: usize,
    /// Tight.
    pub tight: usize,
    /// Fouls.
    pub fouls: usize,
    /// Unmeasured.
    pub unmeasured: usize,
}

impl AsRef<Report> for Report {
    fn as_ref(&self) -> &Report {
        self
    }
}

impl Report {
    /// How many findings have which verdict.
    pub fn counts(&self) -> Counts {
        let mut counts = Counts::default();
        for finding in &self.findings {
            match finding.verdict {
                Some(Verdict::Clear) => counts.clear += 1,
                Some(Verdict::Tight) => counts.tight += 1,
                Some(Verdict::Fouls) => counts.fouls += 1,
                Some(Verdict::Unmeasured) => counts.unmeasured += 1,
                None => {}
            }
        }
        counts
    }
}

/// Checks every build, in the order of the journal.
pub fn all(journal: &Journal, ledger: &Ledger, standards: &Arc<Standards>) -> Vec<Report> {
    let today = ledger.last_day(journal);
    let of = |build| inspect(&assemble(journal, ledger, standards, today, build));
    journal.builds.par_iter().map(of).collect()
}

/// Checks one build: the same of the same [`Assembly::key`].
pub fn inspect(watch: &Assembly) -> Report {
    let mut findings = judge_both(watch);
    findings
        .iter_mut()
        .filter(|finding| !finding.missing.is_empty())
        .for_each(|finding| solve::ranges(watch, finding));
    advice::advise(watch, &mut findings);
    Report { slug: watch.slug().to_owned(), headline: headline(watch), findings }
}

/// Every check's findings for a build as it is, with the verdict on altered parts as they came and
/// what the build accepts; nothing is advised and no range worked out.
pub fn judge_both(watch: &Assembly) -> Vec<Finding> {
    let altered: Vec<Slot> = watch.parts().filter(|(_, part)| part.altered).map(|(slot, _)| slot).collect();
    let mut findings = judge_all(watch, watch.bands());
    if !altered.is_empty() {
        let came = judge_all(&watch.as_came(), watch.bands());
        for finding in &mut findings {
            if rests_on(finding, &altered) {
                finding.as_came = verdict_in(&came, finding);
            }
        }
    }
    accept(watch.accepted(), &mut findings);
    findings
}

/// What is wrong beyond what reading and replaying tell: what is accepted in vain, where the log
/// contradicts itself, states of wind that nobody can read, tests made void, work on lume that may be
/// radioactive. Of the `reports` those of builds that accept something are looked at.
pub fn problems<R: AsRef<Report>>(
    journal: &Journal,
    ledger: &Ledger,
    reports: impl IntoIterator<Item = R>,
) -> Vec<Problem> {
    let mut problems = Vec::new();
    for report in reports {
        let build = journal.build(&report.as_ref().slug);
        problems.extend(build.into_iter().flat_map(|build| check_accepted(journal, build, report.as_ref())));
    }
    problems.extend(contradictions::of(journal, ledger));
    problems.extend(records::check(journal));
    problems.extend(cautions::problems(journal, ledger));
    problems
}

/// Says what build.md accepts that cannot be accepted or is not there.
fn check_accepted(journal: &Journal, build: &Build, report: &Report) -> Vec<Problem> {
    let mut problems = Vec::new();
    for (key, _) in &build.accept {
        let place = journal.files.place(key.span);
        let check = key.value.split(' ').next().unwrap_or_default();
        let Some(known) = checks::of(check) else {
            let near = did_you_mean(check, checks::ALL.iter().map(|check| check.id));
            problems.push(Problem::error(place, format!("`{check}` is not a check{near}")));
            continue;
        };
        if !known.acceptable {
            let message = format!("`{check}` cannot be accepted: it keeps its weight whatever the reason");
            problems.push(Problem::error(place, message));
        } else if !report.findings.iter().any(|finding| accepts(&key.value, finding)) {
            let about: Vec<String> = report
                .findings
                .iter()
                .filter(|finding| finding.check.id == check)
                .map(|finding| format!("`{}`", finding.key()))
                .collect();
            let words = match about.is_empty() {
                true => format!("`{check}` asks nothing of this build: there is nothing to accept"),
                false => format!("`{}` accepts nothing: write {}", key.value, about.join(" or ")),
            };
            problems.push(Problem::warning(place, words));
        }
    }
    problems
}

/// The verdict that the same question had before the parts were altered. A dial that lost its feet
/// is asked about as a whole, and was asked about foot by foot: then the worst of them counts.
fn verdict_in(came: &[Finding], finding: &Finding) -> Option<Verdict> {
    let same = came.iter().find(|other| other.check.id == finding.check.id && other.about == finding.about);
    if let Some(same) = same {
        return same.verdict;
    }
    came.iter().filter(|other| other.check.id == finding.check.id).filter_map(|other| other.verdict).max()
}

fn accept(accepted: &[(String, String)], findings: &mut [Finding]) {
    for (key, reason) in accepted {
        for finding in findings.iter_mut() {
            let counts = !matches!(finding.verdict, Some(Verdict::Clear) | None);
            if counts && finding.check.acceptable && accepts(key, finding) {
                finding.accepted = Some(reason.clone());
            }
        }
    }
}

fn accepts(key: &str, finding: &Finding) -> bool {
    key == finding.check.id || key == finding.key()
}

fn rests_on(finding: &Finding, slots: &[Slot]) -> bool {
    let mut slots_of = finding.names().filter_map(|name| name.split('.').next());
    slots_of.any(|name| slots.iter().any(|slot| slot.name() == name))
        || finding.check.id == "dial-feet" && slots.contains(&Slot::Dial)
}

/// A range in words: "at least 1.62", "between 2.28 and 2.52".
pub fn range_words(low: Option<f64>, high: Option<f64>) -> String {
    match (low, high) {
        (Some(low), Some(high)) if low == high => format!("exactly {}", figure(low)),
        (Some(low), Some(high)) => format!("between {} and {}", figure(low), figure(high)),
        (Some(low), None) => format!("at least {}", figure(low)),
        (None, Some(high)) => format!("at most {}", figure(high)),
        (None, None) => "anything".into(),
    }
}
