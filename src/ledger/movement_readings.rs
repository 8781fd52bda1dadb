//! Which movement a reading of the timing machine is of.

use std::collections::BTreeMap;

use jiff::civil::DateTime;

use crate::journal::entry::LoggedReading;
use crate::journal::{Build, Journal, Slot};

use super::Ledger;

/// A reading and the log that holds it.
#[derive(Clone, Copy, Debug)]
pub struct MovementReading<'a> {
    /// The build that the movement was in, or was being readied for.
    pub build: &'a Build,
    /// The reading.
    pub row: &'a LoggedReading,
}

/// The readings of every movement by its id, in order of time, whichever build it was in.
///
/// A reading of a build's log is of the movement that was in it then; one from before any was
/// fitted is of the first.
pub fn readings<'a>(journal: &'a Journal, ledger: &'a Ledger) -> BTreeMap<&'a str, Vec<MovementReading<'a>>> {
    let mut sat: BTreeMap<&str, Vec<(Option<DateTime>, &str)>> = BTreeMap::new();
    for unit in ledger.units.values().filter(|unit| unit.kind.name == "movement") {
        for stay in unit.stays.iter().filter(|stay| stay.slot == Slot::Movement) {
            sat.entry(&stay.build).or_default().push((stay.from, &unit.id));
        }
    }
    let mut out: BTreeMap<&str, Vec<MovementReading<'_>>> = BTreeMap::new();
    for (slug, mut movements) in sat {
        movements.sort();
        let Some(build) = journal.build(slug) else { continue };
        for row in build.entries.iter().flat_map(|entry| &entry.timing) {
            let after = movements.partition_point(|(from, _)| *from <= Some(row.at));
            let (_, id) = movements[after.saturating_sub(1)];
            out.entry(id).or_default().push(MovementReading { build, row });
        }
    }
    for rows in out.values_mut() {
        rows.sort_by_key(|timed| timed.row.at);
    }
    out
}
