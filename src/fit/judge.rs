//! What each check finds in a build, and the verdict on it.

use crate::measure::{Dimension, Origin, Quantity};

use super::assembly::Assembly;
use super::assessment::{self, Assessment};
use super::bands::Bands;
use super::check::{Answer, Ask, AskKind, Asked, Check, Told};
use super::checks;
use super::compiled::Compiled;
use super::expr::{Shape, Term};
use super::finding::{Finding, Outcome, Used, Wanted};
use super::verdict::Verdict;

/// Every check's findings for a watch, judged; nothing is accepted and nothing advised.
pub fn judge_all(watch: &Assembly, bands: &Bands) -> Vec<Finding> {
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
pub fn judge_after(watch: &Assembly, bands: &Bands, before: &[Finding], changed: &str) -> Vec<Finding> {
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

fn judge(watch: &Assembly, bands: &Bands, check: &'static Check, ask: Ask) -> Finding {
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
                        finding.text.add("its worst case lies outside what is advised");
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
            finding.text.add(reason);
            let used = used.into_iter().filter_map(|name| {
                let known = watch.known(&name)?;
                Some(Used { name: name.into(), size: known.size })
            });
            finding.used = used.collect();
        }
    }
    finding
}

fn measured(watch: &Assembly, finding: &mut Finding, compiled: &Compiled, assessment: &Assessment) {
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
            finding.text.add(format!("{}: {outside} would miss the advised range", edge.words()));
        }
        if assessment.too_wide {
            finding.text.add(assessment::TOO_WIDE);
        }
    }
}

fn unmeasured(watch: &Assembly, finding: &mut Finding, compiled: &Compiled, missing: &[Term]) {
    finding.verdict = Some(Verdict::Unmeasured);
    let names: Vec<&str> = missing.iter().map(|term| &*term.name).collect();
    finding.text.add(format!("not measured: {}", names.join(", ")));
    let wanted =
        missing.iter().map(|term| Wanted { name: term.name.to_string(), range: None, note: String::new() });
    finding.missing = wanted.collect();
    let known = compiled.terms.iter().filter(|term| term.value.is_some());
    finding.used = known.map(|term| used(watch, term)).collect();
}

/// A dimension of a formula, known or assumed.
fn used(watch: &Assembly, term: &Term) -> Used {
    let name = term.name.clone();
    if let Some(known) = watch.known(&name) {
        return Used { name, size: known.size };
    }
    let origin = if term.shape == Shape::Uniform { Origin::Assumed } else { Origin::Measured };
    let exact = Dimension::exact(term.value.unwrap_or(0.0), Quantity::Height, origin);
    Used { name, size: Dimension { plus: term.plus, minus: term.minus, ..exact } }
}

/// "12 of 100", or "1 of 1000" where that is too coarse.
pub fn per_hundred(chance: f64) -> String {
    match chance {
        chance if chance >= 0.995 => "nearly all".into(),
        chance if chance >= 0.0095 => format!("about {:.0} in 100", chance * 100.0),
        chance if chance >= 0.001 => format!("about {:.0} in 1000", chance * 1000.0),
        _ => "fewer than 1 in 1000".into(),
    }
}
