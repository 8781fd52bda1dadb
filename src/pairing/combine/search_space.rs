//! What could fill each slot: the choices that a search has.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::fit::fitted::Fitted;
use crate::journal::{HeldBy, Slot};
use crate::pairing::spares::{Spare, held_without_feet};
use crate::pairing::wanted::PlannedAlteration;

/// The slots in the order in which they are filled, and in which ids are compared: first the three
/// that make a watch, then what the other heights depend on, then the rest.
pub const ORDER: [Slot; 20] = [
    Slot::Case,
    Slot::Dial,
    Slot::Movement,
    Slot::Shim,
    Slot::DialRing,
    Slot::Ring,
    Slot::ChapterRing,
    Slot::CrystalGasket,
    Slot::Crystal,
    Slot::Hour,
    Slot::SecondTime,
    Slot::Minute,
    Slot::Seconds,
    Slot::Stem,
    Slot::Crown,
    Slot::Bezel,
    Slot::Insert,
    Slot::Back,
    Slot::BackGasket,
    Slot::Strap,
];

/// Without these there is no watch.
pub const NEEDED: [Slot; 5] = [Slot::Case, Slot::Dial, Slot::Movement, Slot::Hour, Slot::Minute];

/// Parts that make others go together: there only where they help. To leave one of them out leaves
/// nothing to be found.
pub const HELPING: [Slot; 5] = [Slot::Shim, Slot::DialRing, Slot::Ring, Slot::ChapterRing, Slot::SecondTime];

/// A slot that is not decided yet.
pub(super) const UNDECIDED: u16 = u16::MAX;

/// One way of filling a slot.
#[derive(Clone, Debug)]
pub(super) struct SlotChoice {
    /// The part; `None`: the slot stays open.
    pub(super) part: Option<Arc<Fitted>>,
    /// How the dial is held with it, where the part decides that.
    pub(super) held: Option<HeldBy>,
    /// What has to be done to it first.
    pub(super) steps: Vec<PlannedAlteration>,
    /// Which spare it is, by its number in the space.
    pub(super) spare: usize,
}

/// The choices of every slot that is looked at, in [`ORDER`].
#[derive(Clone, Debug)]
pub(super) struct SearchSpace {
    /// The slots.
    pub(super) slots: Vec<Slot>,
    /// Their choices: open first where that may be, then the parts by id.
    pub(super) choices: Vec<Vec<SlotChoice>>,
    /// How many pieces there are of each spare.
    pub(super) pieces: Vec<usize>,
}

/// What is asked of the space.
#[derive(Clone, Debug, Default)]
pub struct PartFilter {
    /// Parts that must be there, by id; each takes its own slot, or for a hand the one named.
    pub with: Vec<(String, Option<Slot>)>,
    /// Parts that must not be there, by id.
    pub without: Vec<String>,
    /// Slots that stay open.
    pub open: Vec<Slot>,
    /// Whether parts may be altered.
    pub altered: bool,
}

impl SlotChoice {
    /// A slot that stays open.
    pub(super) const OPEN: SlotChoice =
        SlotChoice { part: None, held: None, steps: Vec::new(), spare: usize::MAX };
}

impl SearchSpace {
    /// The choices that the free parts leave.
    ///
    /// A slot that a part must be in has no other choice; a hand that must be there but is not said
    /// where takes the place of every other hand in turn, which the search sees to.
    pub(super) fn of(spares: &[Spare], allowed: &PartFilter) -> SearchSpace {
        let mut space = SearchSpace {
            slots: Vec::new(),
            choices: Vec::new(),
            pieces: spares.iter().map(|s| s.count).collect(),
        };
        for slot in ORDER {
            let needed = NEEDED.contains(&slot);
            if allowed.open.contains(&slot) && !needed || slot == Slot::SecondTime && !second_time(spares) {
                continue;
            }
            let fits = |spare: &Spare| {
                spare.kind.name == slot.kind() && !allowed.without.iter().any(|id| id == spare.id())
            };
            let fixed = |spare: &Spare| {
                let said = allowed.with.iter().find(|(id, _)| id == spare.id());
                said.is_some_and(|(_, said)| said.map_or(slot.kind() != "hand", |said| said == slot))
            };
            let own: Vec<usize> = (0..spares.len()).filter(|at| fits(&spares[*at])).collect();
            let must: Vec<usize> = own.iter().copied().filter(|at| fixed(&spares[*at])).collect();
            let chosen = if must.is_empty() { &own } else { &must };
            let mut choices: Vec<SlotChoice> = chosen.iter().map(|at| choice(spares, *at, slot)).collect();
            if choices.is_empty() && !needed {
                continue;
            }
            if must.is_empty() && !needed {
                choices.insert(0, SlotChoice::OPEN);
            }
            space.slots.push(slot);
            space.choices.push(choices);
        }
        space
    }

    /// How many combinations there are: the product of the choices.
    pub(super) fn combinations(&self) -> f64 {
        self.choices.iter().map(|choices| choices.len() as f64).product()
    }

    /// Where a slot stands; `None` where it is not looked at.
    pub(super) fn position(&self, slot: Slot) -> Option<usize> {
        self.slots.iter().position(|other| *other == slot)
    }

    /// Whether a slot of this number that stays open leaves something to be found.
    pub(super) fn is_missed(&self, at: usize) -> bool {
        !HELPING.contains(&self.slots[at])
    }

    /// The parts of a full choice.
    pub(super) fn parts(&self, chosen: &[u16]) -> (BTreeMap<Slot, Arc<Fitted>>, Option<HeldBy>) {
        let mut parts = BTreeMap::new();
        let mut held = None;
        for ((slot, choices), at) in self.slots.iter().zip(&self.choices).zip(chosen) {
            let Some(choice) = choices.get(usize::from(*at)) else { continue };
            if let Some(part) = &choice.part {
                parts.insert(*slot, part.clone());
                held = held.or(choice.held);
            }
        }
        (parts, held)
    }
}

/// Whether any movement turns a hand of a second time zone: else nobody looks for one.
fn second_time(spares: &[Spare]) -> bool {
    let has = |spare: &Spare| spare.part.spec.iter().any(|(path, _)| path.starts_with("posts.second_time."));
    spares.iter().any(|spare| spare.kind.name == Slot::Movement.kind() && has(spare))
}

fn choice(spares: &[Spare], at: usize, slot: Slot) -> SlotChoice {
    let part = &spares[at].part;
    let held = if slot == Slot::Dial { held_without_feet(part) } else { None };
    SlotChoice { part: Some(part.clone()), held, steps: Vec::new(), spare: at }
}

/// The numbers of the bits that are set.
pub(super) fn bits(mut set: u32) -> impl Iterator<Item = usize> {
    std::iter::from_fn(move || {
        let at = (set != 0).then(|| set.trailing_zeros() as usize)?;
        set &= set - 1;
        Some(at)
    })
}
