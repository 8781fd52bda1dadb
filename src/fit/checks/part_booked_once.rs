//! Is every part in one build at a time, from when it came until it was used up?

use jiff::civil::DateTime;

use crate::fit::check::{Answer, Asked, Check, Group, Hint};
use crate::fit::watch::Watch;
use crate::journal::Slot;
use crate::ledger::booking::fullest;
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
    // A lot may be in as many builds at one time as it has pieces.
    let crowd = if unit.is_overbooked() { fullest(stay, &at_once(unit, stay)) } else { None };
    if let Some((most, other)) = crowd
        && most >= unit.count.unwrap_or(1) as usize
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

/// The other stays that overlap one, in the order of their beginnings; what is only planned is in the way of plans alone.
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

#[cfg(test)]
mod tests {
    use crate::fit::bands::Bands;
    use crate::fit::inspect;
    use crate::journal::{self, Folder};
    use crate::ledger::Ledger;

    /// What each build is told about a lot of `count` crowns, by the days it has one.
    fn told(count: u32, stays: &[(&str, &str)]) -> Vec<Vec<String>> {
        let mut folder = Folder::default();
        folder.texts.push(("journal.yaml".into(), "title: A test\n".into()));
        folder.texts.push(("parts/crowns.yaml".into(), format!("lot: {{ kind: crown, count: {count} }}\n")));
        for (number, (begun, ended)) in stays.iter().enumerate() {
            let end = if ended.is_empty() {
                "state: finished".to_owned()
            } else {
                format!("state: taken apart\nended: {ended}")
            };
            let text =
                format!("---\ntitle: B{number}\nbegun: {begun}\n{end}\nparts: {{ crown: lot }}\n---\n");
            folder.texts.push((format!("builds/b{number}/build.md"), text));
            folder.builds.push(format!("b{number}"));
        }
        folder.texts.sort();
        let journal = journal::read(folder);
        assert!(journal.problems.is_empty(), "{:?}", journal.problems);
        let ledger = Ledger::of(&journal);
        let reports = inspect::all(&journal, &ledger, &Bands::built_in(), ledger.last_day(&journal));
        let about = |report: &inspect::Report| {
            let booked = report.findings.iter().filter(|finding| finding.check.id == "part-booked-once");
            booked.map(|finding| finding.about.clone()).collect()
        };
        reports.iter().map(about).collect()
    }

    #[test]
    fn a_lot_is_counted_at_each_moment() {
        let (clear, booked) = (vec![String::new()], vec!["crown".to_owned()]);
        let one_after_another = [("2025-06-01", ""), ("2026-02-01", "2026-06-01"), ("2026-09-01", "")];
        assert_eq!(told(2, &one_after_another), [clear.clone(), clear.clone(), clear.clone()]);
        let at_once = [("2025-06-01", ""), ("2026-02-01", "2026-10-01"), ("2026-09-01", "")];
        assert_eq!(told(2, &at_once), [booked.clone(), booked.clone(), booked.clone()]);
        assert_eq!(told(3, &at_once), [clear.clone(), clear.clone(), clear]);
        assert_eq!(told(1, &one_after_another), [booked.clone(), booked.clone(), booked]);
    }
}
