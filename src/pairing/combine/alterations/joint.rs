//! Alterations that several parts call for together: of a dial for its case and its movement, of a hand
//! for the case, the dial, the movement and the crystal that it turns among, with the movement's ring.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicBool, Ordering};

use rayon::prelude::*;

use crate::fit::assembly::Assembly;
use crate::fit::bands::Bands;
use crate::fit::nominal::{Grade, grade};
use crate::journal::Slot;

use super::super::search_space::{SearchSpace, SlotChoice};
use super::{MOST_STEPS, mended, put};

/// What is altered: a dial before the hands over it.
const OWN: [Slot; 5] = [Slot::Dial, Slot::Hour, Slot::Minute, Slot::Seconds, Slot::SecondTime];

/// What may stand beside case, dial and movement or not: without its ring a movement lies anywhere in its
/// bore, and without feet its dial with it.
const BESIDE: [&[Slot]; 4] = [&[], &[Slot::Ring], &[Slot::Crystal], &[Slot::Ring, Slot::Crystal]];

/// More sets of parts than these are not looked at: it would take longer than anyone waits.
const MOST_SETS: usize = 20_000;

/// Parts by slot and number of the choice.
type PartSet = Vec<(usize, u16)>;

/// Adds parts as they could be altered for several others; `false` where there are too many of those.
pub(super) fn vary(base: &Assembly, bands: &Bands, space: &mut SearchSpace, stop: &AtomicBool) -> bool {
    let mut whole = true;
    for (own, beside) in OWN.into_iter().flat_map(|own| BESIDE.map(|beside| (own, beside))) {
        // Nothing asks how a dial stands to its crystal.
        if own == Slot::Dial && beside.contains(&Slot::Crystal) {
            continue;
        }
        let others = [Slot::Case].iter().chain(beside).chain(&[Slot::Dial, Slot::Movement]);
        let others: Option<Vec<usize>> =
            others.filter(|other| **other != own).map(|other| space.position(*other)).collect();
        let (Some(own), Some(others)) = (space.position(own), others) else { continue };
        let shop = Shop { base, bands, space, stop };
        match shop.altered(own, &others) {
            Some(altered) => drop(put(space, own, altered)),
            None => whole = false,
        }
    }
    whole
}

/// What the sets are made of.
struct Shop<'s> {
    base: &'s Assembly,
    bands: &'s Bands,
    space: &'s SearchSpace,
    stop: &'s AtomicBool,
}

impl Shop<'_> {
    /// The parts of a slot altered for parts of others that go together, and with which they do not;
    /// `None` where there are too many.
    fn altered(&self, own: usize, others: &[usize]) -> Option<Vec<SlotChoice>> {
        let sets = self.going(others)?;
        let choices = &self.space.choices[own];
        let open = |at: &usize| choices[*at].part.is_some() && choices[*at].steps.len() < MOST_STEPS;
        let trials: Vec<(usize, &PartSet)> = (0..choices.len())
            .filter(open)
            .flat_map(|at| sets.iter().map(move |set| (at, set)))
            .take(MOST_SETS + 1)
            .collect();
        if trials.len() > MOST_SETS {
            return None;
        }
        let altered = trials.par_iter().flat_map_iter(|(at, set)| {
            let mut all = (*set).clone();
            all.push((own, *at as u16));
            let fouls = !self.stop.load(Ordering::Relaxed) && self.fouls(&all);
            let watch = fouls.then(|| self.watch(&all));
            watch.map_or_else(Vec::new, |watch| {
                mended(&watch, self.bands, self.space.slots[own], &choices[*at])
            })
        });
        Some(altered.collect())
    }

    /// Every set of parts of these slots that go together; `None` where there are too many.
    fn going(&self, slots: &[usize]) -> Option<Vec<PartSet>> {
        let mut sets = vec![PartSet::new()];
        for slot in slots.iter().copied() {
            let parts: Vec<u16> = (0..self.space.choices[slot].len())
                .filter(|at| self.space.choices[slot][*at].part.is_some())
                .map(|at| at as u16)
                .collect();
            if sets.len() * parts.len() > MOST_SETS {
                return None;
            }
            let with = |set: &PartSet, at: &u16| {
                let mut set = set.clone();
                set.push((slot, *at));
                (!self.stop.load(Ordering::Relaxed) && !self.fouls(&set)).then_some(set)
            };
            sets = sets.par_iter().flat_map_iter(|set| parts.iter().filter_map(|at| with(set, at))).collect();
        }
        Some(sets)
    }

    fn fouls(&self, set: &[(usize, u16)]) -> bool {
        grade(&self.watch(set), self.bands) == Grade::Fouls
    }

    fn watch(&self, set: &[(usize, u16)]) -> Assembly {
        let choices = set.iter().map(|(slot, at)| (*slot, &self.space.choices[*slot][usize::from(*at)]));
        let held = choices.clone().find_map(|(_, choice)| choice.held);
        let parts = choices.filter_map(|(slot, choice)| Some((self.space.slots[slot], choice.part.clone()?)));
        self.base.of_parts(parts.collect::<BTreeMap<_, _>>(), held)
    }
}
