//! One case, dial and movement, filled with everything else.
//!
//! Depth first over the other slots. A branch is left as soon as what it could still become is no
//! better than what was found: the ranges of all that is not chosen yet say what it could become.

use std::cmp::Reverse;

use crate::fit::nominal::{Ease, Grade};

use super::probe::{UNDECIDED, bits};
use super::search::{Mode, Search};

/// A whole combination.
#[derive(Clone, Debug)]
pub(super) struct Filled {
    /// The choice of every slot.
    pub(super) chosen: Vec<u16>,
    /// What it comes to.
    pub(super) grade: Grade,
    /// The least ease.
    pub(super) ease: Ease,
    /// How many alterations it takes.
    pub(super) alterations: usize,
    /// How many slots stay open for which a part is to be found.
    pub(super) missed: usize,
}

/// What makes one filling of a case, a dial and a movement better than another, but for the ids: the
/// less the better.
type Worth = (usize, usize, Reverse<Ease>);

/// What a branch is searched for.
enum Goal {
    /// The best worth there is.
    Best(Option<Worth>),
    /// The first in the order of ids that is worth so much.
    First(Worth, Option<Filled>),
    /// All there are.
    Every(Vec<Filled>),
}

/// The slots to fill and what can fill them.
struct Plan {
    /// The slots, in order.
    slots: Vec<usize>,
    /// What is left for each, with its grade beside case, dial and movement, by worth for a search for
    /// the best, else by id.
    candidates: Vec<Vec<(u16, Grade)>>,
    /// From each slot on: the fewest alterations, the fewest slots left open, the most ease.
    rest: Vec<(usize, usize, Ease)>,
    /// For each slot: the questions that it settles, and those that it leaves to later slots.
    settled: Vec<Vec<usize>>,
    left: Vec<Vec<usize>>,
    /// The candidates by slot, as bounds want them.
    open: Vec<Vec<u16>>,
}

impl Filled {
    /// The order of the results: fewest alterations, most ease, then ids.
    pub(super) fn order(&self) -> (usize, Reverse<Ease>, &[u16]) {
        (self.alterations, Reverse(self.ease), &self.chosen)
    }

    fn worth(&self) -> Worth {
        (self.alterations, self.missed, Reverse(self.ease))
    }
}

impl Search<'_, '_> {
    /// The best filling; `None` where there is none.
    pub(super) fn fill(&mut self, three: [u16; 3], mode: Mode) -> Option<Filled> {
        let mut chosen = self.with_three(three);
        let base = self.settled_by_three(&chosen);
        let mut plan = self.plan(&chosen, mode)?;
        let mut goal = Goal::Best(None);
        plan.by_worth(self);
        self.descend(&plan, 0, &mut chosen, base, mode, &mut goal);
        let Goal::Best(Some(worth)) = goal else { return None };
        let mut goal = Goal::First(worth, None);
        plan.by_id();
        self.descend(&plan, 0, &mut chosen, base, mode, &mut goal);
        match goal {
            Goal::First(_, first) => first,
            _ => None,
        }
    }

    /// Every filling.
    pub(super) fn all(&mut self, three: [u16; 3], mode: Mode) -> Vec<Filled> {
        let mut chosen = self.with_three(three);
        let base = self.settled_by_three(&chosen);
        let Some(plan) = self.plan(&chosen, mode) else { return Vec::new() };
        let mut goal = Goal::Every(Vec::new());
        self.descend(&plan, 0, &mut chosen, base, mode, &mut goal);
        match goal {
            Goal::Every(found) => found,
            _ => Vec::new(),
        }
    }

    /// The grade of all questions that are settled by what is chosen.
    fn settled_by_three(&mut self, chosen: &[u16]) -> Grade {
        let mut grade = Grade::BEST;
        for at in 0..self.probes.probes.len() {
            if grade == Grade::Fouls {
                break;
            }
            let scope = bits(self.probes.probes[at].scope);
            if scope.into_iter().all(|slot| chosen[slot] != UNDECIDED) {
                grade = grade.and(self.probes.grade(at, chosen).unwrap_or(Grade::BEST));
            }
        }
        grade
    }

    fn plan(&mut self, chosen: &[u16], mode: Mode) -> Option<Plan> {
        let open = self.domains(chosen, mode)?;
        let slots: Vec<usize> = (0..chosen.len()).filter(|slot| chosen[*slot] == UNDECIDED).collect();
        let undecided = slots.iter().fold(0_u32, |set, slot| set | 1 << slot);
        let scopes: Vec<u32> = self.probes.probes.iter().map(|probe| probe.scope & undecided).collect();
        let mut plan = Plan {
            candidates: Vec::new(),
            rest: Vec::new(),
            settled: vec![Vec::new(); slots.len()],
            left: vec![Vec::new(); slots.len()],
            open: vec![Vec::new(); chosen.len()],
            slots,
        };
        let mut trial = chosen.to_vec();
        for (depth, slot) in plan.slots.iter().copied().enumerate() {
            let alone: Vec<usize> = (0..scopes.len()).filter(|at| scopes[*at] == 1 << slot).collect();
            let mut candidates = Vec::new();
            for choice in &open[slot] {
                trial[slot] = *choice;
                let mut grade = Grade::BEST;
                for at in &alone {
                    if !mode.passes(grade) {
                        break;
                    }
                    grade = grade.and(self.probes.grade(*at, &trial).unwrap_or(Grade::BEST));
                }
                if mode.passes(grade) {
                    candidates.push((*choice, grade));
                }
            }
            trial[slot] = UNDECIDED;
            if candidates.is_empty() {
                return None;
            }
            plan.open[slot] = candidates.iter().map(|(choice, _)| *choice).collect();
            plan.candidates.push(candidates);
            for (at, scope) in scopes.iter().enumerate() {
                if scope & 1 << slot != 0 && bits(*scope).count() > 1 {
                    let last = bits(*scope).max() == Some(slot);
                    if last { plan.settled[depth].push(at) } else { plan.left[depth].push(at) }
                }
            }
        }
        plan.look_ahead(self);
        Some(plan)
    }

    /// Fills the slots from `depth` on; `true` where the search is at its end.
    fn descend(
        &mut self,
        plan: &Plan,
        depth: usize,
        chosen: &mut Vec<u16>,
        so_far: Grade,
        mode: Mode,
        goal: &mut Goal,
    ) -> bool {
        if self.stopped() {
            return true;
        }
        if !mode.passes(so_far) || !self.promises(plan, depth, chosen, so_far, goal) {
            return false;
        }
        if depth == plan.slots.len() {
            return self.arrive(chosen, mode, goal);
        }
        let slot = plan.slots[depth];
        for (choice, own) in &plan.candidates[depth] {
            if !self.is_left(slot, *choice, chosen) {
                continue;
            }
            chosen[slot] = *choice;
            let mut grade = so_far.and(*own);
            for at in &plan.settled[depth] {
                if !mode.passes(grade) {
                    break;
                }
                grade = grade.and(self.probes.grade(*at, chosen).unwrap_or(Grade::BEST));
            }
            let mut could = grade;
            if !matches!(goal, Goal::Every(_)) || !plan.left[depth].is_empty() {
                for at in &plan.left[depth] {
                    if !mode.passes(could) {
                        break;
                    }
                    could = could.and(self.probes.bound(*at, chosen, &plan.open));
                }
            }
            let going = mode.passes(could) && self.promises(plan, depth + 1, chosen, could, goal);
            if going && self.descend(plan, depth + 1, chosen, grade, mode, goal) {
                chosen[slot] = UNDECIDED;
                return true;
            }
            chosen[slot] = UNDECIDED;
        }
        false
    }

    /// Whether a branch could still become what is looked for.
    fn promises(&self, plan: &Plan, depth: usize, chosen: &[u16], so_far: Grade, goal: &Goal) -> bool {
        let wanted = match goal {
            Goal::Best(Some(best)) => best,
            Goal::First(worth, _) => worth,
            Goal::Best(None) | Goal::Every(_) => return true,
        };
        let (alterations, missed, ease) = plan.rest[depth];
        let (altered, open) = self.spent(chosen);
        let could: Worth = (altered + alterations, open + missed, Reverse(ease.min(so_far.ease())));
        match goal {
            Goal::Best(_) => could < *wanted,
            _ => could <= *wanted,
        }
    }

    /// The alterations of what is chosen, and the slots left open that leave something to be found.
    fn spent(&self, chosen: &[u16]) -> (usize, usize) {
        let bin = self.probes.bin;
        let (mut altered, mut open) = (0, 0);
        for (slot, at) in chosen.iter().enumerate().filter(|(_, at)| **at != UNDECIDED) {
            let choice = &bin.choices[slot][usize::from(*at)];
            altered += choice.steps.len();
            open += usize::from(choice.part.is_none() && bin.is_missed(slot));
        }
        (altered, open)
    }

    /// Whether a piece of the spare is left that a choice takes.
    fn is_left(&self, slot: usize, choice: u16, chosen: &[u16]) -> bool {
        let bin = self.probes.bin;
        let spare = bin.choices[slot][usize::from(choice)].spare;
        if spare == usize::MAX {
            return true;
        }
        let taken = chosen
            .iter()
            .enumerate()
            .filter(|(other, at)| **at != UNDECIDED && bin.choices[*other][usize::from(**at)].spare == spare);
        taken.count() < bin.pieces[spare]
    }

    /// Asks everything once more of a whole combination, so that no question is left out whatever the
    /// plan took it to look at.
    fn arrive(&mut self, chosen: &[u16], mode: Mode, goal: &mut Goal) -> bool {
        let bin = self.probes.bin;
        let here = |spare: usize| {
            chosen.iter().enumerate().any(|(slot, at)| bin.choices[slot][usize::from(*at)].spare == spare)
        };
        if !self.must.iter().all(|spare| here(*spare)) {
            return false;
        }
        let mut grade = Grade::BEST;
        for at in 0..self.probes.probes.len() {
            grade = grade.and(self.probes.grade(at, chosen).unwrap_or(Grade::Fouls));
            if !mode.passes(grade) {
                return false;
            }
        }
        let (alterations, missed) = self.spent(chosen);
        let filled = Filled { chosen: chosen.to_vec(), grade, ease: grade.ease(), alterations, missed };
        let worth = filled.worth();
        match goal {
            Goal::Best(best) => {
                if best.as_ref().is_none_or(|best| worth < *best) {
                    *best = Some(worth);
                }
                false
            }
            Goal::First(wanted, first) => {
                let reached = worth <= *wanted;
                if reached {
                    *first = Some(filled);
                }
                reached
            }
            Goal::Every(found) => {
                found.push(filled);
                false
            }
        }
    }
}

impl Plan {
    fn look_ahead(&mut self, search: &Search<'_, '_>) {
        let bin = search.probes.bin;
        let mut rest = vec![(0, 0, Ease::MOST)];
        for (slot, candidates) in self.slots.iter().zip(&self.candidates).rev() {
            let (alterations, missed, ease) = rest[rest.len() - 1];
            let choice = |at: &u16| &bin.choices[*slot][usize::from(*at)];
            let steps = candidates.iter().map(|(at, _)| choice(at).steps.len()).min().unwrap_or(0);
            let open = candidates.iter().all(|(at, _)| choice(at).part.is_none()) && bin.is_missed(*slot);
            let most = candidates.iter().map(|(_, grade)| grade.ease()).max().unwrap_or(Ease::MOST);
            rest.push((alterations + steps, missed + usize::from(open), ease.min(most)));
        }
        rest.reverse();
        self.rest = rest;
    }

    /// The most promising first.
    fn by_worth(&mut self, search: &Search<'_, '_>) {
        let bin = search.probes.bin;
        for (slot, candidates) in self.slots.iter().zip(&mut self.candidates) {
            candidates.sort_by_key(|(at, grade)| {
                let choice = &bin.choices[*slot][usize::from(*at)];
                let missed = choice.part.is_none() && bin.is_missed(*slot);
                (choice.steps.len(), missed, Reverse(grade.ease()), *at)
            });
        }
    }

    /// In the order of ids.
    fn by_id(&mut self) {
        self.candidates.iter_mut().for_each(|candidates| candidates.sort_by_key(|(at, _)| *at));
    }
}
