//! The parts of the bin that nobody needs.

use std::sync::Arc;

use crate::fit::assemble;
use crate::fit::fitted::Fitted;
use crate::journal::{HeldBy, Journal, Kind};
use crate::ledger::{Ledger, Unit};

/// A part, or some of a lot, that is free on the last day that the journal speaks of: it is in no
/// build, planned ones included, and was not sold, lost, broken, given away or used up.
#[derive(Clone, Debug)]
pub struct Spare {
    /// The part with its sizes as they are now, as it would stand in a new build.
    pub part: Arc<Fitted>,
    /// What it is.
    pub kind: &'static Kind,
    /// How many there are.
    pub count: usize,
}

impl Spare {
    /// Its id.
    pub fn id(&self) -> &str {
        &self.part.id
    }
}

/// Every free part, by id. What is written in a build itself belongs to it and is never free.
pub fn spares(journal: &Journal, ledger: &Ledger) -> Vec<Spare> {
    let units = ledger.units.values().filter(|unit| !unit.id.contains('/') && unit.kind.name != "watch");
    units
        .filter_map(|unit| {
            let count = free(unit);
            (count > 0).then(|| Spare {
                part: Arc::new(assemble::free(journal, unit)),
                kind: unit.kind,
                count,
            })
        })
        .collect()
}

/// How many of a unit are free. A build that is only planned has its parts: to take them from it is
/// the person's to decide.
fn free(unit: &Unit) -> usize {
    let used = unit.stays.iter().filter(|stay| stay.to.is_none()).count();
    usize::try_from(unit.left()).unwrap_or(0).saturating_sub(used)
}

/// How a dial would be held that has no feet, in a build that does not say: by dots, which want
/// neither holes nor a ring.
pub fn held_without_feet(part: &Fitted) -> Option<HeldBy> {
    matches!(part.spec.items("feet"), Some([])).then_some(HeldBy::Dots)
}
