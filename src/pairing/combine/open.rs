//! What is left to choose of each slot, as bounds look at it: in classes, with the ranges of their sizes.

use rustc_hash::FxHashMap;

use crate::fit::nominal::{Leaf, Leaves};

use super::probe::{Probe, spread_of};

/// The choices that are left of each slot.
#[derive(Default)]
pub(super) struct Open {
    choices: Vec<Vec<u16>>,
    /// By question and slot.
    groups: FxHashMap<(usize, usize), Grouped>,
}

/// The choices of a slot that one question tells apart.
struct Grouped {
    /// What the question had learned by then.
    learned: usize,
    groups: Vec<Group>,
    /// Which of them is looked at.
    at: usize,
}

/// Choices that answer a question alike.
pub(super) struct Group {
    members: Vec<u16>,
    /// The range of each column, once it was asked for.
    spreads: Vec<Option<Leaves>>,
}

impl Open {
    pub(super) fn new(choices: Vec<Vec<u16>>) -> Open {
        Open { choices, groups: FxHashMap::default() }
    }

    /// What is left of a slot.
    pub(super) fn of(&self, slot: usize) -> &[u16] {
        &self.choices[slot]
    }

    /// Leaves only these in a slot.
    pub(super) fn keep(&mut self, slot: usize, choices: Vec<u16>) {
        if self.choices[slot] != choices {
            self.choices[slot] = choices;
            self.groups.retain(|(_, own), _| *own != slot);
        }
    }

    /// The choices of a slot by how they answer a question.
    pub(super) fn group(&mut self, at: usize, slot: usize, probe: &Probe) -> &[Group] {
        let made = |choices: &[u16]| Grouped {
            learned: probe.learned,
            groups: grouped(choices, &probe.classes[slot], probe.counts[slot]),
            at: 0,
        };
        let own = self.groups.entry((at, slot)).or_insert_with(|| made(&self.choices[slot]));
        if own.learned != probe.learned {
            *own = made(&self.choices[slot]);
        }
        &own.groups
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
            let Some(own) = self.groups.get_mut(&(at, slot)) else { continue };
            own.at = number % own.groups.len();
            number /= own.groups.len();
            trial[slot] = own.groups[own.at].members[0];
        }
    }

    /// The range of a column over the group that is looked at.
    pub(super) fn spread(&mut self, key: (usize, usize), column: usize, sizes: &[Leaf]) -> Leaves {
        let all = |members: &[u16]| spread_of(members.iter().map(|one| sizes[usize::from(*one)]));
        let Some(own) = self.groups.get_mut(&key) else { return all(&self.choices[key.1]) };
        let group = &mut own.groups[own.at];
        if group.spreads.len() <= column {
            group.spreads.resize(column + 1, None);
        }
        *group.spreads[column].get_or_insert_with(|| all(&group.members))
    }
}

fn grouped(open: &[u16], classes: &[u16], count: u16) -> Vec<Group> {
    let mut place = vec![usize::MAX; usize::from(count)];
    let mut groups: Vec<Group> = Vec::new();
    for choice in open {
        let class = usize::from(classes[usize::from(*choice)]);
        if place[class] == usize::MAX {
            place[class] = groups.len();
            groups.push(Group { members: Vec::new(), spreads: Vec::new() });
        }
        groups[place[class]].members.push(*choice);
    }
    groups
}
