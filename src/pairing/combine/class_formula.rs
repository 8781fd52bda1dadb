//! What a check says of all combinations of some classes: its formulas, and where their terms come from.

use crate::fit::interval::Interval;
use crate::fit::nominal::{Grade, Leaf, Leaves, Measure, Work};

use super::search_space::UNDECIDED;

/// What it says of all combinations of some classes.
pub(super) struct ClassFormula {
    pub(super) fixed: Grade,
    pub(super) measures: Vec<(Measure, Vec<TermSource>)>,
}

/// Where the size of a term comes from.
#[derive(Clone, Copy)]
pub(super) enum TermSource {
    /// The choice of a slot, from a column of sizes.
    Column { slot: usize, column: usize },
    /// The formula itself.
    Own(Leaf),
}

impl ClassFormula {
    /// The grade of a combination of these classes.
    pub(super) fn grade(
        &self,
        chosen: &[u16],
        sizes: &[Vec<Vec<Leaf>>],
        leaves: &mut Vec<Leaf>,
        work: &mut Work,
    ) -> Grade {
        let mut grade = self.fixed;
        for (measure, sources) in &self.measures {
            if grade == Grade::Fouls {
                break;
            }
            leaves.clear();
            leaves.extend(sources.iter().map(|source| match *source {
                TermSource::Own(leaf) => leaf,
                TermSource::Column { slot, column } => sizes[slot][column][usize::from(chosen[slot])],
            }));
            grade = grade.and(measure.grade(leaves, work));
        }
        grade
    }

    /// The best grade of these classes, where `spread` is the range of a slot's column over what is still
    /// left of an undecided slot.
    pub(super) fn bound(
        &self,
        chosen: &[u16],
        sizes: &[Vec<Vec<Leaf>>],
        spread: impl Fn(usize, usize, &[Leaf]) -> Leaves,
        (ranges, work): (&mut Vec<Leaves>, &mut Work),
    ) -> Grade {
        let mut grade = self.fixed;
        for (measure, sources) in &self.measures {
            if grade == Grade::Fouls {
                break;
            }
            ranges.clear();
            for source in sources {
                ranges.push(match *source {
                    TermSource::Own(leaf) => spread_of(std::iter::once(leaf)),
                    TermSource::Column { slot, column } => {
                        let sizes = &sizes[slot][column];
                        match chosen[slot] {
                            UNDECIDED => spread(slot, column, sizes),
                            choice => spread_of(std::iter::once(sizes[usize::from(choice)])),
                        }
                    }
                });
            }
            grade = grade.and(measure.bound(ranges, work));
        }
        grade
    }
}

/// The ranges that some sizes span.
pub(super) fn spread_of(leaves: impl Iterator<Item = Leaf>) -> Leaves {
    let (mut least, mut most) = (f64::INFINITY, f64::NEG_INFINITY);
    let (mut calm, mut wild) = (f64::INFINITY, 0.0_f64);
    for leaf in leaves {
        least = least.min(leaf.value);
        most = most.max(leaf.value);
        calm = calm.min(leaf.variance);
        wild = wild.max(leaf.variance);
    }
    Leaves { values: Interval::new(least, most), variance: (calm, wild) }
}
