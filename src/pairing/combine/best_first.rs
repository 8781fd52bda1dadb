//! The search: cases, dials and movements best first, each filled best.
//!
//! A case, a dial and a movement stand in a heap by the best that could become of them: first by what
//! two of them decide, then, once it is their turn, by what the three decide and what the ranges of all
//! other parts allow, at last as they are filled. What comes out filled is the best of all that is left.

use std::cmp::{Ordering, Reverse};
use std::collections::{BTreeSet, BinaryHeap};

use crate::fit::nominal::{Ease, Grade};

use super::assignment::{Assignment, Mode, Penalty, Standard, Threshold};
use super::search::Search;
use super::top_k::{TopAssignments, TopTriples};

/// What came of a search.
pub(super) struct SearchResult {
    /// The best, in order.
    pub(super) found: Vec<Assignment>,
    /// Whether all there is was looked at.
    pub(super) whole: bool,
    /// How many of case, dial and movement go as far as two of them decide it.
    pub(super) standing: usize,
    /// How many of those were looked into.
    pub(super) opened: usize,
}

/// A case, a dial and a movement, with the best that could become of them.
struct Triple {
    alterations: usize,
    ease: Ease,
    three: [u16; 3],
    stage: Refinement,
}

enum Refinement {
    Paired,
    Bounded,
    /// It is known what it costs at least; so far it was filled in vain for more ease.
    Costed(Penalty),
    Assignment(Box<Assignment>),
}

impl Triple {
    fn order(&self) -> (Reverse<usize>, Ease, Reverse<[u16; 3]>) {
        (Reverse(self.alterations), self.ease, Reverse(self.three))
    }
}

impl PartialEq for Triple {
    fn eq(&self, other: &Triple) -> bool {
        self.order() == other.order()
    }
}

impl Eq for Triple {}

impl PartialOrd for Triple {
    fn partial_cmp(&self, other: &Triple) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Triple {
    fn cmp(&self, other: &Triple) -> Ordering {
        self.order().cmp(&other.order())
    }
}

/// The ease that a case, a dial and a movement are first filled for which could have so much. To look
/// for much ease is quick, and mostly enough; what is not found is looked for again with less.
fn level(could: Ease) -> Ease {
    const STEP: i32 = 250;
    const MOST: i32 = 12 * STEP;
    match could.0.min(MOST) {
        ease if ease >= 0 => Ease(ease - ease % STEP),
        _ => Ease::LEAST,
    }
}

impl Search<'_, '_> {
    /// The best fillings of different cases, dials and movements, at most so many, in order.
    pub(super) fn best(&mut self, mode: Mode, most: usize) -> SearchResult {
        let mut heap = BinaryHeap::from(self.hopes(mode));
        let mut told: BTreeSet<[usize; 3]> = BTreeSet::new();
        let mut top = TopTriples::new(most);
        let mut outcome = SearchResult { found: Vec::new(), whole: true, standing: heap.len(), opened: 0 };
        while outcome.found.len() < most && !self.stopped() {
            let Some(hope) = heap.pop() else { break };
            // What cannot come among the best is not looked into any further.
            let wanted = top.wants(hope.alterations).filter(|ease| hope.ease >= *ease);
            let Some(ease) = wanted else {
                outcome.whole = false;
                continue;
            };
            let standard = Standard { mode, ease };
            match hope.stage {
                Refinement::Assignment(filled) => {
                    // Of a part that could be altered in several ways the best comes first.
                    if told.insert(self.spares(hope.three)) {
                        outcome.found.push(*filled);
                    }
                }
                Refinement::Paired => {
                    outcome.opened += 1;
                    match self.bound(&hope, standard) {
                        Some(ease) => {
                            heap.push(Triple {
                                ease: ease.min(hope.ease),
                                stage: Refinement::Bounded,
                                ..hope
                            });
                        }
                        None => outcome.whole &= ease == Ease::LEAST,
                    }
                }
                // What goes with everything known is not told among what is not known.
                Refinement::Bounded if mode == Mode::Unmeasured && self.goes(hope.three) => {}
                Refinement::Bounded => {
                    let cost = Penalty { steps: hope.alterations, missed: 0 };
                    outcome.whole &= self.try_filling(&hope, (cost, false), standard, &mut top, &mut heap);
                }
                Refinement::Costed(cost) => {
                    outcome.whole &= self.try_filling(&hope, (cost, true), standard, &mut top, &mut heap);
                }
            }
        }
        outcome.whole &= heap.is_empty() && !self.stopped();
        if self.stopped() {
            // What was filled already is told too, though something better may not have been met.
            let rest = heap.into_sorted_vec().into_iter().rev();
            let filled = rest.filter_map(|hope| match hope.stage {
                Refinement::Assignment(filled) => Some(*filled),
                _ => None,
            });
            outcome.found.extend(filled.take(most - outcome.found.len()));
        }
        outcome
    }

    /// Fills a case, a dial and a movement for much ease, at a cost that may be known to be the least;
    /// what comes of it goes back into the heap. `false` where something was left that is not wanted.
    fn try_filling(
        &mut self,
        hope: &Triple,
        (cost, known): (Penalty, bool),
        standard: Standard,
        top: &mut TopTriples,
        heap: &mut BinaryHeap<Triple>,
    ) -> bool {
        let (three, ease) = (hope.three, level(hope.ease).max(standard.ease));
        if let Some(filled) =
            self.fill(three, Threshold { standard: Standard { ease, ..standard }, most: cost })
        {
            top.note(self.spares(three), &filled);
            let (alterations, ease) = (filled.cost.steps, filled.ease);
            heap.push(Triple { alterations, ease, three, stage: Refinement::Assignment(Box::new(filled)) });
            return true;
        }
        let Some(least) = (if known { Some(cost) } else { self.fewest(three, standard.mode) }) else {
            return true;
        };
        let ease = match least == cost {
            true if ease == standard.ease => return ease == Ease::LEAST,
            true => Ease(ease.0 - 1),
            false => hope.ease,
        };
        heap.push(Triple { alterations: least.steps, ease, three, stage: Refinement::Costed(least) });
        true
    }

    /// Every filling of every case, dial and movement, in order.
    pub(super) fn every(&mut self, mode: Mode, most: usize) -> SearchResult {
        let mut hopes = self.hopes(mode);
        hopes.sort_by(|a, b| b.cmp(a));
        let standing = hopes.len();
        let (mut kept, mut opened) = (TopAssignments::new(most), 0);
        for hope in hopes {
            if self.stopped() {
                break;
            }
            opened += 1;
            self.all(hope.three, mode, &mut |filled| {
                if mode == Mode::Measured || matches!(filled.grade, Grade::Unmeasured(_)) {
                    kept.keep(filled);
                }
            });
        }
        kept.cut();
        let whole = kept.whole && !self.stopped();
        SearchResult { found: kept.found, whole, standing, opened }
    }

    /// Every case, dial and movement that go as far as two of them decide it.
    fn hopes(&mut self, mode: Mode) -> Vec<Triple> {
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
        let steps = |slot: usize, at: u16| self.constraints.space.choices[slot][usize::from(at)].steps.len();
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
                        out.push(Triple {
                            alterations: steps(case, *c) + steps(dial, *d) + steps(movement, *m),
                            ease: grade.ease(),
                            three: [*c, *d, *m],
                            stage: Refinement::Paired,
                        });
                    }
                }
            }
        }
        out
    }

    /// The best grade that each choice of a slot could have, whatever goes with it.
    fn alone(&mut self, slot: usize, mode: Mode) -> Vec<Grade> {
        let count = self.constraints.space.choices[slot].len();
        (0..count as u16)
            .map(|at| {
                let mut chosen = self.tables.start.clone();
                chosen[slot] = at;
                let grade = self.tables.single[slot][usize::from(at)].and(self.tables.nothing);
                if !mode.passes(grade) {
                    return Grade::Fouls;
                }
                match self.domains(&chosen, mode.at_all()) {
                    Some(mut open) => grade.and(self.ahead(&chosen, &mut open, 1 << slot, mode.at_all())),
                    None => Grade::Fouls,
                }
            })
            .collect()
    }

    /// The ease that a case, a dial and a movement could have; `None` where they do not go so well.
    fn bound(&mut self, hope: &Triple, standard: Standard) -> Option<Ease> {
        let chosen = self.with_three(hope.three);
        let mut open = self.domains(&chosen, standard)?;
        let three = self.three.iter().fold(0, |set, slot| set | 1 << slot);
        let grade = self.tables.nothing.and(self.ahead(&chosen, &mut open, three, standard));
        standard.passes(grade).then(|| grade.ease())
    }
}
