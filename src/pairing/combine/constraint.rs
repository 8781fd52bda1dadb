//! A check as a search asks it: worked out once for all parts that answer its questions alike.

use std::sync::Arc;

use rustc_hash::FxHashMap;

use crate::fit::check::{Check, Subject};
use crate::fit::trace::Question;

use super::class_formula::ClassFormula;
use super::headline_limits::HeadlineLimits;
use super::search_space::{SearchSpace, UNDECIDED, bits};

/// What is asked of a combination of parts.
#[derive(Clone, Copy, Debug)]
pub(super) enum Requirement {
    Check(&'static Check, Subject),
    HeadlineLimits(HeadlineLimits),
}

/// A question to combinations with all that was found out about it.
#[derive(Clone)]
pub(super) struct Constraint {
    pub(super) asking: Requirement,
    /// The slots that it was seen to look at, by number, as bits.
    pub(super) scope: u32,
    /// The class of each choice of each slot: choices of one class answer all questions alike.
    pub(super) classes: Vec<Arc<Vec<u16>>>,
    /// How many classes each slot has.
    pub(super) counts: Vec<u16>,
    pub(super) questions: Vec<Vec<Question>>,
    /// What a class of each slot in the scope counts for in the number of a form; `None` where there are
    /// more mixes of classes than numbers.
    weights: Option<Vec<(usize, u128)>>,
    pub(super) formulas: FxHashMap<u128, Arc<ClassFormula>>,
    /// How often a question was new.
    pub(super) learned: usize,
}

/// The classes of what is chosen, as one number.
pub(super) enum ClassMix {
    /// Something that counts is not decided.
    Undecided,
    /// The number.
    Of(u128),
    /// More classes than numbers: then the check is run every time.
    TooMany,
}

impl Constraint {
    pub(super) fn new(asking: Requirement, space: &SearchSpace) -> Constraint {
        let count = space.slots.len();
        Constraint {
            asking,
            scope: 0,
            classes: space.choices.iter().map(|choices| Arc::new(vec![0; choices.len()])).collect(),
            counts: vec![1; count],
            questions: vec![Vec::new(); count],
            weights: Some(Vec::new()),
            formulas: FxHashMap::default(),
            learned: 0,
        }
    }

    /// Works the weights out anew.
    pub(super) fn weigh(&mut self) {
        let mut next = Some(1_u128);
        let mut weights = Vec::new();
        for slot in bits(self.scope) {
            weights.push((slot, next.unwrap_or(0)));
            next = next.and_then(|weight| weight.checked_mul(self.counts[slot].into()));
        }
        self.weights = next.map(|_| weights);
    }

    pub(super) fn key(&self, chosen: &[u16]) -> ClassMix {
        let Some(weights) = &self.weights else {
            let decided = bits(self.scope).all(|slot| chosen[slot] != UNDECIDED);
            return if decided { ClassMix::TooMany } else { ClassMix::Undecided };
        };
        let mut key = 0;
        for (slot, weight) in weights {
            let choice = chosen[*slot];
            if choice == UNDECIDED {
                return ClassMix::Undecided;
            }
            key += weight * u128::from(self.classes[*slot][usize::from(choice)]);
        }
        ClassMix::Of(key)
    }

    /// Its name in what is told: the check's id.
    pub(super) fn name(&self) -> &'static str {
        match self.asking {
            Requirement::Check(check, _) => check.id,
            Requirement::HeadlineLimits(_) => "limits",
        }
    }
}
