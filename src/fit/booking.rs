//! Where the log has a part in a build at a time when it cannot be there.

use jiff::civil::{Date, DateTime};
use serde::Serialize;

use crate::ledger::booking::fullest;
use crate::ledger::{Stay, Unit};

/// Why a part cannot have been in a slot for all the time that the log has it there.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub enum Misbooked {
    /// Another build has it then.
    Elsewhere {
        /// That build, by its slug.
        build: String,
        /// The day it was fitted there; `None`: always.
        since: Option<Date>,
    },
    /// It was fitted before it came.
    BeforeItCame {
        /// The day it was fitted.
        fitted: Date,
        /// The day it came.
        came: Date,
    },
    /// It left while it was fitted.
    AfterItLeft {
        /// sold, lost, broken, given or used up.
        how: String,
        /// The day it left.
        on: Date,
    },
}

/// What is wrong with a stay of a part.
pub(super) fn misbooked(unit: &Unit, stay: &Stay) -> Vec<Misbooked> {
    let mut out = Vec::new();
    // A lot may be in as many builds at one time as it has pieces.
    let crowd = if unit.is_overbooked() { fullest(stay, &at_once(unit, stay)) } else { None };
    if let Some((most, other)) = crowd
        && most >= unit.count.unwrap_or(1) as usize
    {
        let since = other.from.map(DateTime::date);
        out.push(Misbooked::Elsewhere { build: other.build.clone(), since });
    }
    if let (Some(had), Some(from)) = (unit.had, stay.from)
        && from.date() < had.at.date()
    {
        out.push(Misbooked::BeforeItCame { fitted: from.date(), came: had.at.date() });
    }
    if unit.count.is_none()
        && let Some(gone) = unit.gone.first()
        && stay.to.is_none_or(|to| gone.when.at < to)
    {
        out.push(Misbooked::AfterItLeft { how: gone.how.clone(), on: gone.when.at.date() });
    }
    out
}

/// The other stays that overlap one, in the order of their beginnings; what is only planned is in the way
/// of plans alone.
fn at_once<'s>(unit: &'s Unit, stay: &Stay) -> Vec<&'s Stay> {
    let others = unit.stays.iter().filter(|other| (&other.build, other.slot) != (&stay.build, stay.slot));
    others.filter(|other| overlap(stay, other)).filter(|other| stay.planned || !other.planned).collect()
}

fn overlap(one: &Stay, other: &Stay) -> bool {
    let before = |end: Option<DateTime>, start: Option<DateTime>| match (end, start) {
        (Some(end), Some(start)) => end <= start,
        // An end that is known, and a beginning that is not: the log of a taken-apart build.
        _ => false,
    };
    !before(one.to, other.from) && !before(other.to, one.from)
}
