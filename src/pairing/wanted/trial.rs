//! A part of the bin, tried in a slot: as it is, then after what may be done to it.

use std::collections::BTreeMap;

use crate::fit::advice::{self, Tried};
use crate::fit::assembly::Assembly;
use crate::fit::bands::Bands;
use crate::fit::finding::{Advice, Finding};
use crate::fit::judge::judge_all;
use crate::fit::nominal::{Ease, Grade, grade_all};
use crate::fit::verdict::Verdict;
use crate::journal::Slot;

use super::size_ranges::reason;
use super::{Effort, PlannedAlteration, Suitability};

/// The most that is done to make a part go: beyond it another part is the better idea.
const MOST_STEPS: usize = 3;

/// Whether the part in a slot goes; `before` are the grades of the watch without it.
pub(super) fn attempt(
    trial: &Assembly,
    bands: &Bands,
    before: &BTreeMap<String, Grade>,
    slot: Slot,
    effort: Effort,
) -> Suitability {
    let was = |key: &str| before.get(key).copied();
    let graded = grade_all(trial, bands);
    let news: Vec<(String, Grade)> = graded
        .into_iter()
        .map(|one| (format!("{} {}", one.check.id, one.about), one.grade))
        .filter(|(key, grade)| was(key) != Some(*grade))
        .collect();
    if news.iter().any(|(key, grade)| *grade == Grade::Fouls && was(key) != Some(Grade::Fouls)) {
        return fouling(trial, bands, before, slot, effort);
    }
    let unmeasured = |grade: Option<Grade>| matches!(grade, Some(Grade::Unmeasured(_)));
    if news.iter().any(|(key, grade)| unmeasured(Some(*grade)) && !unmeasured(was(key))) {
        return Suitability::Unmeasured(missing(trial, bands, before));
    }
    let least = news.iter().map(|(_, grade)| grade.ease()).min();
    Suitability::Goes(least.unwrap_or(Ease::MOST))
}

/// The sizes that its findings lack and that nothing lacked before.
fn missing(trial: &Assembly, bands: &Bands, before: &BTreeMap<String, Grade>) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for finding in judge_all(trial, bands).iter().filter(|finding| finding.check.of_parts()) {
        let known = matches!(before.get(&key(finding)), Some(Grade::Unmeasured(_)));
        if finding.verdict == Some(Verdict::Unmeasured) && !known {
            for wanted in &finding.missing {
                if !out.contains(&wanted.name) {
                    out.push(wanted.name.clone());
                }
            }
        }
    }
    out
}

fn fouling(
    trial: &Assembly,
    bands: &Bands,
    before: &BTreeMap<String, Grade>,
    slot: Slot,
    effort: Effort,
) -> Suitability {
    let mut findings = judge_all(trial, bands);
    let first = news(&findings, before).first().map(|at| reason(&findings[*at])).unwrap_or_default();
    let mut steps: Vec<PlannedAlteration> = Vec::new();
    let mut refused = None;
    let mut now: Option<Assembly> = None;
    while effort == Effort::Altering && steps.len() < MOST_STEPS {
        let fouls = news(&findings, before);
        if fouls.is_empty() {
            return Suitability::After(steps);
        }
        let watch = now.as_ref().unwrap_or(trial);
        let Some(tried) = least(watch, bands, &findings, &fouls, slot, &mut refused) else { break };
        steps.push(PlannedAlteration {
            dimension: tried.dimension,
            from: tried.from,
            to: tried.to,
            advice: tried.advice,
        });
        findings = judge_all(&tried.watch, bands);
        now = Some(tried.watch);
    }
    if !steps.is_empty() && news(&findings, before).is_empty() {
        return Suitability::After(steps);
    }
    Suitability::Cannot(first, refused)
}

/// The findings that foul and did not before.
fn news(findings: &[Finding], before: &BTreeMap<String, Grade>) -> Vec<usize> {
    let fouls = |finding: &Finding| {
        finding.check.of_parts()
            && finding.verdict == Some(Verdict::Fouls)
            && before.get(&key(finding)) != Some(&Grade::Fouls)
    };
    (0..findings.len()).filter(|at| fouls(&findings[*at])).collect()
}

/// The least that helps one of the findings: the part's own alteration before another's, then the
/// smallest change. To take another part is no help here.
fn least(
    watch: &Assembly,
    bands: &Bands,
    findings: &[Finding],
    fouls: &[usize],
    slot: Slot,
    refused: &mut Option<Advice>,
) -> Option<Tried> {
    for at in fouls {
        let (tried, no) = advice::options(watch, bands, findings, *at);
        *refused = refused.take().or(no);
        let own = |tried: &Tried| tried.dimension.split('.').next() == Some(slot.name());
        let change = |tried: &Tried| (tried.to - tried.from.unwrap_or(0.0)).abs();
        let best = tried
            .into_iter()
            .filter(|tried| tried.advice.action != "take another")
            .min_by(|a, b| own(b).cmp(&own(a)).then(change(a).total_cmp(&change(b))));
        if best.is_some() {
            return best;
        }
    }
    None
}

fn key(finding: &Finding) -> String {
    format!("{} {}", finding.check.id, finding.about)
}
