//! Where the sizes that a finding rests on are written: looked up when they are printed.

use std::collections::BTreeMap;

use crate::journal::{Build, Journal, Slot, Spec};
use crate::ledger::Ledger;
use crate::text::{Place, Span};

use super::assemble::{occupant, sizes_in};
use super::assembly::parted;

/// Where everything is written that a build is judged by.
#[derive(Debug)]
pub struct Places<'a> {
    journal: &'a Journal,
    build: &'a Build,
    /// The part in each slot: its sizes, and where it is written itself.
    parts: BTreeMap<Slot, (Spec, Span)>,
}

impl<'a> Places<'a> {
    /// Those of a build.
    pub fn of(journal: &'a Journal, ledger: &Ledger, build: &'a Build) -> Places<'a> {
        let parts = build.slots.keys().filter_map(|slot| {
            let unit = occupant(ledger, build, *slot)?;
            Some((*slot, (sizes_in(journal, build, *slot, unit), unit.span)))
        });
        Places { journal, build, parts: parts.collect() }
    }

    /// Where a dimension is written, `dial.diameter` or `timing.rate`. Of one that was assumed it is the
    /// place of its part; of one that is of no part, build.md.
    pub fn of_dimension(&self, name: &str) -> Place {
        let files = &self.journal.files;
        match self.written(name).or_else(|| Some(self.part(name)?.1)) {
            Some(span) => files.place(span),
            None => Place::file(files.path(self.build.file)),
        }
    }

    fn written(&self, name: &str) -> Option<Span> {
        if name == "wrist" {
            return self.journal.settings.wrist.as_ref().map(|wrist| wrist.span);
        }
        if name.starts_with("timing.") {
            let rows = self.build.entries.iter().flat_map(|entry| &entry.timing);
            return rows.max_by_key(|row| row.at).map(|row| row.span);
        }
        let (_, path) = parted(name)?;
        Some(self.part(name)?.0.size(path)?.span)
    }

    fn part(&self, name: &str) -> Option<&(Spec, Span)> {
        self.parts.get(&parted(name)?.0)
    }
}
