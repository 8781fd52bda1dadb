//! What is left to try for a case, a dial and a movement, and what falls out before anything is tried.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use crate::fit::nominal::Grade;

use super::assignment::{Mode, Partial, Penalty, ScoredChoice, Threshold};
use super::domains::{Domain, Domains};
use super::search::Search;
use super::search_space::{UNDECIDED, bits};

/// The slots to fill and what can fill them.
pub(super) struct Subproblem {
    pub(super) layout: Rc<Layout>,
    /// Case, dial and movement, and the slots that have no choice; the rest is undecided.
    pub(super) chosen: Vec<u16>,
    /// What those come to.
    pub(super) base: Partial,
    pub(super) limit: Threshold,
    /// What is left for each slot, in the order in which it is tried.
    pub(super) candidates: Vec<Vec<ScoredChoice>>,
    /// The same, as bounds look at it.
    pub(super) open: Domains,
    /// From each slot on, the least that a branch comes to yet.
    rest: Vec<Penalty>,
}

/// Which questions are asked when.
pub(super) struct Layout {
    /// The slots to fill, in order.
    pub(super) slots: Vec<usize>,
    /// For each slot: the questions that it settles, and those that it leaves to later slots.
    pub(super) settled: Vec<Vec<usize>>,
    pub(super) left: Vec<Vec<usize>>,
    /// For each slot: the questions about it and another.
    about: Vec<Vec<usize>>,
    /// For each question, the slots that it is about, by their place in the order.
    depths: Vec<Vec<usize>>,
    /// The questions about each two slots, with whether they look at no third.
    pairs: BTreeMap<(usize, usize), Vec<(usize, bool)>>,
}

/// Which choices a plan is made of.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Breadth {
    /// All of them.
    Whole,
    /// Every slot stays open that may.
    Bare,
}

impl Search<'_, '_> {
    /// Everything that goes with case, dial and movement as far as no two other slots are concerned;
    /// `None` where a slot has nothing left.
    pub(super) fn plan(&mut self, three: [u16; 3], mode: Mode, breadth: Breadth) -> Option<Subproblem> {
        let standard = mode.at_all();
        let chosen = self.with_three(three);
        let base = self.spent(&chosen, standard)?;
        let layout =
            Layout::new(&chosen, self.constraints.constraints.iter().map(|constraint| constraint.scope));
        let undecided = layout.slots.iter().fold(0_u32, |set, slot| set | 1 << slot);
        let mut trial = chosen.clone();
        let mut candidates = Vec::with_capacity(layout.slots.len());
        for slot in layout.slots.iter().copied() {
            // What two slots decide stands in the tables.
            let alone: Vec<usize> = (0..self.constraints.constraints.len())
                .filter(|at| {
                    let scope = self.constraints.constraints[*at].scope;
                    scope & undecided == 1 << slot && bits(scope & self.tables.varied).count() > 2
                })
                .collect();
            let mut own = Vec::new();
            // The first choice of a slot that may stay open is that it does.
            let first = &self.constraints.space.choices[slot][0];
            let count = match breadth == Breadth::Bare && first.part.is_none() {
                true => 1,
                false => self.constraints.space.choices[slot].len(),
            };
            for choice in 0..count as u16 {
                let mut grade = self.tables.beside(slot, choice, &chosen);
                trial[slot] = choice;
                for at in &alone {
                    if !standard.passes(grade) {
                        break;
                    }
                    grade = grade.and(self.constraints.grade(*at, &trial).unwrap_or(Grade::BEST));
                }
                if standard.passes(grade) {
                    own.push(ScoredChoice { choice, grade, cost: self.cost(slot, choice) });
                }
            }
            trial[slot] = UNDECIDED;
            if own.is_empty() {
                return None;
            }
            candidates.push(own);
        }
        let limit = Threshold { standard, most: Penalty::ANY };
        Some(Subproblem::new(layout.into(), chosen, base, limit, candidates))
    }

    /// What of a plan comes up to a limit; `None` where a slot has nothing left.
    pub(super) fn narrowed(&mut self, plan: &Subproblem, limit: Threshold) -> Option<Subproblem> {
        if !limit.standard.passes(plan.base.grade) {
            return None;
        }
        let total = plan.least();
        let keep = |own: &Vec<ScoredChoice>| -> Vec<ScoredChoice> {
            let others = total.less(least(own));
            let goes =
                |one: &&ScoredChoice| limit.standard.passes(one.grade) && limit.allows(others.and(one.cost));
            own.iter().filter(goes).copied().collect()
        };
        let candidates: Vec<Vec<ScoredChoice>> = plan.candidates.iter().map(keep).collect();
        if candidates.iter().any(Vec::is_empty) {
            return None;
        }
        let (layout, chosen) = (plan.layout.clone(), plan.chosen.clone());
        let mut plan = Subproblem::new(layout, chosen, plan.base, limit, candidates);
        if !self.range_off(&mut plan) || !self.pair_off(&mut plan) {
            return None;
        }
        plan.look_ahead();
        Some(plan)
    }

    /// Leaves out of each slot what does not go whatever is chosen of the others, by the ranges of what
    /// is left there, until nothing more falls out; `false` where a slot has nothing left.
    fn range_off(&mut self, plan: &mut Subproblem) -> bool {
        let layout = plan.layout.clone();
        let mut trial = plan.chosen.clone();
        let mut waiting: BTreeSet<usize> = (0..layout.slots.len()).collect();
        while let Some(depth) = waiting.pop_first() {
            let slot = layout.slots[depth];
            let mut own = std::mem::take(&mut plan.candidates[depth]);
            let before = own.len();
            own.retain(|candidate| {
                trial[slot] = candidate.choice;
                let mut grade = candidate.grade;
                layout.about[depth].iter().all(|at| {
                    grade = grade.and(self.constraints.bound(*at, &trial, &mut plan.open));
                    plan.limit.standard.passes(grade)
                })
            });
            trial[slot] = UNDECIDED;
            if own.is_empty() {
                return false;
            }
            if own.len() < before {
                plan.open.keep(slot, choices(&own));
                waiting.extend(layout.about[depth].iter().flat_map(|at| &layout.depths[*at]));
                waiting.remove(&depth);
            }
            plan.candidates[depth] = own;
        }
        true
    }

    /// The same by what goes with nothing in some other slot.
    fn pair_off(&mut self, plan: &mut Subproblem) -> bool {
        let layout = plan.layout.clone();
        let mut trial = plan.chosen.clone();
        let mut waiting: BTreeSet<(usize, usize)> = layout.pairs.keys().copied().collect();
        while let Some((one, other)) = waiting.pop_first() {
            let about = &layout.pairs[&(one, other)];
            let (slot, with) = (layout.slots[one], layout.slots[other]);
            let mut own = std::mem::take(&mut plan.candidates[one]);
            let before = own.len();
            own.retain(|candidate| {
                trial[slot] = candidate.choice;
                let goes = plan.candidates[other].iter().any(|partner| {
                    trial[with] = partner.choice;
                    let mut grade = candidate.grade.and(partner.grade);
                    about.iter().all(|(at, alone)| {
                        grade = grade.and(match alone {
                            true => self.constraints.grade(*at, &trial).unwrap_or(Grade::BEST),
                            false => self.constraints.bound(*at, &trial, &mut plan.open),
                        });
                        plan.limit.standard.passes(grade)
                    })
                });
                trial[with] = UNDECIDED;
                goes
            });
            trial[slot] = UNDECIDED;
            if own.is_empty() {
                return false;
            }
            if own.len() < before {
                waiting.extend(layout.pairs.keys().filter(|(_, with)| *with == one));
            }
            plan.candidates[one] = own;
        }
        for (slot, own) in layout.slots.iter().zip(&plan.candidates) {
            plan.open.keep(*slot, choices(own));
        }
        true
    }
}

fn choices(candidates: &[ScoredChoice]) -> Vec<u16> {
    candidates.iter().map(|candidate| candidate.choice).collect()
}

/// The least that any of them costs.
fn least(candidates: &[ScoredChoice]) -> Penalty {
    candidates.iter().map(|one| one.cost).reduce(Penalty::least).unwrap_or(Penalty::NOTHING)
}

impl Layout {
    fn new(chosen: &[u16], scopes: impl Iterator<Item = u32>) -> Layout {
        let slots: Vec<usize> = (0..chosen.len()).filter(|slot| chosen[*slot] == UNDECIDED).collect();
        let depths: Vec<Vec<usize>> = scopes
            .map(|scope| (0..slots.len()).filter(|depth| scope & 1 << slots[*depth] != 0).collect())
            .collect();
        let mut layout = Layout {
            settled: vec![Vec::new(); slots.len()],
            left: vec![Vec::new(); slots.len()],
            about: vec![Vec::new(); slots.len()],
            pairs: BTreeMap::new(),
            slots,
            depths: Vec::new(),
        };
        for (at, own) in depths.iter().enumerate().filter(|(_, own)| own.len() > 1) {
            for one in own.iter().copied() {
                let last = own.last() == Some(&one);
                let asked = if last { &mut layout.settled } else { &mut layout.left };
                asked[one].push(at);
                layout.about[one].push(at);
                for other in own.iter().filter(|other| **other != one) {
                    layout.pairs.entry((one, *other)).or_default().push((at, own.len() == 2));
                }
            }
        }
        layout.pairs.values_mut().for_each(|about| about.sort_by_key(|(_, alone)| Reverse(*alone)));
        Layout { depths, ..layout }
    }
}

impl Subproblem {
    fn new(
        layout: Rc<Layout>,
        chosen: Vec<u16>,
        base: Partial,
        limit: Threshold,
        candidates: Vec<Vec<ScoredChoice>>,
    ) -> Subproblem {
        let mut open = vec![Rc::default(); chosen.len()];
        for (slot, own) in layout.slots.iter().zip(&candidates) {
            open[*slot] = Domain::new(choices(own)).into();
        }
        let mut plan = Subproblem {
            layout,
            chosen,
            base,
            limit,
            candidates,
            open: Domains::new(open),
            rest: Vec::new(),
        };
        plan.look_ahead();
        plan
    }

    /// The least that a filling could cost.
    pub(super) fn least(&self) -> Penalty {
        self.candidates.iter().map(|own| least(own)).fold(self.base.cost, Penalty::and)
    }

    fn look_ahead(&mut self) {
        let mut rest = vec![Penalty::NOTHING];
        for own in self.candidates.iter().rev() {
            rest.push(rest[rest.len() - 1].and(least(own)));
        }
        rest.reverse();
        self.rest = rest;
    }

    /// Whether a branch that has filled the slots before `depth` could still come up to the limit.
    pub(super) fn promises(&self, depth: usize, spent: Partial) -> bool {
        self.limit.standard.passes(spent.grade) && self.limit.allows(spent.cost.and(self.rest[depth]))
    }

    /// The most promising first.
    pub(super) fn by_worth(&mut self) {
        for own in &mut self.candidates {
            own.sort_by_key(|one| (one.cost, Reverse(one.grade.ease()), one.choice));
        }
    }

    /// In the order of ids.
    pub(super) fn by_id(&mut self) {
        for own in &mut self.candidates {
            own.sort_by_key(|one| one.choice);
        }
    }
}
