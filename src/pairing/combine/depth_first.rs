//! One case, dial and movement, filled with everything else.
//!
//! Depth first over the other slots, within a limit on what it may cost and a standard that it must
//! come up to: first the least that a filling costs is found, then the most ease at that cost, each time
//! by asking whether there is anything better still, and at last the first by ids that is worth so much.

use crate::fit::nominal::{Ease, Grade};

use super::assignment::{Assignment, Mode, Partial, Penalty, Standard, Threshold};
use super::domains::Domains;
use super::propagation::{Breadth, Subproblem};
use super::search::Search;
use super::search_space::UNDECIDED;

impl Search<'_, '_> {
    /// The best filling of so much cost at most; `None` where there is none that comes up to the
    /// standard.
    pub(super) fn fill(&mut self, three: [u16; 3], limit: Threshold) -> Option<Assignment> {
        let root = self.plan(three, limit.standard.mode, Breadth::Whole)?;
        let mut plan = self.narrowed(&root, limit)?;
        let mut best = self.any(&mut plan)?;
        // With a higher standard more falls out before anything is tried.
        while best.ease < Ease::MOST {
            let standard = Standard { ease: Ease(best.ease.0 + 1), ..limit.standard };
            let Some(mut higher) = self.narrowed(&plan, Threshold { standard, ..limit }) else { break };
            let Some(better) = self.any(&mut higher) else { break };
            (plan, best) = (higher, better);
        }
        let standard = Standard { ease: best.ease, ..limit.standard };
        let mut plan = self.narrowed(&plan, Threshold { standard, ..limit })?;
        plan.by_id();
        // A search that is ended tells what it has.
        self.first(&mut plan).or(Some(best))
    }

    /// The least that any filling costs.
    pub(super) fn fewest(&mut self, three: [u16; 3], mode: Mode) -> Option<Penalty> {
        let root = self.plan(three, mode, Breadth::Whole)?;
        let standard = mode.at_all();
        let mut within = |most: Penalty| -> Option<Penalty> {
            let mut plan = self.narrowed(&root, Threshold { standard, most })?;
            self.any(&mut plan).map(|filled| filled.cost)
        };
        let least = root.least();
        if let Some(cost) = within(least) {
            return Some(cost);
        }
        let mut cost = within(Penalty::ANY)?;
        while cost.steps > least.steps {
            let Some(fewer) = within(Penalty { steps: cost.steps - 1, ..Penalty::ANY }) else { break };
            cost = fewer;
        }
        while cost.missed > least.missed {
            let Some(fewer) = within(Penalty { steps: cost.steps, missed: cost.missed - 1 }) else { break };
            cost = fewer;
        }
        Some(cost)
    }

    /// Whether there is a filling with everything known.
    pub(super) fn goes(&mut self, three: [u16; 3]) -> bool {
        let limit = Threshold { standard: Mode::Measured.at_all(), most: Penalty::ANY };
        // What goes with a movement mostly goes with it in another case too, and under another dial.
        if let Some(mut known) = self.went.get(&three[2]).cloned() {
            self.set_three(&mut known, three);
            if self.arrive(&known, limit).is_some() {
                return true;
            }
        }
        let found = self.some(three, Breadth::Bare).or_else(|| self.some(three, Breadth::Whole));
        found.is_some_and(|filled| {
            self.went.insert(three[2], filled.chosen);
            true
        })
    }

    /// Some filling with everything known, of these choices.
    fn some(&mut self, three: [u16; 3], breadth: Breadth) -> Option<Assignment> {
        let root = self.plan(three, Mode::Measured, breadth)?;
        let mut plan = match breadth {
            // With so little to choose nothing is gained by leaving something out first.
            Breadth::Bare => root,
            Breadth::Whole => self.narrowed(&root, root.limit)?,
        };
        self.any(&mut plan)
    }

    /// Every filling.
    pub(super) fn all(&mut self, three: [u16; 3], mode: Mode, told: &mut dyn FnMut(Assignment)) {
        let Some(root) = self.plan(three, mode, Breadth::Whole) else { return };
        let Some(mut plan) = self.narrowed(&root, root.limit) else { return };
        self.search(&mut plan, &mut |filled| {
            told(filled);
            false
        });
    }

    /// Some filling, most likely a good one.
    fn any(&mut self, plan: &mut Subproblem) -> Option<Assignment> {
        plan.by_worth();
        self.first(plan)
    }

    /// The first filling in the order of the candidates.
    fn first(&mut self, plan: &mut Subproblem) -> Option<Assignment> {
        let mut first = None;
        self.search(plan, &mut |filled| {
            first = Some(filled);
            true
        });
        first
    }

    /// The fillings in the order of the candidates, until one of them is the end.
    fn search(&mut self, plan: &mut Subproblem, arrived: &mut dyn FnMut(Assignment) -> bool) {
        let mut open = std::mem::take(&mut plan.open);
        let mut chosen = plan.chosen.clone();
        self.descend(plan, &mut open, &mut chosen, (0, plan.base), arrived);
        plan.open = open;
    }

    /// Fills the slots from `depth` on; `true` where the search is at its end.
    fn descend(
        &mut self,
        plan: &Subproblem,
        open: &mut Domains,
        chosen: &mut Vec<u16>,
        (depth, spent): (usize, Partial),
        arrived: &mut dyn FnMut(Assignment) -> bool,
    ) -> bool {
        if self.stopped() {
            return true;
        }
        let Some(slot) = plan.layout.slots.get(depth).copied() else {
            return self.arrive(chosen, plan.limit).is_some_and(arrived);
        };
        for candidate in &plan.candidates[depth] {
            let mut spent = spent.with(*candidate);
            if !plan.promises(depth + 1, spent) || !self.is_left(slot, candidate.choice, chosen) {
                continue;
            }
            chosen[slot] = candidate.choice;
            for at in &plan.layout.settled[depth] {
                spent.grade = spent.grade.and(self.constraints.grade(*at, chosen).unwrap_or(Grade::BEST));
                if !plan.limit.standard.passes(spent.grade) {
                    break;
                }
            }
            let mut could = spent.grade;
            for at in &plan.layout.left[depth] {
                if !plan.limit.standard.passes(could) {
                    break;
                }
                could = could.and(self.constraints.bound(*at, chosen, open));
            }
            let ended = plan.limit.standard.passes(could)
                && self.descend(plan, open, chosen, (depth + 1, spent), arrived);
            chosen[slot] = UNDECIDED;
            if ended {
                return true;
            }
        }
        false
    }

    /// Whether a piece of the spare is left that a choice takes.
    fn is_left(&self, slot: usize, choice: u16, chosen: &[u16]) -> bool {
        let space = self.constraints.space;
        let spare = space.choices[slot][usize::from(choice)].spare;
        if spare == usize::MAX {
            return true;
        }
        let taken = chosen.iter().enumerate().filter(|(other, at)| {
            **at != UNDECIDED && space.choices[*other][usize::from(**at)].spare == spare
        });
        taken.count() < space.pieces[spare]
    }

    /// Asks everything once more of a whole combination, so that no question is left out whatever the
    /// plan took it to look at.
    fn arrive(&mut self, chosen: &[u16], limit: Threshold) -> Option<Assignment> {
        let space = self.constraints.space;
        let here = |spare: usize| {
            chosen.iter().enumerate().any(|(slot, at)| space.choices[slot][usize::from(*at)].spare == spare)
        };
        if !self.must.iter().all(|spare| here(*spare)) {
            return None;
        }
        let Partial { cost, grade } = self.spent(chosen, limit.standard)?;
        limit.allows(cost).then(|| Assignment { chosen: chosen.to_vec(), grade, ease: grade.ease(), cost })
    }

    /// What the decided slots come to by themselves; `None` where that falls short.
    pub(super) fn spent(&mut self, chosen: &[u16], standard: Standard) -> Option<Partial> {
        let mut spent = Partial::NOTHING;
        for (slot, at) in chosen.iter().enumerate().filter(|(_, at)| **at != UNDECIDED) {
            spent.cost = spent.cost.and(self.cost(slot, *at));
        }
        for at in 0..self.constraints.constraints.len() {
            // A question about what is not decided yet has no answer.
            if let Some(grade) = self.constraints.grade(at, chosen) {
                spent.grade = spent.grade.and(grade);
                if !standard.passes(spent.grade) {
                    return None;
                }
            }
        }
        Some(spent)
    }

    pub(super) fn cost(&self, slot: usize, choice: u16) -> Penalty {
        let space = self.constraints.space;
        let own = &space.choices[slot][usize::from(choice)];
        Penalty { steps: own.steps.len(), missed: usize::from(own.part.is_none() && space.is_missed(slot)) }
    }
}
