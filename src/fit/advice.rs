//! What could be done about a finding, tried on the altered parts before it is said.
//!
//! Each mend of the table is solved by the inverse, then the whole build is judged again with it:
//! what makes any verdict worse is not advised. Judging itself never advises.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::Deserialize;

use crate::journal::spec::Content;
use crate::journal::{HeldBy, Slot, Spec};
use crate::measure::{Origin, figure, round};
use crate::text::Located;

use super::bands::Bands;
use super::cautions;
use super::finding::{Advice, Finding};
use super::inspect::{judge_after, judge_all};
use super::inverse::{Goal, Range};
use super::solve::{allowed, sized, solve_finding};
use super::verdict::Verdict;
use super::watch::{Fitted, Watch, parted};

/// One way of mending a check that is not clear.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Mend {
    /// A word for it.
    #[serde(rename = "do")]
    pub action: String,
    /// What is changed, with {hand}, {upper} and {lower} in it.
    pub dimension: String,
    /// Which way.
    pub way: Way,
    /// The word that an entry would log it by; `None` where no part is altered.
    pub how: Option<String>,
    /// Whether it takes material off the part.
    #[serde(default)]
    pub cuts: bool,
    /// The slot of a part that is added where the build has none.
    pub adds: Option<String>,
    /// How it is said.
    pub text: String,
    /// What to beware of.
    #[serde(default)]
    pub caution: String,
}

/// Which way a dimension is changed.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Way {
    /// Smaller.
    Down,
    /// Larger.
    Up,
}

/// A mend that was tried and makes the finding better and none worse.
pub struct Tried<'a> {
    /// The watch with it.
    pub watch: Watch<'a>,
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
pub fn advise(watch: &Watch<'_>, bands: &Bands, findings: &mut [Finding]) {
    for at in 0..findings.len() {
        if !matches!(findings[at].verdict, Some(Verdict::Fouls | Verdict::Tight)) {
            continue;
        }
        let (tried, refused) = options(watch, bands, findings, at);
        let advice: Vec<Advice> = tried.into_iter().map(|tried| tried.advice).collect();
        let finding = &mut findings[at];
        if advice.is_empty() && refused.is_none() && finding.verdict == Some(Verdict::Fouls) {
            let reason = match finding.check.id {
                "part-booked-once" => "mend the log, or choose another part",
                "water-claim" => "test it again: dry first, and wet only after it held dry",
                "stem-tap" => "a stem and a crown with the movement's thread are needed, or an adapter",
                "crown-thread" => "a crown and a tube of one thread are needed",
                "date-upright" => {
                    "a date ring printed for this place of the crown is needed, or another dial"
                }
                "functions-agree" | "dial-crown" => "another dial or another movement is needed",
                _ => "no one change mends this without fouling something else: another part is needed",
            };
            finding.text.push_str(if finding.text.is_empty() { "" } else { "; " });
            finding.text.push_str(reason);
        }
        finding.advice = advice;
        finding.advice.extend(refused);
    }
}

/// What helps one finding, and the caution that stands in the place of what must not be done.
pub fn options<'a>(
    watch: &Watch<'a>,
    bands: &Bands,
    findings: &[Finding],
    at: usize,
) -> (Vec<Tried<'a>>, Option<Advice>) {
    let finding = &findings[at];
    let mut tried: Vec<Tried<'a>> = Vec::new();
    let mut refused = None;
    for mend in MENDS.get(finding.check.id).into_iter().flatten() {
        let Some(name) = named(&mend.dimension, &finding.about) else { continue };
        let Some((slot, _)) = parted(&name) else { continue };
        if mend.cuts && radioactive(watch, slot) {
            refused = Some(refusal(watch, slot));
            continue;
        }
        tried.extend(attempt(watch, bands, findings, finding, mend, &name, slot));
    }
    if finding.check.id == "dial-feet" {
        match radioactive(watch, Slot::Dial) {
            true => refused = Some(refusal(watch, Slot::Dial)),
            false => tried.extend(cut_feet(watch, bands, findings, finding)),
        }
    }
    (tried, refused)
}

/// The hands that a finding is about, put into a dimension's name.
fn named(pattern: &str, about: &str) -> Option<String> {
    let about = about.split(',').next().unwrap_or(about);
    let (upper, lower) = about.split_once(" over ").unwrap_or((about.split(' ').next().unwrap_or(about), ""));
    let hand = |name: &str| Slot::of(name).filter(|slot| Slot::HANDS.contains(slot)).map(Slot::name);
    let mut name = pattern.to_owned();
    for (word, about) in [("{hand}", upper), ("{upper}", upper), ("{lower}", lower)] {
        if name.contains(word) {
            name = name.replace(word, hand(about)?);
        }
    }
    Some(name)
}

fn attempt<'a>(
    watch: &Watch<'a>,
    bands: &Bands,
    findings: &[Finding],
    finding: &Finding,
    mend: &Mend,
    name: &str,
    slot: Slot,
) -> Option<Tried<'a>> {
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
        let Some(trial) = with_size(&base, name, to) else { continue };
        let after = judge_after(&trial, bands, present, name);
        let Some(verdict) = better(findings, &after, finding) else { continue };
        let part = watch.part(slot).map_or_else(|| slot.name().to_owned(), |part| part.id.clone());
        let by = (to - start).abs();
        let text = mend
            .text
            .replace("{part}", &part)
            .replace("{from}", &figure(start))
            .replace("{to}", &figure(to))
            .replace("{by}", &figure(by))
            .replace("{side}", &figure(by / 2.0));
        let price = price(findings, &after, finding);
        let advice =
            Advice { action: mend.action.clone(), part, text: text + &price, caution: mend.caution.clone() };
        return Some(Tried { watch: trial, dimension: name.to_owned(), from, to, advice, verdict });
    }
    None
}

/// The value of a range nearest to the present one that lies the right way from it.
fn nearest(ranges: &[Range], start: f64, way: Way) -> Option<f64> {
    let ends = ranges.iter().filter_map(|range| match way {
        Way::Down => range.high.filter(|high| *high < start),
        Way::Up => range.low.filter(|low| *low > start),
    });
    ends.min_by(|a, b| (a - start).abs().total_cmp(&(b - start).abs())).map(round)
}

/// The watch with one dimension set, known as well as a measured one.
fn with_size<'a>(watch: &Watch<'a>, name: &str, value: f64) -> Option<Watch<'a>> {
    let (slot, path) = parted(name)?;
    let part = watch.part(slot)?;
    let mut size = sized(watch, name, value);
    size.origin = size.origin.min(Origin::Measured);
    let span = watch.span(name).unwrap_or(part.span);
    let mut spec = part.spec.clone();
    spec.set(path.to_owned(), Located::new(Content::Size(size), span));
    Some(watch.with(slot, spec))
}

fn added(watch: &Watch<'_>, slot: Slot, name: &str) -> Fitted {
    let span = crate::text::FileId::start(watch.build.file);
    let mut spec = Spec::default();
    if let Some((_, path)) = parted(name) {
        spec.set(path.to_owned(), Located::new(Content::Size(sized(watch, name, 0.0)), span));
    }
    Fitted { id: slot.name().to_owned(), name: slot.words().to_owned(), spec, span, until: None }
}

/// The verdict that a finding would have, if it is better and no other is worse.
fn better(before: &[Finding], after: &[Finding], finding: &Finding) -> Option<Verdict> {
    let now = finding.verdict?;
    let then = after
        .iter()
        .find(|other| other.key() == finding.key())
        .map_or(Some(Verdict::Clear), |other| other.verdict)?;
    let no_worse = after.iter().all(|one| {
        let was = before.iter().find(|other| other.key() == one.key()).and_then(|other| other.verdict);
        one.verdict <= was.or(Some(Verdict::Clear))
    });
    (then < now && then != Verdict::Unmeasured && no_worse).then_some(then)
}

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
    losses.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.cmp(&b.1)));
    match losses.len() {
        0 => "; it costs nothing elsewhere".into(),
        _ => format!(
            "; elsewhere: {}",
            losses.into_iter().take(3).map(|(_, words)| words).collect::<Vec<_>>().join(", ")
        ),
    }
}

/// Whether a part's lume is, or may be, radioactive. A dial that says nothing is unknown.
pub fn radioactive(watch: &Watch<'_>, slot: Slot) -> bool {
    watch.part(slot).is_some_and(|part| cautions::active_lume(slot.kind(), &part.spec).is_some())
}

fn refusal(watch: &Watch<'_>, slot: Slot) -> Advice {
    let part = watch.part(slot);
    let lume = part.and_then(|part| part.spec.text("lume")).unwrap_or("unknown");
    let id = part.map_or_else(String::new, |part| part.id.clone());
    Advice {
        action: "leave".into(),
        text: format!("no work on {id} is proposed: its lume is {lume}"),
        part: id,
        caution: cautions::lume_words().into(),
    }
}

/// Feet that find no hole are cut, and the dial is held another way.
fn cut_feet<'a>(
    watch: &Watch<'a>,
    bands: &Bands,
    findings: &[Finding],
    finding: &Finding,
) -> Option<Tried<'a>> {
    let dial = watch.part(Slot::Dial)?;
    let span = watch.span("dial.feet").unwrap_or(dial.span);
    let mut spec = dial.spec.clone();
    spec.set("feet".into(), Located::new(Content::Items(Vec::new()), span));
    let trial = watch.with(Slot::Dial, spec).held_by(HeldBy::Tape);
    let after = judge_all(&trial, bands);
    let verdict = better(findings, &after, finding)?;
    let text = format!(
        "cut the feet of {} flush and hold it by tape or dots{}",
        dial.id,
        price(findings, &after, finding)
    );
    let caution =
        "wear eye protection and a mask; support the dial on its back, and stone the stumps flush".into();
    let advice = Advice { action: "cut the feet".into(), part: dial.id.clone(), text, caution };
    Some(Tried { watch: trial, dimension: "dial.feet".into(), from: None, to: 0.0, advice, verdict })
}

static MENDS: LazyLock<BTreeMap<String, Vec<Mend>>> = LazyLock::new(|| {
    serde_yaml::from_str(include_str!("data/mends.yaml")).expect("the built-in table is read by every test")
});

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fit::checks;
    use crate::fit::solve::field;

    #[test]
    fn every_mend_belongs_to_a_check_and_changes_a_dimension() {
        for (check, mends) in MENDS.iter() {
            assert!(checks::of(check).is_some(), "{check} is no check");
            for mend in mends {
                let about = "seconds over minute";
                let name = named(&mend.dimension, about).expect("the pattern names a hand");
                assert!(field(&name).is_some(), "{name} is no dimension");
                assert!(
                    mend.how.is_none()
                        || crate::journal::entry::ALTERATIONS.contains(&mend.how.as_deref().unwrap())
                );
            }
        }
    }

    #[test]
    fn patterns_take_the_hands_of_a_finding() {
        assert_eq!(named("{upper}.seated", "seconds over minute, pipe").as_deref(), Some("seconds.seated"));
        assert_eq!(named("{lower}.seated", "seconds over minute").as_deref(), Some("minute.seated"));
        assert_eq!(named("{hand}.length", "minute").as_deref(), Some("minute.length"));
        assert_eq!(named("{hand}.length", "in ring"), None);
        assert_eq!(named("dial.diameter", "").as_deref(), Some("dial.diameter"));
    }
}
