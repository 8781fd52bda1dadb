//! Whole builds out of the free parts of the bin, best first.
//!
//! A combination goes where nothing fouls. The order is: the fewest alterations, then the most ease in
//! its tightest finding (how many standard deviations its result lies inside what is advised), then the
//! ids in the order of [`search_space::ORDER`]. Of each case, dial and movement one combination is told: that
//! with the fewest alterations, then the fewest slots left open, then the most ease, then by ids.
//!
//! Nothing is left to chance: `constraint` runs each check and takes down what it looked at, and what is
//! skipped is skipped because a check that was run says so.

mod alterations;
mod assignment;
mod best_first;
mod class_formula;
mod constraint;
mod constraint_set;
mod depth_first;
mod domains;
mod headline_limits;
mod pair_tables;
mod propagation;
mod search;
mod search_space;
mod top_k;

use std::collections::BTreeMap;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use rayon::prelude::*;

use crate::fit::assembly::Assembly;
use crate::fit::bands::Bands;
use crate::fit::fitted::Fitted;
use crate::fit::headline::{Headline, headline};
use crate::fit::inspect::{Counts, Report};
use crate::fit::judge::judge_all;
use crate::fit::nominal::{Ease, grade_all};
use crate::fit::verdict::Verdict;
use crate::journal::{HeldBy, Slot};

use super::spares::Spare;
use super::wanted::PlannedAlteration;

pub use headline_limits::HeadlineLimits;
pub use pair_tables::RuledOut;
pub use search_space::{HELPING, NEEDED, ORDER, PartFilter};

/// What is looked for.
#[derive(Clone, Debug, Default)]
pub struct Query {
    /// Which parts and slots.
    pub allowed: PartFilter,
    /// HeadlineLimits on the headline figures.
    pub limits: HeadlineLimits,
    /// At most so many of each list.
    pub most: usize,
    /// Leaves out what has something unmeasured.
    pub measured_only: bool,
    /// Tells every filling, not only the best of each case, dial and movement.
    pub every: bool,
}

/// What came of it.
#[derive(Debug)]
pub struct Combined {
    /// How many choices each slot has; where a slot may stay open, that is one of them.
    pub slots: Vec<(Slot, usize)>,
    /// How many combinations there are.
    pub combinations: f64,
    /// What single parts and pairs of them rule out, the largest share first.
    pub ruled: Vec<RuledOut>,
    /// How many of case, dial and movement go as far as two of them decide it.
    pub standing: usize,
    /// How many of them were looked into, to find these.
    pub opened: usize,
    /// The best that go.
    pub goes: Vec<Combination>,
    /// The best of those in which something is not measured, and nothing fouls.
    pub unmeasured: Vec<Combination>,
    /// Whether each list holds all there are: with everything measured, and not.
    pub whole: (bool, bool),
    /// A needed slot that nothing is free for.
    pub lacking: Vec<Slot>,
    /// Whether alterations were looked for that several parts call for together: in a large bin there are
    /// too many.
    pub altered_for_several: bool,
    /// Whether it was ended before its end: then better ones may be there that were not met.
    pub stopped: bool,
}

/// A whole build that could be made.
#[derive(Clone, Debug)]
pub struct Combination {
    /// Its parts.
    pub parts: BTreeMap<Slot, Arc<Fitted>>,
    /// How the dial is held, where it has no feet.
    pub held: Option<HeldBy>,
    /// What has to be done first.
    pub steps: Vec<PlannedAlteration>,
    /// How far the tightest of its findings is inside what is advised.
    pub ease: Ease,
    /// Which finding that is; empty where nothing was measured against a band.
    pub tightest: String,
    /// Slots left open for which a part is to be found.
    pub open: Vec<Slot>,
    /// How many findings have which verdict.
    pub counts: Counts,
    /// What is not measured.
    pub missing: Vec<String>,
    /// Its headline figures.
    pub headline: Headline,
}

/// Looks for whole builds. `base` is a build without parts, with the target that is to be reached;
/// `stop` ends the search, which then tells what it has.
pub fn combine(
    base: &Assembly,
    bands: &Bands,
    spares: &[Spare],
    query: &Query,
    stop: &AtomicBool,
) -> Combined {
    let mut space = search_space::SearchSpace::of(spares, &query.allowed);
    let altered_for_several = !query.allowed.altered || alterations::vary(base, bands, &mut space, stop);
    let space = space;
    let mut combined = Combined {
        slots: space.slots.iter().zip(&space.choices).map(|(slot, choices)| (*slot, choices.len())).collect(),
        combinations: space.combinations(),
        ruled: Vec::new(),
        standing: 0,
        opened: 0,
        goes: Vec::new(),
        unmeasured: Vec::new(),
        whole: (true, true),
        lacking: NEEDED.into_iter().filter(|slot| lacks(&space, *slot)).collect(),
        altered_for_several,
        stopped: false,
    };
    let three = [Slot::Case, Slot::Dial, Slot::Movement].map(|slot| space.position(slot));
    let ([Some(case), Some(dial), Some(movement)], true) = (three, combined.lacking.is_empty()) else {
        return combined;
    };
    let mut constraints = constraint_set::Constraints::new(base, bands, &space, query.limits);
    let (tables, ruled) = pair_tables::PairTables::new(&mut constraints, stop);
    combined.ruled = ruled;
    let must: Vec<usize> = (0..spares.len())
        .filter(|at| query.allowed.with.iter().any(|(id, _)| id == spares[*at].id()))
        .collect();
    let look = |constraints: &mut constraint_set::Constraints<'_>, mode| {
        let mut search = search::Search::new(constraints, &tables, [case, dial, movement], &must, stop);
        match query.every {
            true => search.every(mode, query.most),
            false => search.best(mode, query.most),
        }
    };
    let told = |found: &[assignment::Assignment]| -> Vec<Combination> {
        found.par_iter().map(|filled| told(base, bands, &space, filled)).collect()
    };
    // The two lists know nothing of each other.
    let mut other = constraints.clone();
    let (goes, unmeasured) = rayon::join(
        || look(&mut constraints, assignment::Mode::Measured),
        || (!query.measured_only).then(|| look(&mut other, assignment::Mode::Unmeasured)),
    );
    (combined.standing, combined.opened, combined.whole.0) = (goes.standing, goes.opened, goes.whole);
    combined.goes = told(&goes.found);
    if let Some(unmeasured) = unmeasured {
        combined.whole.1 = unmeasured.whole;
        combined.unmeasured = told(&unmeasured.found);
    }
    combined.stopped = stop.load(Ordering::Relaxed);
    combined
}

fn lacks(space: &search_space::SearchSpace, slot: Slot) -> bool {
    space.position(slot).is_none_or(|at| space.choices[at].is_empty())
}

/// The full judgement, of what is offered only.
fn told(
    base: &Assembly,
    bands: &Bands,
    space: &search_space::SearchSpace,
    filled: &assignment::Assignment,
) -> Combination {
    let (parts, held) = space.parts(&filled.chosen);
    let watch = base.of_parts(parts.clone(), held);
    let mut findings = judge_all(&watch, bands);
    findings.retain(|finding| finding.check.of_parts());
    let mut missing: Vec<String> = Vec::new();
    for finding in findings.iter().filter(|finding| finding.verdict == Some(Verdict::Unmeasured)) {
        for wanted in &finding.missing {
            if !missing.contains(&wanted.name) {
                missing.push(wanted.name.clone());
            }
        }
    }
    let tightest = grade_all(&watch, bands)
        .into_iter()
        .filter(|one| one.grade.ease() != Ease::MOST)
        .min_by_key(|one| one.grade.ease())
        .map(|one| match one.about.is_empty() {
            true => one.check.id.to_owned(),
            false => format!("{} {}", one.check.id, one.about),
        });
    let choices = space.slots.iter().zip(&space.choices).zip(&filled.chosen).enumerate();
    let mut open = Vec::new();
    let mut steps = Vec::new();
    for (at, ((slot, choices), chosen)) in choices {
        let choice = &choices[usize::from(*chosen)];
        steps.extend(choice.steps.iter().cloned());
        if choice.part.is_none() && space.is_missed(at) {
            open.push(*slot);
        }
    }
    let headline = headline(&watch);
    let report = Report { slug: String::new(), headline, findings };
    Combination {
        parts,
        held,
        steps,
        ease: filled.ease,
        tightest: tightest.unwrap_or_default(),
        open,
        counts: report.counts(),
        missing,
        headline,
    }
}

impl Combination {
    /// Whether everything that is asked of it is measured.
    pub fn is_measured(&self) -> bool {
        self.counts.unmeasured == 0
    }
}

#[cfg(test)]
mod brute_force;
