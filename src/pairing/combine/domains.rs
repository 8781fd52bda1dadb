//! What is left to choose of each slot, as bounds look at it: in classes, with the ranges of their sizes.

use std::cell::RefCell;
use std::rc::Rc;

use rustc_hash::FxHashMap;

use crate::fit::nominal::{Leaf, Leaves};

use super::class_formula::spread_of;
use super::constraint::Constraint;

/// The choices that are left of each slot.
#[derive(Default)]
pub(super) struct Domains {
    slots: Vec<Rc<Domain>>,
    /// Of each slot, the group that is looked at.
    at: Vec<usize>,
}

/// Domain of a slot, with what questions made of them: many combinations have the same left.
#[derive(Default)]
pub(super) struct Domain {
    choices: Rc<[u16]>,
    /// By question.
    groups: RefCell<FxHashMap<usize, Partition>>,
}

/// The choices of a slot that one question tells apart.
struct Partition {
    /// What the question had learned by then.
    learned: usize,
    groups: Vec<ClassMembers>,
}

/// Domain that answer a question alike.
struct ClassMembers {
    members: Rc<[u16]>,
    /// The range of each column, once it was asked for.
    spreads: Vec<Option<Leaves>>,
}

impl Domains {
    /// With what is left of each slot.
    pub(super) fn new(slots: Vec<Rc<Domain>>) -> Domains {
        Domains { at: vec![0; slots.len()], slots }
    }

    /// Leaves only these in a slot.
    pub(super) fn keep(&mut self, slot: usize, choices: Vec<u16>) {
        if *self.slots[slot].choices != *choices {
            self.slots[slot] = Domain::new(choices).into();
        }
    }

    /// How many groups a question makes of the choices of a slot; where there are more than so many,
    /// some number above that.
    pub(super) fn count(&self, at: usize, slot: usize, constraint: &Constraint, most: usize) -> usize {
        self.slots[slot].count(at, slot, constraint, most)
    }

    /// Looks at one mix of the groups of these slots, by number, and takes a choice of each into `trial`.
    pub(super) fn mix(
        &mut self,
        at: usize,
        slots: impl Iterator<Item = usize>,
        mut number: usize,
        trial: &mut [u16],
    ) {
        for slot in slots {
            let groups = self.slots[slot].groups.borrow();
            let Some(own) = groups.get(&at) else { continue };
            self.at[slot] = number % own.groups.len();
            number /= own.groups.len();
            trial[slot] = own.groups[self.at[slot]].members[0];
        }
    }

    /// The range of a column over the group of a slot that is looked at.
    pub(super) fn spread(&self, at: usize, slot: usize, column: usize, sizes: &[Leaf]) -> Leaves {
        let all = |members: &[u16]| spread_of(members.iter().map(|one| sizes[usize::from(*one)]));
        let mut groups = self.slots[slot].groups.borrow_mut();
        let Some(own) = groups.get_mut(&at) else { return all(&self.slots[slot].choices) };
        let group = &mut own.groups[self.at[slot]];
        if group.spreads.len() <= column {
            group.spreads.resize(column + 1, None);
        }
        *group.spreads[column].get_or_insert_with(|| all(&group.members))
    }
}

impl Domain {
    pub(super) fn new(choices: Vec<u16>) -> Domain {
        Domain { choices: choices.into(), groups: RefCell::default() }
    }

    pub(super) fn is_empty(&self) -> bool {
        self.choices.is_empty()
    }

    fn count(&self, at: usize, slot: usize, constraint: &Constraint, most: usize) -> usize {
        let mut groups = self.groups.borrow_mut();
        let made = || Partition { learned: constraint.learned, groups: self.grouped(slot, constraint, most) };
        let own = groups.entry(at).or_insert_with(made);
        if own.learned != constraint.learned {
            *own = made();
        }
        own.groups.len()
    }

    fn grouped(&self, slot: usize, constraint: &Constraint, most: usize) -> Vec<ClassMembers> {
        let count = usize::from(constraint.counts[slot]);
        if count == 1 && !self.is_empty() {
            return vec![ClassMembers { members: self.choices.clone(), spreads: Vec::new() }];
        }
        let mut place = vec![usize::MAX; count];
        let mut groups: Vec<Vec<u16>> = Vec::new();
        for choice in self.choices.iter() {
            let class = usize::from(constraint.classes[slot][usize::from(*choice)]);
            if place[class] == usize::MAX {
                if groups.len() > most {
                    break;
                }
                place[class] = groups.len();
                groups.push(Vec::new());
            }
            groups[place[class]].push(*choice);
        }
        groups
            .into_iter()
            .map(|members| ClassMembers { members: members.into(), spreads: Vec::new() })
            .collect()
    }
}
