//! From what was written and replayed to what the checks see.

use std::sync::Arc;

use jiff::civil::{Date, DateTime};

use crate::journal::{Build, BuildState, Filling, Journal, Slot, Spec};
use crate::ledger::{Ledger, Stay, Unit};
use crate::timing::latest;

use super::assembly::{Assembly, Facts};
use super::booking::misbooked;
use super::fitted::Fitted;
use super::records::{PressureRecord, pressure_record, readings};
use super::standards::Standards;

/// A build as its checks see it. `today` is the last day that the journal speaks of
/// ([`Ledger::last_day`]): only whether a pressure test is old is told by it.
pub fn assemble(
    journal: &Journal,
    ledger: &Ledger,
    standards: &Arc<Standards>,
    today: Date,
    build: &Build,
) -> Assembly {
    let pressure = pressure_record(build);
    let mut facts = Facts {
        slug: build.slug.clone(),
        target_water: build.target.water.as_ref().map(|water| water.value.value),
        target_rate: build.target.rate.as_ref().map(|rate| rate.value),
        test_is_old: matches!(&pressure, PressureRecord::Holds(held) if held.is_old(today)),
        pressure,
        readings: latest(&readings(build)),
        accepted: build.accept.iter().map(|(key, reason)| (key.value.clone(), reason.clone())).collect(),
        ..Facts::of(Arc::clone(standards))
    };
    let mut parts = Vec::new();
    for (slot, filling) in &build.slots {
        if matches!(filling, Filling::None(_)) {
            facts.without.insert(*slot);
        }
        let Some(unit) = occupant(ledger, build, *slot) else { continue };
        let stay = unit.stay(&build.slug, *slot);
        let until = until(build, stay, &unit.stays);
        let now = sizes_in(journal, build, *slot, unit);
        // What was never measured again nor altered is as it came.
        if !unit.changes.is_empty() {
            let came = over_sheet(journal, slot.kind(), unit.as_came());
            if came != now {
                facts.came.insert(*slot, came);
            }
        }
        let misbooked = stay.map_or_else(Vec::new, |stay| misbooked(unit, stay));
        parts.push((*slot, Arc::new(Fitted { misbooked, ..fitted(unit, now, until) })));
    }
    let held = build.dial_held_by.as_ref().map(|held| held.value);
    Assembly::new(parts.into_iter().collect(), held, facts)
}

/// A part that is in no build, with its sizes as they are now.
pub fn free(journal: &Journal, unit: &Unit) -> Fitted {
    fitted(unit, over_sheet(journal, unit.kind.name, unit.spec_in("", None)), None)
}

/// The part in a slot of a build, in the ledger.
pub(super) fn occupant<'l>(ledger: &'l Ledger, build: &Build, slot: Slot) -> Option<&'l Unit> {
    ledger.units.get(&Ledger::occupant(build, slot)?)
}

/// The sizes of the part in a slot of a build, with the places that they are written at.
pub(super) fn sizes_in(journal: &Journal, build: &Build, slot: Slot, unit: &Unit) -> Spec {
    let until = until(build, unit.stay(&build.slug, slot), &unit.stays);
    over_sheet(journal, slot.kind(), unit.spec_in(&build.slug, until))
}

/// Until when the part in a slot counts as it was in a build; `None` where later work still counts.
pub fn counts_until(build: &Build, slot: Slot, unit: &Unit) -> Option<DateTime> {
    until(build, unit.stay(&build.slug, slot), &unit.stays)
}

/// A part that comes out only to be worked on and goes back in is judged with that work. One that went
/// into another watch, or came out with the build's end, is judged as it was on that day.
fn until(build: &Build, stay: Option<&Stay>, stays: &[Stay]) -> Option<DateTime> {
    let to = stay?.to?;
    // They are in the order of their beginnings.
    let later = &stays[stays.partition_point(|other| other.from < Some(to))..];
    let elsewhere = later.iter().any(|other| other.build != build.slug && !other.planned);
    (build.state == BuildState::TakenApart || elsewhere).then_some(to)
}

fn fitted(unit: &Unit, spec: Spec, until: Option<DateTime>) -> Fitted {
    let mut fitted = Fitted::unlogged(&unit.id, &unit.name, spec);
    for change in unit.alterations(until) {
        fitted.altered = true;
        // What was set again since is no more what the alteration made it.
        let set = change.sizes.iter().filter(|(path, size)| fitted.spec.span(path) == Some(size.span));
        fitted.set_by_alteration.extend(set.map(|(path, _)| path.to_owned()));
    }
    fitted
}

/// A movement's own fields over those of its calibre sheet; any other part's own.
fn over_sheet(journal: &Journal, kind: &str, own: Spec) -> Spec {
    if kind != Slot::Movement.kind() {
        return own;
    }
    match own.text("calibre").and_then(|id| journal.sheets.get(id)) {
        Some(sheet) => own.over(&sheet.spec),
        None => own,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fit::inspect::inspect;
    use crate::fit::key::Key;
    use crate::journal::{self, Folder};
    use crate::problem::has_errors;

    const JOURNAL: &str = "title: A test\nwrist: 172\n";
    const PARTS: &str = "case: { kind: case, dial_seat: 28.50, diameter: 39 }\n\
        dial: { kind: dial, diameter: 28.60 }\n\
        movement: { kind: movement, lift_angle: 52 }\n";
    const BUILD: &str = "---\ntitle: One\nstate: on the bench\nbegun: 2026-01-02\ntarget: { water: 3 bar, rate: -5..+10 s/d }\n\
        parts: { case: case, dial: dial, movement: movement, bezel: none }\n---\n";
    const TURNED: &str =
        "---\ndate: 2026-01-03\naltered: [{ part: dial, how: turned down, to: { diameter: 28.30 } }]\n---\n";
    const TESTED: &str = "---\ndate: 2026-01-04\npressure: [{ bar: 3, method: dry, result: held }]\n---\n";
    const TIMED: &str = "---\ndate: 2026-01-05\ntiming: [{ position: CH, rate: 4, amplitude: 280 }]\n---\n";

    fn texts() -> Vec<(String, String)> {
        [
            ("builds/one/altered.md", TURNED),
            ("builds/one/build.md", BUILD),
            ("builds/one/tested.md", TESTED),
            ("builds/one/timed.md", TIMED),
            ("journal.yaml", JOURNAL),
            ("parts/all.yaml", PARTS),
        ]
        .map(|(path, text)| (path.to_owned(), text.to_owned()))
        .to_vec()
    }

    /// The build `one` of a journal.
    fn one(mut texts: Vec<(String, String)>) -> Assembly {
        texts.sort();
        let slugs = texts.iter().filter_map(|(path, _)| path.strip_suffix("/build.md"));
        let builds = slugs.map(|path| path.replace("builds/", "")).collect();
        let journal = journal::read(Folder { texts, builds, ..Folder::default() });
        let ledger = Ledger::of(&journal);
        let (standards, faults) = Standards::of(&journal);
        assert!(!has_errors(&journal.problems) && faults.is_empty(), "{:?} {faults:?}", journal.problems);
        let build = journal.build("one").expect("it is written");
        assemble(&journal, &ledger, &Arc::new(standards), ledger.last_day(&journal), build)
    }

    fn changed(path: &str, from: &str, to: &str) -> Key {
        let mut texts = texts();
        let text = texts.iter_mut().find(|(known, _)| known == path).expect(path);
        assert!(text.1.contains(from), "{path} has no {from}");
        text.1 = text.1.replace(from, to);
        one(texts).key()
    }

    fn with(path: &str, text: &str) -> Assembly {
        let mut texts = texts();
        texts.push((path.to_owned(), text.to_owned()));
        one(texts)
    }

    const LATER: &str = "---\ntitle: Another\nbegun: 2026-09-01\n---\n";
    const MUCH_LATER: &str = "---\ntitle: Another\nbegun: 2029-09-01\n---\n";

    /// Neither the line nor the file that something is written in is part of the key, nor what other
    /// builds are like, nor the day.
    #[test]
    fn a_key_holds_content_and_no_place() {
        let key = one(texts()).key();
        for (path, from, to) in [
            ("parts/all.yaml", "case:", "# A comment moves all that follows.\n\ncase:"),
            ("parts/all.yaml", "28.60", "'28.60'"),
            ("builds/one/build.md", "title: One", "title:   Uno"),
            ("builds/one/timed.md", "---\n", "---\ntitle: On the machine\n"),
            ("journal.yaml", "A test", "Another title"),
        ] {
            assert_eq!(changed(path, from, to), key, "{path}: {to}");
        }
        assert_eq!(with("parts/aaa.yaml", "strap: { kind: strap, width: 20 }\n").key(), key);
        assert_eq!(with("builds/another/build.md", LATER).key(), key);
        let mut renamed = texts();
        renamed[0].0 = "builds/one/zz.md".to_owned();
        assert_eq!(one(renamed).key(), key);
    }

    #[test]
    fn a_key_changes_with_all_that_is_judged() {
        let mut keys = vec![one(texts()).key()];
        for (path, from, to) in [
            ("parts/all.yaml", "28.50", "28.51"),
            ("parts/all.yaml", "28.50", "28.50 gauged"),
            ("parts/all.yaml", "28.60", "28.61"),
            ("builds/one/altered.md", "28.30", "28.31"),
            ("builds/one/build.md", "3 bar", "5 bar"),
            ("builds/one/build.md", "-5..+10", "-5..+9"),
            ("builds/one/build.md", "bezel: none", ""),
            ("builds/one/build.md", "begun", "dial_held_by: dots\nbegun"),
            ("builds/one/build.md", "begun", "accept: { dial-feet: tape }\nbegun"),
            ("builds/one/tested.md", "held", "failed"),
            ("builds/one/timed.md", "280", "281"),
            ("journal.yaml", "172", "173"),
            ("journal.yaml", "wrist", "bands: { dial-covers-opening: 0.30.. }\nwrist"),
        ] {
            keys.push(changed(path, from, to));
        }
        keys.push(with("builds/another/build.md", MUCH_LATER).key());
        let clash = LATER.replace("2026-09-01", "2026-01-01\nstate: finished\nparts: { dial: dial }");
        keys.push(with("builds/another/build.md", &clash).key());
        let all = keys.len();
        keys.sort();
        keys.dedup();
        assert_eq!(keys.len(), all);
    }

    /// An old test is told from the day on which it is old, and of one day as of the next.
    #[test]
    fn a_report_is_told_by_its_key() {
        let report = |watch: &Assembly| format!("{:?}", inspect(watch));
        let (now, later) = (one(texts()), with("builds/another/build.md", LATER));
        assert_eq!((now.key(), report(&now)), (later.key(), report(&later)));
        let much_later = with("builds/another/build.md", MUCH_LATER);
        assert_ne!(report(&now), report(&much_later));
        assert!(much_later.test_is_old() && !later.test_is_old());
    }
}
