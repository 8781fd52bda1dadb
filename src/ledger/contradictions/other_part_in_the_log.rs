//! A log that ends with another part in a slot than build.md names there.

use std::collections::BTreeMap;

use crate::journal::Slot;
use crate::ledger::replay::span_of;
use crate::ledger::{Ledger, Stay};
use crate::problem::Problem;

use super::{Contradiction, Log};

pub(super) const CONTRADICTION: Contradiction = Contradiction {
    id: "other-part-in-the-log",
    about: "build.md names the parts that the log ends with.",
    look,
};

fn look(log: &Log<'_>) -> Vec<Problem> {
    let mut last: BTreeMap<(&str, Slot), (&str, &Stay)> = BTreeMap::new();
    for unit in log.ledger.units.values() {
        for stay in &unit.stays {
            let newest = last.entry((&stay.build, stay.slot)).or_insert((&unit.id, stay));
            if (newest.1.from, newest.1.to.is_none()) < (stay.from, stay.to.is_none()) {
                *newest = (&unit.id, stay);
            }
        }
    }
    let mut out = Vec::new();
    for ((slug, slot), (id, stay)) in last {
        let Some(build) = log.journal.build(slug) else { continue };
        let named = Ledger::occupant(build, slot);
        if named.as_deref() == Some(id) {
            continue;
        }
        let (words, key) = (slot.words(), slot.name());
        let names = match &named {
            Some(named) => format!("build.md names `{named}`"),
            None if build.slots.contains_key(&slot) => "build.md says that there is none".to_owned(),
            // What was taken out again need not stand in build.md.
            None if stay.to.is_some() => continue,
            None => "build.md names none".to_owned(),
        };
        let there = build.slots.get(&slot).map(span_of).or(build.slots_at).unwrap_or(build.file.start());
        let message = format!(
            "the {words} of {} is `{id}` by the log, and {names}: write `{key}: {id}` there, or the entry in which it was changed",
            build.title
        );
        out.push(Problem::warning(log.place(stay.span), message).and(log.place(there), names));
    }
    out
}
