//! Parts as they could be made to go: further choices of a slot, each with what must be done first.
//!
//! A part is altered for one other part: by the least change of the table of mends that makes a finding
//! of the two clear which fouls. What comes of it may be altered once more for another part, as a dial
//! that is turned down for its case and loses its feet for its movement. Then dials and hands are altered
//! for several parts that go together, and with which they do not ([`together`]). Where two parts want the same
//! size changed, the greater of their two changes does for both: no value between is ever the least.
//! Nothing is offered that cuts into lume which may be radioactive: the mends themselves refuse it.

mod joint;

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicBool, Ordering};

use rayon::prelude::*;

use crate::fit::advice::options;
use crate::fit::assembly::Assembly;
use crate::fit::bands::Bands;
use crate::fit::judge::judge_all;
use crate::fit::mends::{Mend, remedy};
use crate::fit::nominal::{Grade, grade};
use crate::fit::verdict::Verdict;
use crate::journal::{HeldBy, Slot};
use crate::pairing::wanted::PlannedAlteration;

use super::search_space::{SearchSpace, SlotChoice};

/// The most that is done to one part.
const MOST_STEPS: usize = 2;

/// Adds to every slot its parts as they could be altered. `false` where there are too many parts to look
/// at more than two at a time.
pub(super) fn vary(base: &Assembly, bands: &Bands, space: &mut SearchSpace, stop: &AtomicBool) -> bool {
    let first: Vec<Vec<SlotChoice>> = space.choices.clone();
    for slot in 0..space.slots.len() {
        let mut newest: Vec<SlotChoice> = first[slot].clone();
        for _ in 0..MOST_STEPS {
            let altered: Vec<SlotChoice> = newest
                .par_iter()
                .flat_map_iter(|choice| altered(base, bands, space, &first, (slot, choice), stop))
                .collect();
            newest = put(space, slot, altered);
        }
    }
    joint::vary(base, bands, space, stop)
}

/// Puts what is not there yet among the choices of a slot, and tells it.
fn put(space: &mut SearchSpace, slot: usize, altered: Vec<SlotChoice>) -> Vec<SlotChoice> {
    let mut new: Vec<SlotChoice> = Vec::new();
    for one in altered {
        if !space.choices[slot].iter().any(|other| same(&one, other)) {
            space.choices[slot].push(one.clone());
            new.push(one);
        }
    }
    // Domains first, then by part, as it is before its alterations.
    space.choices[slot].sort_by(|a, b| {
        let order =
            |choice: &SlotChoice| (choice.part.as_ref().map(|part| part.id.clone()), choice.steps.len());
        order(a).cmp(&order(b)).then_with(|| sizes(a).total_cmp(&sizes(b)))
    });
    new
}

/// A choice altered for each part of another slot that it fouls with.
fn altered(
    base: &Assembly,
    bands: &Bands,
    space: &SearchSpace,
    first: &[Vec<SlotChoice>],
    (slot, choice): (usize, &SlotChoice),
    stop: &AtomicBool,
) -> Vec<SlotChoice> {
    let mut out: Vec<SlotChoice> = Vec::new();
    let Some(part) = &choice.part else { return out };
    let own = space.slots[slot];
    for (other, partners) in first.iter().enumerate().filter(|(other, _)| *other != slot) {
        // Two hands meet on a movement only: no check asks about the two alone.
        if own.kind() == "hand" && space.slots[other].kind() == "hand" {
            continue;
        }
        for partner in partners.iter().filter_map(|partner| partner.part.as_ref().map(|part| (partner, part)))
        {
            if stop.load(Ordering::Relaxed) {
                return out;
            }
            let two = BTreeMap::from([(own, part.clone()), (space.slots[other], partner.1.clone())]);
            let held: Option<HeldBy> = choice.held.or(partner.0.held);
            let watch = base.of_parts(two, held);
            if grade(&watch, bands) != Grade::Fouls {
                continue;
            }
            for one in mended(&watch, bands, own, choice) {
                if !out.iter().any(|known| same(&one, known)) {
                    out.push(one);
                }
            }
        }
    }
    out
}

/// What can be done to the part in a slot about the findings of a watch that foul.
pub(super) fn mended(watch: &Assembly, bands: &Bands, own: Slot, choice: &SlotChoice) -> Vec<SlotChoice> {
    let findings = judge_all(watch, bands);
    let mut out = Vec::new();
    for at in 0..findings.len() {
        let finding = &findings[at];
        if finding.verdict != Some(Verdict::Fouls) || mends(finding.check.id).next().is_none() {
            continue;
        }
        let (tried, _) = options(watch, bands, &findings, at);
        for tried in tried {
            let alters = mends(finding.check.id).any(|mend| {
                mend.action == tried.advice.action
                    && mend.name(&finding.about).as_deref() == Some(tried.dimension.as_str())
            });
            let mine = tried.dimension.split('.').next() == Some(own.name());
            let Some(part) = tried.watch.part(own).filter(|_| alters && mine) else { continue };
            let held = if own == Slot::Dial { tried.watch.said_held_by().or(choice.held) } else { None };
            let mut advice = tried.advice.clone();
            // What it costs was reckoned over two parts only: the whole watch is judged afterwards.
            advice.text = advice.text.first_clause();
            let step = PlannedAlteration {
                dimension: tried.dimension.clone(),
                from: tried.from,
                to: tried.to,
                advice,
            };
            let mut steps = choice.steps.clone();
            if steps.iter().any(|done| done.dimension == step.dimension) {
                continue;
            }
            steps.push(step);
            out.push(SlotChoice { part: Some(part.clone().into()), held, steps, spare: choice.spare });
        }
    }
    out
}

/// The mends of a check that an entry would log as an alteration.
fn mends(check: &str) -> impl Iterator<Item = &'static Mend> {
    remedy(check).into_iter().flat_map(|remedy| &remedy.mends).filter(|mend| mend.how.is_some())
}

/// Whether two choices are one part altered in the same way, in whatever order.
fn same(one: &SlotChoice, other: &SlotChoice) -> bool {
    let done = |choice: &SlotChoice| {
        let mut done: Vec<(String, u64)> =
            choice.steps.iter().map(|step| (step.dimension.clone(), step.to.to_bits())).collect();
        done.sort();
        done
    };
    one.spare == other.spare && done(one) == done(other)
}

/// Tells alterations of one part apart: what its sizes come to.
fn sizes(choice: &SlotChoice) -> f64 {
    choice.steps.iter().map(|step| step.to).sum()
}
