//! A build that is marked finished and lacks a part.

use std::collections::BTreeMap;

use crate::journal::{Build, BuildState, Slot};
use crate::ledger::{Ledger, Stay};
use crate::problem::Problem;
use crate::text::Span;

use super::{Contradiction, Log, PRACTICE};

pub(super) const CONTRADICTION: Contradiction = Contradiction {
    id: "finished-with-an-open-slot",
    about: "A finished watch has a case, a crystal, a dial, two hands, a movement and a crown, or says that it has none.",
    look,
};

fn look(log: &Log<'_>) -> Vec<Problem> {
    // The last stay in each slot: where it ended, the log left the slot empty.
    let mut last: BTreeMap<(&str, Slot), &Stay> = BTreeMap::new();
    for stay in log.ledger.units.values().flat_map(|unit| &unit.stays) {
        let newest = last.entry((&stay.build, stay.slot)).or_insert(stay);
        if (newest.from, newest.to.is_none()) < (stay.from, stay.to.is_none()) {
            *newest = stay;
        }
    }
    let mut out = Vec::new();
    for build in log.journal.builds.iter().filter(|build| build.state == BuildState::Finished) {
        let state = log.place(build.state_at.unwrap_or(build.file.start()));
        let essential =
            Slot::ALL.into_iter().filter(|slot| PRACTICE.essential.iter().any(|name| name == slot.name()));
        let (named, open): (Vec<Slot>, Vec<Slot>) =
            essential.partition(|slot| build.slots.contains_key(slot));
        let open: Vec<Slot> =
            open.into_iter().filter(|slot| !last.contains_key(&(build.slug.as_str(), *slot))).collect();
        if let Some(first) = open.first() {
            let names: Vec<&str> = open.iter().map(|slot| slot.words()).collect();
            let (title, key) = (&build.title, first.name());
            let message = format!(
                "{title} is marked finished but has no {}: name the part under `parts:`, or write `{key}: none`",
                any_of(&names)
            );
            let parts = log.place(build.slots_at.unwrap_or(build.file.start()));
            let words = match build.slots_at {
                Some(_) => format!(
                    "{} {} listed here",
                    in_a_row(&quoted(build)),
                    if build.slots.len() == 1 { "is" } else { "are" }
                ),
                None => "no parts are listed here".to_owned(),
            };
            out.push(Problem::warning(state.clone(), message).and(parts, words));
        }
        for slot in named {
            let key = (build.slug.as_str(), slot);
            let emptied = last.get(&key).and_then(|stay| stay.to).filter(|_| build.ended.is_none());
            let filled = Ledger::occupant(build, slot).is_some();
            let removal = emptied.filter(|_| filled).and_then(|_| removal(build, slot));
            if let Some(span) = removal {
                let (title, words) = (&build.title, slot.words());
                let message = format!(
                    "{title} is marked finished, but its {words} was removed here and never fitted again: write when it went back in, or change `state:`"
                );
                out.push(
                    Problem::warning(log.place(span), message)
                        .and(state.clone(), "it is marked finished here"),
                );
            }
        }
    }
    out
}

/// Where the log last emptied a slot.
fn removal(build: &Build, slot: Slot) -> Option<Span> {
    let removed = build.entries.iter().flat_map(|entry| &entry.removed);
    removed.filter(|removed| removed.value == slot).map(|removed| removed.span).next_back()
}

fn quoted(build: &Build) -> Vec<&'static str> {
    build.slots.keys().map(|slot| slot.name()).collect()
}

/// "dial, minute hand or crown".
fn any_of(words: &[&str]) -> String {
    match words {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [most @ .., last] => format!("{} or {last}", most.join(", ")),
    }
}

fn in_a_row(words: &[&str]) -> String {
    match words {
        [] => "nothing".to_owned(),
        [one] => (*one).to_owned(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}
