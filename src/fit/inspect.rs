//! Runs the checks over a build and judges what they ask.

use jiff::civil::Date;
use rayon::prelude::*;

use crate::journal::{Build, Journal, Slot};
use crate::ledger::{Ledger, contradictions};
use crate::measure::{Dimension, Origin, Quantity, figure};
use crate::problem::{Problem, did_you_mean};
use crate::text::Place;

use super::advice;
use super::assessment::{self, Assessment};
use super::bands::Bands;
use super::cautions;
use super::check::{Answer, Ask, AskKind, Asked, Check, Told};
use super::checks;
use super::compiled::Compiled;
use super::expr::{Shape, Term};
use super::finding::{Finding, Outcome, Used, Wanted};
use super::headline::{Headline, headline};
use super::records;
use super::solve;
use super::verdict::Verdict;
use super::watch::{Stage, Watch};

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

/// The findings whose acceptance would hide a danger.
const NEVER_ACCEPTED: [&str; 3] = ["water-claim", "crystal-strength", "part-booked-once"];

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
pub fn all(journal: &Journal, ledger: &Ledger, bands: &Bands, as_of: Date) -> Vec<Report> {
    journal.builds.par_iter().map(|build| inspect(journal, ledger, bands, build, as_of)).collect()
}

/// Checks one build.
pub fn inspect(journal: &Journal, ledger: &Ledger, bands: &Bands, build: &Build, as_of: Date) -> Report {
    let watch = Watch::of(journal, ledger, build, as_of, Stage::AsIs);
    let mut findings = judge_both(&watch, bands);
    findings
        .iter_mut()
        .filter(|finding| !finding.missing.is_empty())
        .for_each(|finding| solve::ranges(&watch, finding));
    advice::advise(&watch, bands, &mut findings);
    Report { slug: build.slug.clone(), headline: headline(&watch), findings }
}

/// Every check's findings for a build as it is, with the verdict on altered parts as they came and
/// what the build accepts; nothing is advised and no range worked out.
pub fn judge_both(watch: &Watch<'_>, bands: &Bands) -> Vec<Finding> {
    let (ledger, build) = (watch.ledger, watch.build);
    let altered: Vec<Slot> =
        watch.parts().filter(|(_, part)| altered(ledger, part)).map(|(slot, _)| slot).collect();
    let mut findings = judge_all(watch, bands);
    if !altered.is_empty() {
        let came = Watch::of(watch.journal, ledger, build, watch.as_of, Stage::AsCame);
        let came = judge_all(&came, bands);
        for finding in &mut findings {
            if rests_on(finding, &altered) {
                finding.as_came = verdict_in(&came, finding);
            }
        }
    }
    accept(build, &mut findings);
    findings
}

/// Every check's findings for a watch, judged; nothing is accepted and nothing advised.
pub fn judge_all(watch: &Watch<'_>, bands: &Bands) -> Vec<Finding> {
    let mut findings = Vec::new();
    for check in checks::ALL {
        let mut asked = Asked::default();
        (check.run)(watch, &mut asked);
        findings.extend(asked.asked.into_iter().map(|ask| judge(watch, bands, check, ask)));
    }
    findings
}

/// Every finding of a watch in which one dimension was changed: what does not ask for it is taken
/// over from before.
pub fn judge_after(watch: &Watch<'_>, bands: &Bands, before: &[Finding], changed: &str) -> Vec<Finding> {
    let mut findings = Vec::new();
    for check in checks::ALL {
        let mut asked = Asked::default();
        (check.run)(watch, &mut asked);
        findings.extend(asked.asked.into_iter().map(|ask| {
            let same =
                before.iter().find(|finding| finding.check.id == check.id && finding.about == ask.about);
            match (same, &ask.kind) {
                (Some(same), AskKind::Measure { formula, .. } | AskKind::Figure { formula })
                    if same.formula.is_some() && !formula.names(changed) =>
                {
                    same.clone()
                }
                _ => judge(watch, bands, check, ask),
            }
        }));
    }
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
        if checks::of(check).is_none() {
            let near = did_you_mean(check, checks::ALL.iter().map(|check| check.id));
            problems.push(Problem::error(place, format!("`{check}` is not a check{near}")));
        } else if NEVER_ACCEPTED.contains(&check) {
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

fn accept(build: &Build, findings: &mut [Finding]) {
    for (key, reason) in &build.accept {
        for finding in findings.iter_mut() {
            let counts = !matches!(finding.verdict, Some(Verdict::Clear) | None);
            if counts && accepts(&key.value, finding) && !NEVER_ACCEPTED.contains(&finding.check.id) {
                finding.accepted = Some(reason.clone());
            }
        }
    }
}

fn accepts(key: &str, finding: &Finding) -> bool {
    key == finding.check.id || key == finding.key()
}

fn altered(ledger: &Ledger, part: &super::watch::Fitted) -> bool {
    ledger.units.get(&part.id).is_some_and(|unit| unit.alterations(part.until).next().is_some())
}

fn rests_on(finding: &Finding, slots: &[Slot]) -> bool {
    let mut slots_of = finding.names().filter_map(|name| name.split('.').next());
    slots_of.any(|name| slots.iter().any(|slot| slot.name() == name))
        || finding.check.id == "dial-feet" && slots.contains(&Slot::Dial)
}

fn judge(watch: &Watch<'_>, bands: &Bands, check: &'static Check, ask: Ask) -> Finding {
    let mut finding = Finding {
        check,
        about: ask.about,
        title: ask.title.unwrap_or_else(|| check.title.to_owned()),
        verdict: None,
        result: None,
        advised: None,
        unit: ask.unit.unwrap_or(check.unit),
        formula: None,
        statistics: None,
        text: ask.note.unwrap_or_default(),
        as_came: None,
        accepted: None,
        used: Vec::new(),
        missing: Vec::new(),
        advice: Vec::new(),
    };
    match ask.kind {
        AskKind::Measure { formula, band } => {
            let advised = bands.get(check.id, band);
            let compiled = Compiled::new(&formula);
            match assessment::assess_compiled(&compiled, advised.band, advised.contact) {
                Ok(mut assessment) => {
                    let inside = || assessment.statistics.worst(&formula).lies_in(advised.band);
                    if ask.told == Told::AtItsWorst && assessment.verdict == Verdict::Clear && !inside() {
                        assessment.verdict = Verdict::Tight;
                        say(&mut finding, "its worst case lies outside what is advised");
                    }
                    measured(watch, &mut finding, &compiled, &assessment);
                    if ask.told == Told::InTrouble && assessment.verdict == Verdict::Clear {
                        finding.verdict = None;
                    }
                }
                Err(missing) => unmeasured(watch, &mut finding, &compiled, &missing),
            }
            finding.advised = Some(advised);
            finding.formula = Some(formula);
        }
        AskKind::Figure { formula } => {
            let (open, compiled) = (super::bands::OPEN, Compiled::new(&formula));
            match assessment::assess_compiled(&compiled, open, open) {
                Ok(assessment) => measured(watch, &mut finding, &compiled, &assessment),
                Err(missing) => unmeasured(watch, &mut finding, &compiled, &missing),
            }
            finding.verdict = None;
            finding.formula = Some(formula);
        }
        AskKind::Note => {}
        AskKind::Rule { answer, reason, used } => {
            finding.verdict = Some(match answer {
                Answer::Holds => Verdict::Clear,
                Answer::Barely => Verdict::Tight,
                Answer::Fails => Verdict::Fouls,
                Answer::Unknown(missing) => {
                    let wanted = |name| Wanted { name, range: None, note: String::new() };
                    finding.missing = missing.into_iter().map(wanted).collect();
                    Verdict::Unmeasured
                }
            });
            say(&mut finding, &reason);
            let used = used.into_iter().filter_map(|name| {
                let known = watch.known(&name)?;
                Some(Used {
                    name: name.into(),
                    size: known.size,
                    place: watch.journal.files.place(known.span),
                })
            });
            finding.used = used.collect();
        }
    }
    finding
}

fn measured(watch: &Watch<'_>, finding: &mut Finding, compiled: &Compiled, assessment: &Assessment) {
    finding.verdict = Some(assessment.verdict);
    finding.result = Some(Outcome {
        nominal: assessment.nominal,
        chance_out: assessment.chance_out,
        edge: assessment.edge,
        too_wide: assessment.too_wide,
    });
    finding.statistics = Some(assessment.statistics.clone());
    finding.used = compiled.terms.iter().map(|term| used(watch, term)).collect();
    if assessment.verdict == Verdict::Tight {
        if let Some(edge) = assessment.edge {
            let outside = per_hundred(assessment.chance_out);
            say(finding, &format!("{}: {outside} built to these figures would lie outside", edge.words()));
        }
        if assessment.too_wide {
            say(finding, assessment::TOO_WIDE);
        }
    }
}

fn unmeasured(watch: &Watch<'_>, finding: &mut Finding, compiled: &Compiled, missing: &[Term]) {
    finding.verdict = Some(Verdict::Unmeasured);
    let names: Vec<&str> = missing.iter().map(|term| &*term.name).collect();
    say(finding, &format!("not measured: {}", names.join(", ")));
    let wanted =
        missing.iter().map(|term| Wanted { name: term.name.to_string(), range: None, note: String::new() });
    finding.missing = wanted.collect();
    let known = compiled.terms.iter().filter(|term| term.value.is_some());
    finding.used = known.map(|term| used(watch, term)).collect();
}

fn say(finding: &mut Finding, words: &str) {
    if !finding.text.is_empty() && !words.is_empty() {
        finding.text.push_str("; ");
    }
    finding.text.push_str(words);
}

/// A dimension with its place; for what the engine assumed, the place of the part it is of.
fn used(watch: &Watch<'_>, term: &Term) -> Used {
    let name = term.name.clone();
    if let Some(known) = watch.known(&name) {
        return Used { name, size: known.size, place: watch.journal.files.place(known.span) };
    }
    let origin = if term.shape == Shape::Uniform { Origin::Assumed } else { Origin::Measured };
    let exact = Dimension::exact(term.value.unwrap_or(0.0), Quantity::Height, origin);
    let size = Dimension { plus: term.plus, minus: term.minus, ..exact };
    let slot = name.split('.').next().and_then(Slot::of);
    let place = match slot.and_then(|slot| watch.part(slot)) {
        Some(part) => watch.journal.files.place(part.span),
        None => Place::file(watch.journal.files.path(watch.build.file)),
    };
    Used { name, size, place }
}

/// "12 of 100", or "1 of 1000" where that is too coarse.
pub fn per_hundred(chance: f64) -> String {
    match chance {
        chance if chance >= 0.995 => "nearly all".into(),
        chance if chance >= 0.0095 => format!("{:.0} of 100", chance * 100.0),
        chance if chance >= 0.001 => format!("{:.0} of 1000", chance * 1000.0),
        _ => "fewer than 1 of 1000".into(),
    }
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
