//! The search: cases, dials and movements best first, each filled best.
//!
//! A case, a dial and a movement stand in a heap by the best that could become of them: first by what
//! two of them decide, then, once it is their turn, by what the three decide and what the ranges of all
//! other parts allow, at last as they are filled. What comes out filled is the best of all that is left.

use std::cmp::{Ordering, Reverse};
use std::collections::{BTreeSet, BinaryHeap};
use std::sync::atomic::{self, AtomicBool};

use crate::fit::nominal::{Ease, Grade};

use super::fill::Filled;
use super::probe::{Probes, UNDECIDED, bits};
use super::tables::Tables;

/// Whether what is not measured is let pass.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Mode {
    /// Everything that is asked must be known.
    Measured,
    /// What is not known may be.
    Unmeasured,
}

/// A search over a bin.
pub(super) struct Search<'s, 'a> {
    pub(super) probes: &'s mut Probes<'a>,
    pub(super) tables: &'s Tables,
    /// Spares that must be somewhere, by number.
    pub(super) must: &'s [usize],
    /// Set from outside to make it end.
    pub(super) stop: &'s AtomicBool,
    /// Case, dial and movement by their numbers.
    pub(super) three: [usize; 3],
}

/// What came of a search.
pub(super) struct Outcome {
    /// The best, in order.
    pub(super) found: Vec<Filled>,
    /// Whether all there is was looked at.
    pub(super) whole: bool,
    /// How many of case, dial and movement go as far as two of them decide it.
    pub(super) standing: usize,
    /// How many of those were looked into.
    pub(super) opened: usize,
}

/// A case, a dial and a movement, with the best that could become of them.
struct Hope {
    alterations: usize,
    ease: Ease,
    three: [u16; 3],
    stage: Stage,
}

enum Stage {
    Paired,
    Bounded,
    Filled(Box<Filled>),
}

impl Hope {
    fn order(&self) -> (Reverse<usize>, Ease, Reverse<[u16; 3]>) {
        (Reverse(self.alterations), self.ease, Reverse(self.three))
    }
}

impl PartialEq for Hope {
    fn eq(&self, other: &Hope) -> bool {
        self.order() == other.order()
    }
}

impl Eq for Hope {}

impl PartialOrd for Hope {
    fn partial_cmp(&self, other: &Hope) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Hope {
    fn cmp(&self, other: &Hope) -> Ordering {
        self.order().cmp(&other.order())
    }
}

impl Mode {
    pub(super) fn passes(self, grade: Grade) -> bool {
        match grade {
            Grade::Fouls => false,
            Grade::Unmeasured(_) => self == Mode::Unmeasured,
            Grade::Goes(_) => true,
        }
    }
}

impl Search<'_, '_> {
    /// The best fillings of different cases, dials and movements, at most so many, in order.
    pub(super) fn best(&mut self, mode: Mode, most: usize) -> Outcome {
        let mut heap = BinaryHeap::from(self.hopes(mode));
        let mut told: BTreeSet<[usize; 3]> = BTreeSet::new();
        let mut outcome = Outcome { found: Vec::new(), whole: true, standing: heap.len(), opened: 0 };
        while outcome.found.len() < most && !self.stopped() {
            let Some(hope) = heap.pop() else { break };
            match hope.stage {
                Stage::Filled(filled) => {
                    // Of a part that could be altered in several ways the best comes first.
                    if told.insert(self.spares(hope.three)) {
                        outcome.found.push(*filled);
                    }
                }
                Stage::Paired => {
                    outcome.opened += 1;
                    if let Some(ease) = self.bound(&hope, mode) {
                        heap.push(Hope { ease: ease.min(hope.ease), stage: Stage::Bounded, ..hope });
                    }
                }
                Stage::Bounded => {
                    // What goes with everything known is not told among what is not known.
                    let goes = mode == Mode::Unmeasured && self.fill(hope.three, Mode::Measured).is_some();
                    if let Some(filled) = self.fill(hope.three, mode).filter(|_| !goes) {
                        let (alterations, ease) = (filled.alterations, filled.ease);
                        let stage = Stage::Filled(Box::new(filled));
                        heap.push(Hope { alterations, ease, three: hope.three, stage });
                    }
                }
            }
        }
        outcome.whole = heap.is_empty() && !self.stopped();
        if self.stopped() {
            // What was filled already is told too, though something better may not have been met.
            let rest = heap.into_sorted_vec().into_iter().rev();
            let filled = rest.filter_map(|hope| match hope.stage {
                Stage::Filled(filled) => Some(*filled),
                _ => None,
            });
            outcome.found.extend(filled.take(most - outcome.found.len()));
        }
        outcome
    }

    /// Every filling of every case, dial and movement, in order.
    pub(super) fn every(&mut self, mode: Mode, most: usize) -> Outcome {
        let mut hopes = self.hopes(mode);
        hopes.sort_by(|a, b| b.cmp(a));
        let standing = hopes.len();
        let mut found = Vec::new();
        for hope in hopes {
            if self.stopped() {
                break;
            }
            found.extend(self.all(hope.three, mode));
        }
        if mode == Mode::Unmeasured {
            found.retain(|filled| matches!(filled.grade, Grade::Unmeasured(_)));
        }
        found.sort_by(|a, b| a.order().cmp(&b.order()));
        let whole = found.len() <= most && !self.stopped();
        found.truncate(most);
        Outcome { found, whole, standing, opened: standing }
    }

    fn spares(&self, three: [u16; 3]) -> [usize; 3] {
        let choices = &self.probes.bin.choices;
        [0, 1, 2].map(|at| choices[self.three[at]][usize::from(three[at])].spare)
    }

    pub(super) fn stopped(&self) -> bool {
        self.stop.load(atomic::Ordering::Relaxed)
    }

    /// Every case, dial and movement that go as far as two of them decide it.
    fn hopes(&mut self, mode: Mode) -> Vec<Hope> {
        if !mode.passes(self.tables.nothing) {
            return Vec::new();
        }
        let [case, dial, movement] = self.three;
        let alone: Vec<Vec<Grade>> = self.three.map(|slot| self.alone(slot, mode)).into();
        let going = |slot: usize| -> Vec<u16> {
            let grades = alone[slot].iter().enumerate();
            grades.filter(|(_, grade)| mode.passes(**grade)).map(|(at, _)| at as u16).collect()
        };
        let (cases, dials, movements) = (going(0), going(1), going(2));
        let steps = |slot: usize, at: u16| self.probes.bin.choices[slot][usize::from(at)].steps.len();
        let tables = self.tables;
        let mut out = Vec::new();
        for c in &cases {
            let with_case: Vec<(u16, Grade)> = movements
                .iter()
                .map(|m| (*m, tables.together((case, *c), (movement, *m)).and(alone[2][usize::from(*m)])))
                .filter(|(_, grade)| mode.passes(*grade))
                .collect();
            for d in &dials {
                let two = tables.together((case, *c), (dial, *d));
                let two = two.and(alone[0][usize::from(*c)]).and(alone[1][usize::from(*d)]);
                if !mode.passes(two) {
                    continue;
                }
                for (m, third) in &with_case {
                    let grade = two.and(*third).and(tables.together((dial, *d), (movement, *m)));
                    if mode.passes(grade) {
                        out.push(Hope {
                            alterations: steps(case, *c) + steps(dial, *d) + steps(movement, *m),
                            ease: grade.ease(),
                            three: [*c, *d, *m],
                            stage: Stage::Paired,
                        });
                    }
                }
            }
        }
        out
    }

    /// The best grade that each choice of a slot could have, whatever goes with it.
    fn alone(&mut self, slot: usize, mode: Mode) -> Vec<Grade> {
        let count = self.probes.bin.choices[slot].len();
        (0..count as u16)
            .map(|at| {
                let mut chosen = self.tables.start.clone();
                chosen[slot] = at;
                let grade = self.tables.single[slot][usize::from(at)].and(self.tables.nothing);
                if !mode.passes(grade) {
                    return Grade::Fouls;
                }
                match self.domains(&chosen, mode) {
                    Some(open) => grade.and(self.ahead(&chosen, &open, 1 << slot)),
                    None => Grade::Fouls,
                }
            })
            .collect()
    }

    /// The ease that a case, a dial and a movement could have; `None` where they do not go.
    fn bound(&mut self, hope: &Hope, mode: Mode) -> Option<Ease> {
        let chosen = self.with_three(hope.three);
        let open = self.domains(&chosen, mode)?;
        let three = self.three.iter().fold(0, |set, slot| set | 1 << slot);
        let grade = self.tables.nothing.and(self.ahead(&chosen, &open, three));
        mode.passes(grade).then(|| grade.ease())
    }

    pub(super) fn with_three(&self, three: [u16; 3]) -> Vec<u16> {
        let mut chosen = self.tables.start.clone();
        for (slot, choice) in self.three.iter().zip(three) {
            chosen[*slot] = choice;
        }
        chosen
    }

    /// What is left to choose of each slot beside what is chosen; `None` where a slot has nothing left.
    pub(super) fn domains(&self, chosen: &[u16], mode: Mode) -> Option<Vec<Vec<u16>>> {
        let mut open: Vec<Vec<u16>> = vec![Vec::new(); chosen.len()];
        for slot in (0..chosen.len()).filter(|slot| chosen[*slot] == UNDECIDED) {
            let choices = 0..self.probes.bin.choices[slot].len() as u16;
            open[slot] =
                choices.filter(|choice| mode.passes(self.tables.beside(slot, *choice, chosen))).collect();
            if open[slot].is_empty() {
                return None;
            }
        }
        Some(open)
    }

    /// The best that the questions about these slots could come to, those left to pairs aside.
    fn ahead(&mut self, chosen: &[u16], open: &[Vec<u16>], slots: u32) -> Grade {
        let mut grade = Grade::BEST;
        for at in 0..self.probes.probes.len() {
            let scope = self.probes.probes[at].scope & self.tables.varied;
            if scope & slots == 0 || bits(scope).count() < 2 {
                continue;
            }
            grade = grade.and(self.probes.bound(at, chosen, open));
            if grade == Grade::Fouls {
                break;
            }
        }
        grade
    }
}
