//! Is every part in one build at a time, from when it came until it was used up?

use crate::fit::check::{Answer, Asked, Check, Group, Hint};
use crate::fit::watch::Watch;
use crate::journal::Slot;
use crate::ledger::{Stay, Unit};

pub(super) const CHECK: Check = Check {
    id: "part-booked-once",
    title: "every part booked once",
    group: Group::Records,
    asks: "Is every part in one build at a time, from the day it came until it left?",
    formula: "no two builds hold a part on the same day; none before it came; none after it was sold, lost or used up",
    measured: "From the dates of the log.",
    ignored: "The plan counts on a dial that sits in another watch, and one of the two waits.",
    remedy: "Look which of the two has it, and mend the log or choose another part.",
    unit: "",
    drawing: Hint::Log,
    run,
};

fn run(watch: &Watch<'_>, asked: &mut Asked) {
    let mut wrong = Vec::new();
    let mut parts = 0;
    for (slot, part) in watch.parts() {
        parts += 1;
        let Some(unit) = watch.ledger.units.get(&part.id) else { continue };
        let Some(stay) = unit.stay(&watch.build.slug, slot) else { continue };
        wrong.extend(faults(watch, unit, stay, slot));
    }
    if parts == 0 {
        return;
    }
    if wrong.is_empty() {
        let count = if parts == 1 { "its one part is".to_owned() } else { format!("all {parts} parts are") };
        asked.rule("", Answer::Holds, format!("{count} in no other build at the time"));
    }
    for (about, reason) in wrong {
        asked.rule(about, Answer::Fails, reason);
    }
}

fn faults(watch: &Watch<'_>, unit: &Unit, stay: &Stay, slot: Slot) -> Vec<(String, String)> {
    let about = slot.name().to_owned();
    let name = &unit.id;
    let mut out = Vec::new();
    let others = unit.stays.iter().filter(|other| (&other.build, other.slot) != (&stay.build, stay.slot));
    let at_once: Vec<&Stay> =
        others.filter(|other| overlap(stay, other)).filter(|other| stay.planned || !other.planned).collect();
    // A lot may be in as many builds as it has pieces.
    if at_once.len() >= unit.count.unwrap_or(1) as usize
        && let Some(other) = at_once.first()
    {
        let build =
            watch.journal.build(&other.build).map_or(other.build.as_str(), |build| build.title.as_str());
        let since = other.from.map_or("always".to_owned(), |from| format!("since {}", from.date()));
        out.push((about.clone(), format!("`{name}` is in {build} as well, {since}")));
    }
    if let (Some(had), Some(from)) = (unit.had, stay.from)
        && from.date() < had.at.date()
    {
        out.push((
            about.clone(),
            format!("`{name}` was fitted on {}, and came on {}", from.date(), had.at.date()),
        ));
    }
    if unit.count.is_none()
        && let Some(gone) = unit.gone.first()
        && stay.to.is_none_or(|to| gone.when.at < to)
    {
        out.push((about, format!("`{name}` was {} on {}", gone.how, gone.when.at.date())));
    }
    out
}

fn overlap(one: &Stay, other: &Stay) -> bool {
    let before = |end: Option<jiff::civil::DateTime>, start: Option<jiff::civil::DateTime>| match (end, start)
    {
        (Some(end), Some(start)) => end <= start,
        // An end that is known, and a beginning that is not: the log of a taken-apart build.
        _ => false,
    };
    !before(one.to, other.from) && !before(other.to, one.from)
}
