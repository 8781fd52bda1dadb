//! One case, dial and movement, filled with everything else.
//!
//! Depth first over the other slots. A branch is left as soon as what it could still become is no
//! better than what was found: the ranges of all that is not chosen yet say what it could become.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use crate::fit::nominal::{Ease, Grade};

use super::open::Open;
use super::probe::{UNDECIDED, bits};
use super::search::{Mode, Search, Standard};

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
    /// Any worth better than one that is known.
    Better(Option<Worth>, Option<Worth>),
    /// The first in the order of ids that is worth so much.
    First(Worth, Option<Filled>),
    /// All there are.
    Every(Vec<Filled>),
}

/// The slots to fill and what can fill them.
struct Plan {
    standard: Standard,
    /// The slots, in order.
    slots: Vec<usize>,
    /// What is left for each, by worth for a search for something better, else by id.
    candidates: Vec<Vec<Candidate>>,
    /// From each slot on, the least that a branch comes to yet.
    rest: Vec<Spent>,
    /// For each slot: the questions that it settles, and those that it leaves to later slots.
    settled: Vec<Vec<usize>>,
    left: Vec<Vec<usize>>,
}

/// A choice of a slot, with what it comes to beside case, dial and movement.
#[derive(Clone, Copy)]
struct Candidate {
    choice: u16,
    grade: Grade,
    /// Its alterations, and whether it leaves the slot open for a part that is to be found.
    steps: usize,
    missed: usize,
}

/// What a branch has come to: its alterations, the slots it leaves open, its grade.
#[derive(Clone, Copy)]
struct Spent {
    steps: usize,
    missed: usize,
    grade: Grade,
}

impl Spent {
    const NOTHING: Spent = Spent { steps: 0, missed: 0, grade: Grade::BEST };

    fn and(self, other: Spent) -> Spent {
        Spent {
            steps: self.steps + other.steps,
            missed: self.missed + other.missed,
            grade: self.grade.and(other.grade),
        }
    }

    fn with(self, candidate: Candidate) -> Spent {
        self.and(Spent { steps: candidate.steps, missed: candidate.missed, grade: candidate.grade })
    }

    fn worth(self) -> Worth {
        (self.steps, self.missed, Reverse(self.grade.ease()))
    }
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
    /// The best filling; `None` where there is none that comes up to the standard. Where one comes up to
    /// it, a better one is told though it falls short: with fewer alterations or slots left open.
    pub(super) fn fill(&mut self, three: [u16; 3], standard: Standard) -> Option<Filled> {
        let fewest = (self.steps(three), 0);
        let mut worth = self.better(three, standard, None)?;
        // Fewer alterations and open slots come before more ease.
        let wide = standard.mode.at_all();
        while (worth.0, worth.1) > fewest {
            let Some(fewer) = self.better(three, wide, Some((worth.0, worth.1, Reverse(Ease::MOST)))) else {
                break;
            };
            worth = fewer;
        }
        // With a higher standard more falls out before anything is tried.
        while worth.2.0 < Ease::MOST {
            let higher = Standard { ease: Ease(worth.2.0.0 + 1), ..standard };
            let Some(better) = self.better(three, higher, Some(worth)) else { break };
            worth = better;
        }
        let Reverse(ease) = worth.2;
        self.first(three, Standard { ease, ..standard }, worth)
    }

    /// Whether there is a filling with everything known.
    pub(super) fn goes(&mut self, three: [u16; 3]) -> bool {
        self.better(three, Mode::Measured.at_all(), None).is_some()
    }

    /// The worth of a filling that is better than one that is known.
    fn better(&mut self, three: [u16; 3], standard: Standard, known: Option<Worth>) -> Option<Worth> {
        let mut chosen = self.with_three(three);
        let base = self.settled_by_three(&chosen, standard)?;
        let (mut plan, mut open) = self.plan(&chosen, standard)?;
        plan.by_worth();
        let mut goal = Goal::Better(known, None);
        self.descend(&plan, &mut open, &mut chosen, (0, base), &mut goal);
        match goal {
            Goal::Better(_, found) => found,
            _ => None,
        }
    }

    /// The first filling in the order of ids that is worth so much.
    fn first(&mut self, three: [u16; 3], standard: Standard, worth: Worth) -> Option<Filled> {
        let mut chosen = self.with_three(three);
        let base = self.settled_by_three(&chosen, standard)?;
        let (plan, mut open) = self.plan(&chosen, standard)?;
        let mut goal = Goal::First(worth, None);
        self.descend(&plan, &mut open, &mut chosen, (0, base), &mut goal);
        match goal {
            Goal::First(_, first) => first,
            _ => None,
        }
    }

    /// Every filling.
    pub(super) fn all(&mut self, three: [u16; 3], mode: Mode) -> Vec<Filled> {
        let mut chosen = self.with_three(three);
        let standard = mode.at_all();
        let Some(base) = self.settled_by_three(&chosen, standard) else { return Vec::new() };
        let Some((plan, mut open)) = self.plan(&chosen, standard) else { return Vec::new() };
        let mut goal = Goal::Every(Vec::new());
        self.descend(&plan, &mut open, &mut chosen, (0, base), &mut goal);
        match goal {
            Goal::Every(found) => found,
            _ => Vec::new(),
        }
    }

    /// What case, dial and movement come to by themselves; `None` where that falls short.
    fn settled_by_three(&mut self, chosen: &[u16], standard: Standard) -> Option<Spent> {
        let mut spent = Spent::NOTHING;
        for (slot, at) in chosen.iter().enumerate().filter(|(_, at)| **at != UNDECIDED) {
            spent = spent.with(self.candidate(slot, *at, Grade::BEST));
        }
        for at in 0..self.probes.probes.len() {
            let mut scope = bits(self.probes.probes[at].scope);
            if scope.all(|slot| chosen[slot] != UNDECIDED) {
                spent.grade = spent.grade.and(self.probes.grade(at, chosen).unwrap_or(Grade::BEST));
                if !standard.passes(spent.grade) {
                    return None;
                }
            }
        }
        Some(spent)
    }

    fn candidate(&self, slot: usize, choice: u16, grade: Grade) -> Candidate {
        let bin = self.probes.bin;
        let own = &bin.choices[slot][usize::from(choice)];
        let missed = usize::from(own.part.is_none() && bin.is_missed(slot));
        Candidate { choice, grade, steps: own.steps.len(), missed }
    }

    fn plan(&mut self, chosen: &[u16], standard: Standard) -> Option<(Plan, Open)> {
        let mut open = self.domains(chosen, standard)?;
        let slots: Vec<usize> = (0..chosen.len()).filter(|slot| chosen[*slot] == UNDECIDED).collect();
        let undecided = slots.iter().fold(0_u32, |set, slot| set | 1 << slot);
        let scopes: Vec<u32> = self.probes.probes.iter().map(|probe| probe.scope & undecided).collect();
        let mut plan = Plan {
            standard,
            candidates: Vec::new(),
            rest: Vec::new(),
            settled: vec![Vec::new(); slots.len()],
            left: vec![Vec::new(); slots.len()],
            slots,
        };
        let mut trial = chosen.to_vec();
        for (depth, slot) in plan.slots.iter().copied().enumerate() {
            let alone: Vec<usize> = (0..scopes.len()).filter(|at| scopes[*at] == 1 << slot).collect();
            let mut candidates = Vec::new();
            for choice in open.of(slot) {
                trial[slot] = *choice;
                let mut grade = Grade::BEST;
                for at in &alone {
                    if !standard.passes(grade) {
                        break;
                    }
                    grade = grade.and(self.probes.grade(*at, &trial).unwrap_or(Grade::BEST));
                }
                if standard.passes(grade) {
                    candidates.push(self.candidate(slot, *choice, grade));
                }
            }
            trial[slot] = UNDECIDED;
            if candidates.is_empty() {
                return None;
            }
            plan.candidates.push(candidates);
            for (at, scope) in scopes.iter().enumerate() {
                if scope & 1 << slot != 0 && bits(*scope).count() > 1 {
                    let last = bits(*scope).max() == Some(slot);
                    if last { plan.settled[depth].push(at) } else { plan.left[depth].push(at) }
                }
            }
        }
        if !self.pair_off(&mut plan, &mut open, &scopes, &mut trial) {
            return None;
        }
        plan.look_ahead();
        Some((plan, open))
    }

    /// Leaves out of each slot what goes with nothing in some other slot, until nothing more falls out;
    /// `false` where a slot has nothing left.
    fn pair_off(&mut self, plan: &mut Plan, open: &mut Open, scopes: &[u32], trial: &mut [u16]) -> bool {
        plan.narrow(open);
        if !self.range_off(plan, open, scopes, trial) {
            return false;
        }
        // The questions about each two slots, with whether they look at no third.
        let mut pairs: BTreeMap<(usize, usize), Vec<(usize, bool)>> = BTreeMap::new();
        for (at, scope) in scopes.iter().enumerate() {
            let depths: Vec<usize> =
                bits(*scope).filter_map(|slot| plan.slots.iter().position(|own| *own == slot)).collect();
            for one in &depths {
                for other in depths.iter().filter(|other| *other != one) {
                    pairs.entry((*one, *other)).or_default().push((at, depths.len() == 2));
                }
            }
        }
        pairs.values_mut().for_each(|about| about.sort_by_key(|(_, alone)| Reverse(*alone)));
        let mut waiting: BTreeSet<(usize, usize)> = pairs.keys().copied().collect();
        while let Some((one, other)) = waiting.pop_first() {
            let about = &pairs[&(one, other)];
            let (slot, with) = (plan.slots[one], plan.slots[other]);
            let mut own = std::mem::take(&mut plan.candidates[one]);
            let before = own.len();
            own.retain(|candidate| {
                trial[slot] = candidate.choice;
                let goes = plan.candidates[other].iter().any(|partner| {
                    trial[with] = partner.choice;
                    let mut grade = candidate.grade.and(partner.grade);
                    about.iter().all(|(at, alone)| {
                        grade = grade.and(match alone {
                            true => self.probes.grade(*at, trial).unwrap_or(Grade::BEST),
                            false => self.probes.bound(*at, trial, open),
                        });
                        plan.standard.passes(grade)
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
                waiting.extend(pairs.keys().filter(|(_, with)| *with == one));
            }
            plan.candidates[one] = own;
        }
        plan.narrow(open);
        true
    }

    /// The same by the ranges of what is left in all other slots: less falls out, and sooner.
    fn range_off(&mut self, plan: &mut Plan, open: &mut Open, scopes: &[u32], trial: &mut [u16]) -> bool {
        let mut waiting: BTreeSet<usize> = (0..plan.slots.len()).collect();
        while let Some(depth) = waiting.pop_first() {
            let slot = plan.slots[depth];
            let about: Vec<usize> = (0..scopes.len())
                .filter(|at| scopes[*at] & 1 << slot != 0 && scopes[*at] != 1 << slot)
                .collect();
            let mut own = std::mem::take(&mut plan.candidates[depth]);
            let before = own.len();
            own.retain(|candidate| {
                trial[slot] = candidate.choice;
                let mut grade = candidate.grade;
                about.iter().all(|at| {
                    grade = grade.and(self.probes.bound(*at, trial, open));
                    plan.standard.passes(grade)
                })
            });
            trial[slot] = UNDECIDED;
            if own.is_empty() {
                return false;
            }
            if own.len() < before {
                open.keep(slot, own.iter().map(|candidate| candidate.choice).collect());
                let touched = about.iter().fold(0, |set, at| set | scopes[*at]);
                waiting.extend((0..plan.slots.len()).filter(|other| touched & 1 << plan.slots[*other] != 0));
                waiting.remove(&depth);
            }
            plan.candidates[depth] = own;
        }
        true
    }

    /// Fills the slots from `depth` on; `true` where the search is at its end.
    fn descend(
        &mut self,
        plan: &Plan,
        open: &mut Open,
        chosen: &mut Vec<u16>,
        (depth, spent): (usize, Spent),
        goal: &mut Goal,
    ) -> bool {
        if self.stopped() {
            return true;
        }
        if depth == plan.slots.len() {
            return self.arrive(chosen, plan.standard, goal);
        }
        let slot = plan.slots[depth];
        for candidate in &plan.candidates[depth] {
            let mut spent = spent.with(*candidate);
            let promises = |spent, goal: &Goal| plan.promises(depth + 1, spent, goal);
            if !promises(spent, goal) || !self.is_left(slot, candidate.choice, chosen) {
                continue;
            }
            chosen[slot] = candidate.choice;
            for at in &plan.settled[depth] {
                spent.grade = spent.grade.and(self.probes.grade(*at, chosen).unwrap_or(Grade::BEST));
                if !promises(spent, goal) {
                    break;
                }
            }
            let mut could = spent;
            for at in &plan.left[depth] {
                if !promises(could, goal) {
                    break;
                }
                could.grade = could.grade.and(self.probes.bound(*at, chosen, open));
            }
            let ended = promises(could, goal) && self.descend(plan, open, chosen, (depth + 1, spent), goal);
            chosen[slot] = UNDECIDED;
            if ended {
                return true;
            }
        }
        false
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
    fn arrive(&mut self, chosen: &[u16], standard: Standard, goal: &mut Goal) -> bool {
        let bin = self.probes.bin;
        let here = |spare: usize| {
            chosen.iter().enumerate().any(|(slot, at)| bin.choices[slot][usize::from(*at)].spare == spare)
        };
        if !self.must.iter().all(|spare| here(*spare)) {
            return false;
        }
        let mut spent = Spent::NOTHING;
        for (slot, at) in chosen.iter().enumerate() {
            spent = spent.with(self.candidate(slot, *at, Grade::BEST));
        }
        for at in 0..self.probes.probes.len() {
            spent.grade = spent.grade.and(self.probes.grade(at, chosen).unwrap_or(Grade::Fouls));
            if !standard.passes(spent.grade) {
                return false;
            }
        }
        let Spent { steps: alterations, missed, grade } = spent;
        let filled = Filled { chosen: chosen.to_vec(), grade, ease: grade.ease(), alterations, missed };
        let worth = filled.worth();
        match goal {
            Goal::Better(known, found) => {
                let better = known.is_none_or(|known| worth < known);
                if better {
                    *found = Some(worth);
                }
                better
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
    /// Leaves no more open than the candidates.
    fn narrow(&self, open: &mut Open) {
        for (slot, candidates) in self.slots.iter().zip(&self.candidates) {
            open.keep(*slot, candidates.iter().map(|candidate| candidate.choice).collect());
        }
    }

    fn look_ahead(&mut self) {
        let mut rest = vec![Spent::NOTHING];
        for candidates in self.candidates.iter().rev() {
            let least = |count: fn(&Candidate) -> usize| candidates.iter().map(count).min().unwrap_or(0);
            let steps = least(|candidate| candidate.steps);
            let missed = least(|candidate| candidate.missed);
            let ease = candidates.iter().map(|candidate| candidate.grade.ease()).max().unwrap_or(Ease::MOST);
            rest.push(rest[rest.len() - 1].and(Spent { steps, missed, grade: Grade::Goes(ease) }));
        }
        rest.reverse();
        self.rest = rest;
    }

    /// Whether a branch that has filled the slots before `depth` could still become what is looked for.
    fn promises(&self, depth: usize, spent: Spent, goal: &Goal) -> bool {
        if !self.standard.passes(spent.grade) {
            return false;
        }
        let could = || spent.and(self.rest[depth]).worth();
        match goal {
            Goal::Better(Some(known), _) => could() < *known,
            Goal::First(worth, _) => could() <= *worth,
            Goal::Better(None, _) | Goal::Every(_) => true,
        }
    }

    /// The most promising first.
    fn by_worth(&mut self) {
        for candidates in &mut self.candidates {
            candidates.sort_by_key(|one| (one.steps, one.missed, Reverse(one.grade.ease()), one.choice));
        }
    }
}
