//! What would go into the open slots of a build: sizes to shop by, and parts of the bin.

mod size_ranges;
mod trial;

use std::collections::BTreeMap;
use std::sync::Arc;

use rayon::prelude::*;

use crate::fit::assembly::Assembly;
use crate::fit::bands::Bands;
use crate::fit::finding::Advice;
use crate::fit::fitted::Fitted;
use crate::fit::inverse::Range;
use crate::fit::nominal::{Ease, grade_all};
use crate::journal::{HeldBy, Slot};

use super::spares::{Spare, held_without_feet};

/// An open slot, or one that is asked about.
#[derive(Clone, Debug)]
pub struct Vacancy {
    /// The slot.
    pub slot: Slot,
    /// The id of the part that is there now; `None` where the slot is open.
    pub filled: Option<String>,
    /// The sizes that a part for it must have, in the order in which the checks ask for them.
    pub sizes: Vec<WantedSize>,
    /// What else the checks ask of it that is no size, such as where a dial's feet stand.
    pub asked: Vec<(String, String)>,
    /// The parts of the bin, by how well they go, then by id.
    pub candidates: Vec<Candidate>,
}

/// A size of the part that is looked for.
#[derive(Clone, Debug)]
pub struct WantedSize {
    /// `dial.diameter`.
    pub name: String,
    /// Where every check is clear that could be solved, once the size is measured; empty: nowhere.
    pub ranges: Vec<Range>,
    /// What each check allows that asks for it.
    pub limits: Vec<CheckRange>,
}

/// One check's say in a size.
#[derive(Clone, Debug)]
pub struct CheckRange {
    /// The finding's key.
    pub key: String,
    /// What it is about.
    pub title: String,
    /// What it allows; `None` where that cannot be worked out yet.
    pub range: Option<Range>,
    /// Sizes of parts that are not chosen yet, or of chosen ones that are not measured: what the
    /// range depends on as well.
    pub depends: Vec<String>,
    /// What those were taken for, or why there is no range.
    pub note: String,
}

/// A part of the bin, tried in the slot.
#[derive(Clone, Debug)]
pub struct Candidate {
    /// Its id.
    pub id: String,
    /// What it is called.
    pub name: String,
    /// How many there are.
    pub count: usize,
    /// Whether it goes.
    pub answer: Suitability,
}

/// Whether a part goes.
#[derive(Clone, Debug)]
pub enum Suitability {
    /// As it is; the least ease of all that it takes part in.
    Goes(Ease),
    /// After what must be done, in this order; each with its price.
    After(Vec<PlannedAlteration>),
    /// Nothing fouls, but this is not measured.
    Unmeasured(Vec<String>),
    /// It fouls, and nothing that may be done helps: the first reason, and a caution that stands in
    /// the place of work that must not be done.
    Cannot(String, Option<Advice>),
}

/// Something to be done before a part goes.
#[derive(Clone, Debug)]
pub struct PlannedAlteration {
    /// What is changed: `dial.diameter`.
    pub dimension: String,
    /// From what; `None` where it was not there.
    pub from: Option<f64>,
    /// To what, mm.
    pub to: f64,
    /// As it is said, with what it costs elsewhere, and a caution.
    pub advice: Advice,
}

impl Suitability {
    /// The word for it, in texts and in the JSON.
    pub fn word(&self) -> &'static str {
        match self {
            Suitability::Goes(_) => "goes",
            Suitability::After(_) => "after",
            Suitability::Unmeasured(_) => "unmeasured",
            Suitability::Cannot(..) => "cannot",
        }
    }

    /// The best first: as it is with the most room, after the fewest steps, unmeasured, not at all.
    fn order(&self) -> (u8, i64) {
        match self {
            Suitability::Goes(ease) => (0, -i64::from(ease.0)),
            Suitability::After(steps) => (1, steps.len() as i64),
            Suitability::Unmeasured(missing) => (2, missing.len() as i64),
            Suitability::Cannot(..) => (3, 0),
        }
    }
}

/// How much is tried with parts that foul.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Effort {
    /// Alterations are tried.
    Altering,
    /// They are not: the answer for such a part is only that it does not go as it is.
    AsTheyAre,
}

/// Looks for parts: for every open slot, or for the one asked about whether it is filled or not.
pub fn wanted(
    watch: &Assembly,
    bands: &Bands,
    spares: &[Spare],
    only: Option<Slot>,
    effort: Effort,
) -> Vec<Vacancy> {
    let open = |slot: &Slot| !watch.has(*slot) && !watch.without(*slot);
    let slots: Vec<Slot> = match only {
        Some(slot) => vec![slot],
        None => Slot::ALL.into_iter().filter(open).collect(),
    };
    slots.into_iter().map(|slot| vacancy(watch, bands, spares, slot, effort)).collect()
}

fn vacancy(watch: &Assembly, bands: &Bands, spares: &[Spare], slot: Slot, effort: Effort) -> Vacancy {
    let filled = watch.part(slot).map(|part| part.id.clone());
    let base = watch.with_part(slot, None);
    let (sizes, asked) = size_ranges::list(&base, bands, slot);
    let before: BTreeMap<String, _> = grade_all(&base, bands)
        .into_iter()
        .map(|one| (format!("{} {}", one.check.id, one.about), one.grade))
        .collect();
    let fitting: Vec<&Spare> = spares.iter().filter(|spare| spare.kind.name == slot.kind()).collect();
    let mut candidates: Vec<Candidate> = fitting
        .par_iter()
        .map(|spare| Candidate {
            id: spare.part.id.clone(),
            name: spare.part.name.clone(),
            count: spare.count,
            answer: trial::attempt(&placed(&base, slot, &spare.part), bands, &before, slot, effort),
        })
        .collect();
    candidates.sort_by(|a, b| a.answer.order().cmp(&b.answer.order()).then_with(|| a.id.cmp(&b.id)));
    Vacancy { slot, filled, sizes, asked, candidates }
}

/// The watch with a part in a slot; a dial without feet is held as [`held_without_feet`] says where
/// the build says nothing.
fn placed(base: &Assembly, slot: Slot, part: &Arc<Fitted>) -> Assembly {
    let watch = base.with_part(slot, Some(part.as_ref().clone()));
    let held: Option<HeldBy> =
        (slot == Slot::Dial && base.said_held_by().is_none()).then(|| held_without_feet(part)).flatten();
    match held {
        Some(held) => watch.held_by(held),
        None => watch,
    }
}
