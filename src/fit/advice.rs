//! What could be done about a finding, tried on the altered parts before it is said.
//!
//! Each mend of the table is solved by the inverse, then the whole build is judged again with it:
//! what makes any verdict worse is not advised. Judging itself never advises.

use crate::journal::spec::Content;
use crate::journal::{Slot, Spec};
use crate::measure::{Origin, figure, round};

use super::assembly::{Assembly, parted};
use super::bands::Bands;
use super::cautions;
use super::finding::{Advice, Finding};
use super::fitted::Fitted;
use super::inverse::{Goal, Range};
use super::judge::{judge_after, judge_all};
use super::mends::{Mend, Way, remedy, unmended};
use super::sentence::Sentence;
use super::solve::{allowed, sized, solve_finding};
use super::verdict::Verdict;

/// A mend that was tried and makes the finding better and none worse.
pub struct Tried {
    /// The watch with it.
    pub watch: Assembly,
    /// What is changed, from what to what; `None` of `from` where it was not there.
    pub dimension: String,
    /// Before.
    pub from: Option<f64>,
    /// After.
    pub to: f64,
    /// As it is said.
    pub advice: Advice,
    /// The verdict that it promises.
    pub verdict: Verdict,
}

/// Fills in what could be done about each finding that fouls or is tight; where nothing can be,
/// the finding says why.
pub fn advise(watch: &Assembly, findings: &mut [Finding]) {
    for at in 0..findings.len() {
        if !matches!(findings[at].verdict, Some(Verdict::Fouls | Verdict::Tight)) {
            continue;
        }
        let (tried, refused) = options(watch, watch.bands(), findings, at);
        let advice: Vec<Advice> = tried.into_iter().map(|tried| tried.advice).collect();
        let finding = &mut findings[at];
        if advice.is_empty() && refused.is_none() && finding.verdict == Some(Verdict::Fouls) {
            finding.text.add(unmended(finding.check.id));
        }
        finding.advice = advice;
        finding.advice.extend(refused);
    }
}

/// What to beware of in the work that may be advised for a check, each once.
pub fn cautions_of(check: &str) -> impl Iterator<Item = &'static str> {
    let mut told: Vec<&str> = Vec::new();
    for mend in mends_of(check).filter(|mend| !mend.caution.is_empty()) {
        if !told.contains(&mend.caution.as_str()) {
            told.push(&mend.caution);
        }
    }
    told.into_iter()
}

/// Whether what may be advised for a check takes material off a dial or a hand, which lume forbids.
pub fn cuts(check: &str) -> bool {
    mends_of(check).any(|mend| mend.cuts)
}

fn mends_of(check: &str) -> impl Iterator<Item = &'static Mend> {
    remedy(check).into_iter().flat_map(|remedy| &remedy.mends)
}

/// What helps one finding, and the caution that stands in the place of what must not be done.
pub fn options(
    watch: &Assembly,
    bands: &Bands,
    findings: &[Finding],
    at: usize,
) -> (Vec<Tried>, Option<Advice>) {
    let finding = &findings[at];
    let mut tried: Vec<Tried> = Vec::new();
    let mut refused = None;
    for mend in remedy(finding.check.id).into_iter().flat_map(|remedy| &remedy.mends) {
        let Some(name) = mend.name(&finding.about) else { continue };
        let Some((slot, path)) = parted(&name) else { continue };
        if mend.cuts && radioactive(watch, slot) {
            refused = Some(refusal(watch, slot));
            continue;
        }
        tried.extend(match mend.way {
            Way::Empty => emptied(watch, bands, findings, finding, mend, slot, path),
            _ => attempt(watch, bands, findings, finding, mend, &name, slot),
        });
    }
    (tried, refused)
}

fn attempt(
    watch: &Assembly,
    bands: &Bands,
    findings: &[Finding],
    finding: &Finding,
    mend: &Mend,
    name: &str,
    slot: Slot,
) -> Option<Tried> {
    // A hand that was never gauged on its post is known by the post: it is set anew over that.
    let hand = name.strip_suffix(".seated").and_then(Slot::of);
    let base = match (hand, watch.part(slot)) {
        (Some(hand), Some(_)) if !watch.knows(name) => {
            let post = watch.value(&format!("movement.posts.{}.top", hand.name()))?;
            with_size(watch, name, post + watch.value(&format!("{}.proud", hand.name())).unwrap_or(0.0))?
        }
        (None, None) if mend.adds.as_deref() == Some(slot.name()) => {
            watch.with_part(slot, Some(added(watch, slot, name)))
        }
        _ => watch.with_part(slot, Some(watch.part(slot)?.clone())),
    };
    let from = watch.value(name);
    let start = base.value(name)?;
    // What was not there before changes which formulas there are; a new size only what they come to.
    let anew = if from.is_some() { None } else { Some(judge_all(&base, bands)) };
    let present = anew.as_deref().unwrap_or(findings);
    let same = present.iter().find(|other| other.key() == finding.key())?;
    let own = solve_finding(&base, same, name, Goal::Clear)?.ok()?;
    // Where the least change fouls something else, all checks are asked what they would allow.
    let least = nearest(&own.ranges, start, mend.way);
    let by_all = std::iter::once_with(|| nearest(&allowed(&base, present, name).ranges, start, mend.way));
    for to in least.into_iter().chain(by_all.flatten()) {
        if !mend.reaches(start, to) {
            continue;
        }
        let Some(trial) = with_size(&base, name, to) else { continue };
        let after = judge_after(&trial, bands, present, name);
        let Some(verdict) = better(findings, &after, finding) else { continue };
        let part = watch.part(slot).map_or_else(|| slot.name().to_owned(), |part| part.id.clone());
        let by = (to - start).abs();
        let text = mend
            .text
            .replace("{from}", &figure(start))
            .replace("{to}", &figure(to))
            .replace("{by}", &figure(by))
            .replace("{side}", &figure(by / 2.0));
        let mut text = Sentence::about_part(&text, &part);
        text.add(price(findings, &after, finding));
        let advice = Advice { action: mend.action.clone(), part, text, caution: mend.caution.clone() };
        return Some(Tried { watch: trial, dimension: name.to_owned(), from, to, advice, verdict });
    }
    None
}

/// The value of a range nearest to the present one that lies the right way from it.
fn nearest(ranges: &[Range], start: f64, way: Way) -> Option<f64> {
    let ends = ranges.iter().filter_map(|range| match way {
        Way::Down => range.high.filter(|high| *high < start),
        Way::Up => range.low.filter(|low| *low > start),
        Way::Empty => None,
    });
    ends.min_by(|a, b| (a - start).abs().total_cmp(&(b - start).abs())).map(round)
}

/// The watch with one dimension set, known as well as a measured one.
fn with_size(watch: &Assembly, name: &str, value: f64) -> Option<Assembly> {
    let (slot, path) = parted(name)?;
    let part = watch.part(slot)?;
    let mut size = sized(watch, name, value);
    size.origin = size.origin.min(Origin::Measured);
    let mut spec = part.spec.clone();
    spec.put(path, Content::Size(size));
    Some(watch.with(slot, spec))
}

fn added(watch: &Assembly, slot: Slot, name: &str) -> Fitted {
    let mut spec = Spec::default();
    if let Some((_, path)) = parted(name) {
        spec.put(path, Content::Size(sized(watch, name, 0.0)));
    }
    Fitted::unlogged(slot.name(), slot.words(), spec)
}

/// The verdict that a finding would have, if it is better and no other is worse.
fn better(before: &[Finding], after: &[Finding], finding: &Finding) -> Option<Verdict> {
    let now = finding.verdict?;
    let then = after
        .iter()
        .find(|other| other.key() == finding.key())
        .map_or(Some(Verdict::Clear), |other| other.verdict)?;
    let no_worse = after.iter().all(|one| {
        let was = before.iter().find(|other| other.key() == one.key());
        one.verdict <= was.map_or(Some(Verdict::Clear), |was| was.verdict.or(Some(Verdict::Clear)))
            && was.is_none_or(|was| overlap(one) <= overlap(was) + NO_FURTHER)
    });
    (then < now && then != Verdict::Unmeasured && no_worse).then_some(then)
}

/// How far a finding's figure lies beyond contact, in its unit; 0 where it does not foul.
fn overlap(finding: &Finding) -> f64 {
    let (Some(result), Some(advised)) = (&finding.result, &finding.advised) else { return 0.0 };
    let under = advised.contact.low.map_or(0.0, |low| low - result.nominal);
    let over = advised.contact.high.map_or(0.0, |high| result.nominal - high);
    under.max(over).max(0.0)
}

/// What fouls already may not be pushed further out than this.
const NO_FURTHER: f64 = 0.001;

/// What it costs elsewhere: the clearances that it takes from, the largest loss first.
fn price(before: &[Finding], after: &[Finding], finding: &Finding) -> String {
    let mut losses: Vec<(f64, String)> = Vec::new();
    for one in after.iter().filter(|one| one.key() != finding.key()) {
        let was = before.iter().find(|other| other.key() == one.key()).and_then(|other| other.result);
        let (Some(was), Some(is)) = (was, one.result) else { continue };
        let lower_is_worse = one.advised.as_ref().is_some_and(|advised| advised.band.low.is_some());
        let loss = if lower_is_worse { was.nominal - is.nominal } else { is.nominal - was.nominal };
        if loss > 0.005 {
            losses.push((
                loss,
                format!("{} {} instead of {}", one.title, figure(is.nominal), figure(was.nominal)),
            ));
        }
    }
    // Whatever is done, the case is opened for it.
    let tested =
        before.iter().any(|one| one.check.id == "water-claim" && one.verdict < Some(Verdict::Unmeasured));
    let void = if tested { "the case is opened for it, so test for water anew" } else { "" };
    losses.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.cmp(&b.1)));
    let words: Vec<String> = losses.into_iter().take(3).map(|(_, words)| words).collect();
    match words.is_empty() {
        true if tested => void.to_owned(),
        true => "it costs nothing elsewhere".to_owned(),
        false if tested => format!("elsewhere: {}; {void}", words.join(", ")),
        false => format!("elsewhere: {}", words.join(", ")),
    }
}

/// Whether a part's lume is, or may be, radioactive. A dial that says nothing is unknown.
pub fn radioactive(watch: &Assembly, slot: Slot) -> bool {
    watch.part(slot).is_some_and(|part| cautions::active_lume(slot.kind(), &part.spec).is_some())
}

fn refusal(watch: &Assembly, slot: Slot) -> Advice {
    let part = watch.part(slot);
    let lume = part.and_then(|part| part.spec.text("lume")).unwrap_or("unknown");
    let id = part.map_or_else(String::new, |part| part.id.clone());
    Advice {
        action: "leave".into(),
        text: Sentence::from("no work on ").part(&id).words(format!(" is proposed: its lume is {lume}")),
        part: id,
        caution: cautions::lume_words().into(),
    }
}

/// A list taken off the part: feet that find no hole are cut, and the dial is held another way.
fn emptied(
    watch: &Assembly,
    bands: &Bands,
    findings: &[Finding],
    finding: &Finding,
    mend: &Mend,
    slot: Slot,
    path: &str,
) -> Option<Tried> {
    let part = watch.part(slot)?;
    let dimension = format!("{}.{path}", slot.name());
    let mut spec = part.spec.clone();
    spec.put(path, Content::Items(Vec::new()));
    let trial = watch.with(slot, spec);
    let trial = match mend.holds {
        Some(held) => trial.held_by(held),
        None => trial,
    };
    let after = judge_all(&trial, bands);
    let verdict = better(findings, &after, finding)?;
    let mut text = Sentence::about_part(&mend.text, &part.id);
    text.add(price(findings, &after, finding));
    let advice =
        Advice { action: mend.action.clone(), part: part.id.clone(), text, caution: mend.caution.clone() };
    Some(Tried { watch: trial, dimension, from: None, to: 0.0, advice, verdict })
}
