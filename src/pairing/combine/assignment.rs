//! Choices for every slot, what they come to, and what they must come up to.

use std::cmp::Reverse;

use crate::fit::nominal::{Ease, Grade};

/// A whole combination.
#[derive(Clone, Debug)]
pub(super) struct Assignment {
    /// The choice of every slot.
    pub(super) chosen: Vec<u16>,
    /// What it comes to.
    pub(super) grade: Grade,
    /// The least ease.
    pub(super) ease: Ease,
    /// What it costs.
    pub(super) cost: Penalty,
}

/// What a combination costs, the less the better: first its alterations, then the slots that it leaves
/// open for which a part is to be found.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) struct Penalty {
    pub(super) steps: usize,
    pub(super) missed: usize,
}

/// What a branch has come to.
#[derive(Clone, Copy)]
pub(super) struct Partial {
    pub(super) cost: Penalty,
    pub(super) grade: Grade,
}

/// What a filling must come up to.
#[derive(Clone, Copy)]
pub(super) struct Threshold {
    pub(super) standard: Standard,
    /// The most alterations, and the most slots left open.
    pub(super) most: Penalty,
}

impl Penalty {
    pub(super) const NOTHING: Penalty = Penalty { steps: 0, missed: 0 };
    pub(super) const ANY: Penalty = Penalty { steps: usize::MAX, missed: usize::MAX };

    pub(super) fn and(self, other: Penalty) -> Penalty {
        Penalty { steps: self.steps + other.steps, missed: self.missed + other.missed }
    }

    /// Without what is in it already.
    pub(super) fn less(self, part: Penalty) -> Penalty {
        Penalty { steps: self.steps - part.steps, missed: self.missed - part.missed }
    }

    /// The less of each.
    pub(super) fn least(self, other: Penalty) -> Penalty {
        Penalty { steps: self.steps.min(other.steps), missed: self.missed.min(other.missed) }
    }
}

impl Partial {
    pub(super) const NOTHING: Partial = Partial { cost: Penalty::NOTHING, grade: Grade::BEST };

    pub(super) fn with(self, candidate: ScoredChoice) -> Partial {
        Partial { cost: self.cost.and(candidate.cost), grade: self.grade.and(candidate.grade) }
    }
}

impl Threshold {
    pub(super) fn allows(self, cost: Penalty) -> bool {
        cost.steps <= self.most.steps && cost.missed <= self.most.missed
    }
}

impl Assignment {
    /// The order of the results: fewest alterations, most ease, then ids.
    pub(super) fn order(&self) -> (usize, Reverse<Ease>, &[u16]) {
        (self.cost.steps, Reverse(self.ease), &self.chosen)
    }
}

/// A choice of a slot, with what it comes to beside case, dial and movement.
#[derive(Clone, Copy)]
pub(super) struct ScoredChoice {
    pub(super) choice: u16,
    pub(super) grade: Grade,
    pub(super) cost: Penalty,
}

/// Whether what is not measured is let pass.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Mode {
    /// Everything that is asked must be known.
    Measured,
    /// What is not known may be.
    Unmeasured,
}

/// What a grade must come to for a branch to be followed.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Standard {
    pub(super) mode: Mode,
    pub(super) ease: Ease,
}

impl Mode {
    pub(super) fn passes(self, grade: Grade) -> bool {
        match grade {
            Grade::Fouls => false,
            Grade::Unmeasured(_) => self == Mode::Unmeasured,
            Grade::Goes(_) => true,
        }
    }

    /// Whatever its ease.
    pub(super) fn at_all(self) -> Standard {
        Standard { mode: self, ease: Ease::LEAST }
    }
}

impl Standard {
    pub(super) fn passes(self, grade: Grade) -> bool {
        self.mode.passes(grade) && grade.ease() >= self.ease
    }
}
