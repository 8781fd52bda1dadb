//! The best that were found so far.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use crate::fit::nominal::Ease;

use super::assignment::Assignment;

/// The best so many of all fillings: there may be more than memory holds.
pub(super) struct TopAssignments {
    most: usize,
    pub(super) found: Vec<Assignment>,
    /// Whether they are all.
    pub(super) whole: bool,
}

impl TopAssignments {
    pub(super) fn new(most: usize) -> TopAssignments {
        TopAssignments { most, found: Vec::new(), whole: true }
    }

    /// One more of them.
    pub(super) fn keep(&mut self, filled: Assignment) {
        self.found.push(filled);
        if self.found.len() >= self.most.saturating_mul(2).max(1024) {
            self.cut();
        }
    }

    /// Leaves only the best, in order.
    pub(super) fn cut(&mut self) {
        self.found.sort_by(|a, b| a.order().cmp(&b.order()));
        self.whole &= self.found.len() <= self.most;
        self.found.truncate(self.most);
    }
}

/// The best so many of different cases, dials and movements that were filled so far.
pub(super) struct TopTriples {
    most: usize,
    worth: BTreeMap<[usize; 3], (usize, Reverse<Ease>)>,
    last: Option<(usize, Reverse<Ease>)>,
}

impl TopTriples {
    pub(super) fn new(most: usize) -> TopTriples {
        TopTriples { most, worth: BTreeMap::new(), last: None }
    }

    /// A filling of a case, a dial and a movement by their spares.
    pub(super) fn note(&mut self, three: [usize; 3], filled: &Assignment) {
        let worth = (filled.cost.steps, Reverse(filled.ease));
        let own = self.worth.entry(three).or_insert(worth);
        *own = worth.min(*own);
        if 0 < self.most && self.most <= self.worth.len() {
            let mut all: Vec<(usize, Reverse<Ease>)> = self.worth.values().copied().collect();
            self.last = Some(*all.select_nth_unstable(self.most - 1).1);
        }
    }

    /// The ease that something of so many alterations at least must have to be among the best; `None`
    /// where none would do.
    pub(super) fn wants(&self, alterations: usize) -> Option<Ease> {
        match self.last {
            Some((most, _)) if alterations > most => None,
            Some((most, Reverse(ease))) if alterations == most => Some(ease),
            _ => Some(Ease::LEAST),
        }
    }
}
