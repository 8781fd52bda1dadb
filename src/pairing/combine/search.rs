//! The state that all parts of a search share, and what bounds a case, a dial and a movement.

use std::rc::Rc;
use std::sync::atomic::{self, AtomicBool};

use rustc_hash::FxHashMap;

use crate::fit::nominal::Grade;

use super::assignment::{Mode, Standard};
use super::constraint_set::Constraints;
use super::domains::{Domain, Domains};
use super::pair_tables::PairTables;
use super::search_space::{UNDECIDED, bits};

/// A search over a bin.
pub(super) struct Search<'s, 'a> {
    pub(super) constraints: &'s mut Constraints<'a>,
    pub(super) tables: &'s PairTables,
    /// Spares that must be somewhere, by number.
    pub(super) must: &'s [usize],
    /// Set from outside to make it end.
    stop: &'s AtomicBool,
    /// Case, dial and movement by their numbers.
    pub(super) three: [usize; 3],
    /// The questions, those that ruled something out lately first.
    order: Vec<usize>,
    /// What partners among case, dial and movement leave of a slot, for one standard.
    left: FxHashMap<(usize, [u16; 3]), Rc<Domain>>,
    left_for: Standard,
    /// By movement: what went with it last, with everything known.
    pub(super) went: FxHashMap<u16, Vec<u16>>,
}

impl<'s, 'a> Search<'s, 'a> {
    pub(super) fn new(
        constraints: &'s mut Constraints<'a>,
        tables: &'s PairTables,
        three: [usize; 3],
        must: &'s [usize],
        stop: &'s AtomicBool,
    ) -> Search<'s, 'a> {
        let order = (0..constraints.constraints.len()).collect();
        let (left, left_for) = (FxHashMap::default(), Mode::Measured.at_all());
        let went = FxHashMap::default();
        Search { constraints, tables, must, stop, three, order, left, left_for, went }
    }
}

impl Search<'_, '_> {
    pub(super) fn spares(&self, three: [u16; 3]) -> [usize; 3] {
        let choices = &self.constraints.space.choices;
        [0, 1, 2].map(|at| choices[self.three[at]][usize::from(three[at])].spare)
    }

    pub(super) fn stopped(&self) -> bool {
        self.stop.load(atomic::Ordering::Relaxed)
    }

    pub(super) fn with_three(&self, three: [u16; 3]) -> Vec<u16> {
        let mut chosen = self.tables.start.clone();
        self.set_three(&mut chosen, three);
        chosen
    }

    pub(super) fn set_three(&self, chosen: &mut [u16], three: [u16; 3]) {
        for (slot, choice) in self.three.iter().zip(three) {
            chosen[*slot] = choice;
        }
    }

    /// What is left to choose of each slot beside what is chosen; `None` where a slot has nothing left.
    pub(super) fn domains(&mut self, chosen: &[u16], standard: Standard) -> Option<Domains> {
        if self.left_for != standard {
            self.left_for = standard;
            self.left.clear();
        }
        let mut open = vec![Rc::default(); chosen.len()];
        for slot in (0..chosen.len()).filter(|slot| chosen[*slot] == UNDECIDED) {
            // Many cases, dials and movements leave the same of a slot: all that matters are its partners.
            let partners = self.three.map(|one| match self.tables.are_partners(slot, one) {
                true => chosen[one],
                false => UNDECIDED,
            });
            let left = self.left.entry((slot, partners)).or_insert_with(|| {
                let goes = |choice: &u16| standard.passes(self.tables.beside(slot, *choice, chosen));
                let choices = 0..self.constraints.space.choices[slot].len() as u16;
                Domain::new(choices.filter(goes).collect()).into()
            });
            if left.is_empty() {
                return None;
            }
            open[slot] = left.clone();
        }
        Some(Domains::new(open))
    }

    /// The best that the questions about these slots could come to, those left to pairs aside; no more
    /// are asked once it falls short.
    pub(super) fn ahead(
        &mut self,
        chosen: &[u16],
        open: &mut Domains,
        slots: u32,
        standard: Standard,
    ) -> Grade {
        let mut grade = Grade::BEST;
        for place in 0..self.order.len() {
            let at = self.order[place];
            let scope = self.constraints.constraints[at].scope & self.tables.varied;
            if scope & slots == 0 || bits(scope).count() < 2 {
                continue;
            }
            grade = grade.and(self.constraints.bound(at, chosen, open));
            if !standard.passes(grade) {
                self.order[..=place].rotate_right(1);
                break;
            }
        }
        grade
    }
}
