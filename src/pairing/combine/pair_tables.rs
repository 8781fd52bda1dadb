//! What one part, or two together, already decide.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicBool, Ordering};

use crate::fit::nominal::Grade;
use crate::journal::Slot;

use super::constraint_set::Constraints;
use super::search_space::{UNDECIDED, bits};

/// The grades of single choices and of pairs, from the questions that look at no more.
pub(super) struct PairTables {
    /// What is settled before anything is chosen.
    pub(super) nothing: Grade,
    /// Per slot and choice.
    pub(super) single: Vec<Vec<Grade>>,
    /// Per slot and slot of a lower number, where some question is about the two.
    pairs: Vec<Vec<Option<Pair>>>,
    /// The slots that each slot shares such a question with.
    partners: Vec<Vec<usize>>,
    /// The slots with more than one choice, as bits.
    pub(super) varied: u32,
    /// Slots with one choice hold it; all others are undecided.
    pub(super) start: Vec<u16>,
}

/// The grades of two slots' choices together.
pub(super) struct Pair {
    grades: Vec<Grade>,
    width: usize,
    /// How many pairs foul, by the first check that says so.
    fouls: BTreeMap<&'static str, u64>,
}

/// What a slot's choices, or two slots' together, rule out.
#[derive(Clone, Debug)]
pub struct RuledOut {
    /// The slots.
    pub slots: Vec<Slot>,
    /// How many choices or pairs of them foul, by the first check that says so.
    pub by: Vec<(&'static str, u64)>,
    /// How many there are.
    pub of: u64,
}

impl Pair {
    fn grade(&self, one: u16, other: u16) -> Grade {
        self.grades[usize::from(one) * self.width + usize::from(other)]
    }
}

impl PairTables {
    /// Works them out; where that is stopped, as far as it came.
    pub(super) fn new(constraints: &mut Constraints<'_>, stop: &AtomicBool) -> (PairTables, Vec<RuledOut>) {
        let space = constraints.space;
        let count = space.slots.len();
        let varied =
            (0..count).filter(|slot| space.choices[*slot].len() > 1).fold(0, |set, slot| set | 1 << slot);
        let start: Vec<u16> =
            (0..count).map(|slot| if space.choices[slot].len() == 1 { 0 } else { UNDECIDED }).collect();
        let mut tables = PairTables {
            nothing: Grade::BEST,
            single: space.choices.iter().map(|choices| vec![Grade::BEST; choices.len()]).collect(),
            pairs: (0..count).map(|slot| (0..slot).map(|_| None).collect()).collect(),
            partners: vec![Vec::new(); count],
            varied,
            start: start.clone(),
        };
        let mut alone: Vec<BTreeMap<&'static str, u64>> = vec![BTreeMap::new(); count];
        for at in 0..constraints.constraints.len() {
            if stop.load(Ordering::Relaxed) {
                break;
            }
            let slots: Vec<usize> = bits(constraints.constraints[at].scope & varied).collect();
            let name = constraints.constraints[at].name();
            let mut chosen = start.clone();
            match slots[..] {
                [] => {
                    tables.nothing =
                        tables.nothing.and(constraints.grade(at, &chosen).unwrap_or(Grade::BEST));
                }
                [slot] => {
                    for choice in 0..space.choices[slot].len() {
                        chosen[slot] = choice as u16;
                        let grade = constraints.grade(at, &chosen).unwrap_or(Grade::BEST);
                        let so_far = &mut tables.single[slot][choice];
                        if grade == Grade::Fouls && *so_far != Grade::Fouls {
                            *alone[slot].entry(name).or_default() += 1;
                        }
                        *so_far = so_far.and(grade);
                    }
                }
                [one, other] => {
                    let (height, width) = (space.choices[one].len(), space.choices[other].len());
                    let pair = tables.pairs[other][one].get_or_insert_with(|| {
                        tables.partners[one].push(other);
                        tables.partners[other].push(one);
                        Pair { grades: vec![Grade::BEST; height * width], width, fouls: BTreeMap::new() }
                    });
                    for (row, grades) in pair.grades.chunks_mut(width).enumerate() {
                        chosen[one] = row as u16;
                        for (column, so_far) in grades.iter_mut().enumerate() {
                            if *so_far == Grade::Fouls {
                                continue;
                            }
                            chosen[other] = column as u16;
                            let grade = constraints.grade(at, &chosen).unwrap_or(Grade::BEST);
                            if grade == Grade::Fouls {
                                *pair.fouls.entry(name).or_default() += 1;
                            }
                            *so_far = so_far.and(grade);
                        }
                    }
                }
                _ => {}
            }
        }
        let ruled = tables.ruled(constraints, &alone);
        (tables, ruled)
    }

    /// What was ruled out, for people: the most first.
    fn ruled(&self, constraints: &Constraints<'_>, alone: &[BTreeMap<&'static str, u64>]) -> Vec<RuledOut> {
        let space = constraints.space;
        let sorted = |by: &BTreeMap<&'static str, u64>| {
            let mut by: Vec<(&'static str, u64)> = by.iter().map(|(name, count)| (*name, *count)).collect();
            by.sort_by_key(|(name, count)| (std::cmp::Reverse(*count), *name));
            by
        };
        let mut out: Vec<RuledOut> = Vec::new();
        for (slot, by) in alone.iter().enumerate().filter(|(_, by)| !by.is_empty()) {
            let of = space.choices[slot].len() as u64;
            out.push(RuledOut { slots: vec![space.slots[slot]], by: sorted(by), of });
        }
        for (other, pairs) in self.pairs.iter().enumerate() {
            for (one, pair) in pairs.iter().enumerate() {
                let Some(pair) = pair.as_ref().filter(|pair| !pair.fouls.is_empty()) else { continue };
                let of = pair.grades.len() as u64;
                out.push(RuledOut {
                    slots: vec![space.slots[one], space.slots[other]],
                    by: sorted(&pair.fouls),
                    of,
                });
            }
        }
        let share =
            |ruled: &RuledOut| ruled.by.iter().map(|(_, count)| *count as f64).sum::<f64>() / ruled.of as f64;
        out.sort_by(|a, b| share(b).total_cmp(&share(a)).then_with(|| a.slots.cmp(&b.slots)));
        out
    }

    /// The grade that a choice has with one of another slot, as far as the two decide it.
    pub(super) fn together(&self, one: (usize, u16), other: (usize, u16)) -> Grade {
        let (low, high) = if one.0 < other.0 { (one, other) } else { (other, one) };
        match &self.pairs[high.0][low.0] {
            Some(pair) => pair.grade(low.1, high.1),
            None => Grade::BEST,
        }
    }

    /// Whether some question is about just these two slots.
    pub(super) fn are_partners(&self, slot: usize, other: usize) -> bool {
        self.partners[slot].contains(&other)
    }

    /// The grade of a choice beside everything that is chosen.
    pub(super) fn beside(&self, slot: usize, choice: u16, chosen: &[u16]) -> Grade {
        let mut grade = self.single[slot][usize::from(choice)];
        for other in &self.partners[slot] {
            if grade == Grade::Fouls {
                break;
            }
            if chosen[*other] != UNDECIDED {
                grade = grade.and(self.together((slot, choice), (*other, chosen[*other])));
            }
        }
        grade
    }
}
