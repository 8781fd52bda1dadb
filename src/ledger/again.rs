//! Replaying again the parts that a few builds have to do with, where nothing else has changed.

use std::collections::BTreeSet;

use crate::journal::{Build, Journal, Subject};
use crate::text::{FileId, Span};

use super::{Ledger, Unit, replay};

impl Ledger {
    /// Replays the parts that the builds of `slugs` have, had or name, once the logs of these builds were
    /// read again; all others stay as they are.
    ///
    /// Of every part it is then what [`Ledger::of`] gives; its problems are those of before.
    pub fn again(&mut self, journal: &Journal, slugs: &BTreeSet<String>) {
        let builds = || journal.builds.iter().filter(|build| slugs.contains(&build.slug));
        let files: BTreeSet<FileId> = builds().flat_map(Build::files).collect();
        // One of a lot has its lot's history, and what waits for its id may stand in any log.
        let splits = |unit: &Unit| unit.split.is_some() || unit.gone.iter().any(|gone| gone.how == "split");
        let touched = self.units.values().filter(|unit| is_touched(unit, slugs, &files));
        let mut ids: BTreeSet<String> = touched.map(|unit| unit.id.clone()).collect();
        builds().for_each(|build| named(build, &mut |id| ids.extend([id.to_owned()])));
        if builds().any(splits_a_lot) || ids.iter().filter_map(|id| self.units.get(id)).any(splits) {
            *self = Ledger::of(journal);
            return;
        }
        let concerned = journal.builds.iter().filter(|build| {
            let mut hit = slugs.contains(&build.slug);
            named(build, &mut |id| hit |= ids.contains(id));
            hit
        });
        let part = replay::replay(journal, concerned.collect(), Some(&ids));
        for id in &ids {
            self.units.remove(id);
        }
        self.units.extend(part.units);
        for file in files {
            let [start, end] = [0, u32::MAX].map(|at| Span { file, start: at, end: at });
            let named: Vec<Span> = self.subjects.range(start..=end).map(|(named, _)| *named).collect();
            named.iter().for_each(|named| drop(self.subjects.remove(named)));
        }
        self.subjects.extend(part.subjects);
    }
}

/// Whether the log of one of these builds said something of a part when it was last replayed.
fn is_touched(unit: &Unit, slugs: &BTreeSet<String>, files: &BTreeSet<FileId>) -> bool {
    let own = || unit.id.split_once('/').is_some_and(|(slug, _)| slugs.contains(slug));
    let said = [unit.had, unit.split].into_iter().flatten().chain(unit.gone.iter().map(|gone| gone.when));
    unit.stays.iter().any(|stay| slugs.contains(&stay.build))
        || unit.changes.iter().any(|change| slugs.contains(&change.build))
        || said.map(|when| when.span.file).any(|file| files.contains(&file))
        || own()
}

/// Names every part that a build's slots and entries name by its id.
fn named(build: &Build, name: &mut dyn FnMut(&str)) {
    build.slots.keys().filter_map(|slot| Ledger::occupant(build, *slot)).for_each(|id| name(&id));
    for entry in &build.entries {
        entry.had.iter().for_each(|part| name(&part.value));
        entry.fitted.iter().filter_map(|(_, part)| part.as_ref()).for_each(|part| name(&part.value));
        entry.left.iter().for_each(|left| name(&left.part.value));
        let measured = entry.measured.iter().map(|(subject, _)| subject);
        for subject in measured.chain(entry.altered.iter().map(|alteration| &alteration.part)) {
            if let Subject::Part(id) = &subject.value {
                name(id);
            }
        }
    }
}

/// Whether something in a build's log becomes a part of its own.
fn splits_a_lot(build: &Build) -> bool {
    let splits = |entry: &crate::journal::Entry| {
        entry.altered.iter().any(|alteration| alteration.becomes.is_some())
            || entry.measured.iter().any(|(_, sizes)| sizes.text("as").is_some())
    };
    build.entries.iter().any(splits)
}
