//! The specs of what can be wrong with a log: a Markdown file a wrong, with many small cases.
//!
//! They are written as `specs.rs` says and end in a block `problems`: everything that is wrong with
//! the journal, each with its places.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use endshake::fit::records;
use endshake::journal::Slot;
use endshake::ledger::{Ledger, contradictions, end_of};
use endshake::problem::{self, Problem};

use super::specs::{Case, Specs, journal_of};

/// What the replay itself tells, and what the records of a build's tests do.
const TOLD_ELSEWHERE: [&str; 2] = ["removed-never-fitted", "void-pressure-test"];

fn specs() -> Specs {
    let ids = contradictions::ALL.iter().map(|wrong| wrong.id).chain(TOLD_ELSEWHERE).collect();
    Specs { folder: "ledger", block: "problems", ids }
}

#[test]
fn contradictions_in_the_log_match_their_specs() {
    specs().hold(|_, case| told(&problems(&case.files)));
}

#[test]
fn each_contradiction_has_a_spec_with_and_without_it() {
    let specs = specs();
    specs.are_whole();
    for id in &specs.ids {
        let all: Vec<Case> = specs.cases(id);
        let (quiet, loud): (Vec<_>, Vec<_>) = all.iter().partition(|case| problems(&case.files).is_empty());
        assert!(!quiet.is_empty() && !loud.is_empty(), "{id}: a case of each");
        for case in loud {
            for problem in problems(&case.files) {
                assert!(!problem.also.is_empty(), "{id}, {}: one place only", case.title);
                assert!(!problem.message.ends_with('.'), "{id}: {}", problem.message);
            }
        }
    }
}

fn problems(files: &BTreeMap<String, String>) -> Vec<Problem> {
    let journal = journal_of(files);
    let ledger = Ledger::of(&journal);
    let mut all = journal.problems.clone();
    all.extend(ledger.problems.iter().cloned());
    all.extend(contradictions::of(&journal, &ledger));
    all.extend(records::check(&journal));
    problem::sort(&mut all);
    all
}

fn told(problems: &[Problem]) -> String {
    if problems.is_empty() {
        return "nothing is wrong\n".to_owned();
    }
    let mut out = String::new();
    for problem in problems {
        let _ = writeln!(out, "{}: {}: {}", problem.place, problem.severity.word(), problem.message);
        for (place, words) in &problem.also {
            let _ = writeln!(out, "  {place}: {words}");
        }
    }
    out
}

/// What is looked up is what a walk through all stays finds, and no crowd is overlooked.
#[test]
fn stays_are_found_by_build_and_slot() {
    let mut files = BTreeMap::new();
    let lot = "lot: { kind: crown, count: 3 }\none: { kind: crown }\n";
    files.insert("parts/p.yaml".to_owned(), lot.to_owned());
    for number in 0..40 {
        let (begun, ended) = (1 + number % 28, 1 + (number * 7) % 28);
        let state = match number % 4 {
            0 => "state: planned".to_owned(),
            1 if begun < ended => format!("state: taken apart\nended: 2026-03-{ended:02}"),
            _ => "state: on the bench".to_owned(),
        };
        let part = if number % 3 == 0 { "one" } else { "lot" };
        let text =
            format!("---\ntitle: B\n{state}\nbegun: 2026-03-{begun:02}\nparts: {{ crown: {part} }}\n---\n");
        files.insert(format!("builds/b{number:02}/build.md"), text);
        let again = format!("---\ndate: 2026-03-{begun:02}\nremoved: [crown]\nfitted: [crown]\n---\n");
        files.insert(format!("builds/b{number:02}/1.md"), again);
    }
    let journal = journal_of(&files);
    let ledger = Ledger::of(&journal);
    for unit in ledger.units.values() {
        for build in &journal.builds {
            let walked = unit.stays.iter().rev().find(|stay| stay.build == build.slug);
            assert_eq!(unit.stay(&build.slug, Slot::Crown), walked, "{} in {}", unit.id, build.slug);
        }
        assert_eq!(unit.stay("b00", Slot::Dial), None);
        let count = unit.count.unwrap_or(1) as usize;
        for day in 1..29 {
            let noon = jiff::civil::date(2026, 3, day).at(12, 0, 0, 0);
            let there = unit.stays.iter().filter(|stay| stay.holds(Some(noon)));
            let fitted = there.clone().filter(|stay| !stay.planned).count();
            assert_eq!(unit.presence().at(noon), fitted, "{} on {day}", unit.id);
            assert!(there.count() <= count || unit.is_overbooked());
        }
        assert!(unit.is_overbooked());
    }
}

/// Where a dial is and what it is on each day of its life, and what is left of a lot.
#[test]
fn the_ledger_places_a_part_and_a_lot_on_every_day() {
    let entry = |date: &str, text: &str| format!("---\ndate: 2026-{date}\n{text}\n---\n");
    let files = [
        (
            "parts/p.yaml",
            "d: { kind: dial, diameter: 28.5, from: { donor: w } }\nlot: { kind: crown, diameter: 5, count: 5 }\n\
             w: { kind: watch, holds: [dial, hands] }\n"
                .to_owned(),
        ),
        (
            "builds/a/build.md",
            "---\ntitle: A\nstate: taken apart\nbegun: 2026-01-05\nended: 2026-02-01\nparts: { dial: d, crown: lot }\n---\n"
                .to_owned(),
        ),
        (
            "builds/b/build.md",
            "---\ntitle: B\nstate: on the bench\nbegun: 2026-02-05\nparts: { crown: one }\n---\n".to_owned(),
        ),
        ("builds/a/1.md", entry("01-10", "had: [d]\nmeasured: { w: { holds: [hands] } }")),
        ("builds/a/2.md", entry("01-12", "measured: { d: { diameter: 28.52 } }")),
        (
            "builds/a/3.md",
            entry(
                "01-14",
                "altered:\n  - { part: d, how: turned down, to: { diameter: 27.1 } }\n  - { part: lot, as: one, how: other, to: { diameter: 4.8 } }",
            ),
        ),
        ("builds/a/4.md", entry("01-16", "fitted: [dial, crown]")),
        ("builds/a/5.md", entry("02-01", "removed: [dial, crown]")),
        ("builds/b/1.md", entry("02-10", "fitted: { dial: d, crown: one }")),
        ("builds/b/2.md", entry("02-20", "left: [{ part: lot, how: used up, count: 2 }]")),
        ("builds/b/3.md", entry("03-01", "removed: [dial]\nleft: [{ part: d, how: broken }]")),
    ];
    let files = files.map(|(path, text)| (path.to_owned(), text)).into_iter().collect();
    let journal = journal_of(&files);
    assert!(journal.problems.is_empty(), "{:?}", journal.problems);
    let ledger = Ledger::of(&journal);
    assert!(ledger.problems.is_empty() && contradictions::of(&journal, &ledger).is_empty());
    let on = |month, day| {
        let then = ledger.as_of(end_of(jiff::civil::date(2026, month, day)));
        let dial = then.units.get("d").map(|dial| {
            let size = dial.spec_in("", None).size("diameter").unwrap().value.value;
            let place = dial.stays.iter().find(|stay| stay.stands()).map(|stay| stay.build.clone());
            (size, place.unwrap_or_default(), dial.left())
        });
        let lot = &then.units["lot"];
        let holds = then.units["w"].spec_in("", None).texts("holds").len();
        (dial, (lot.left(), lot.free(), then.units.contains_key("one")), holds)
    };
    let dial = |size: f64, place: &str, left: i64| Some((size, place.to_owned(), left));
    assert_eq!(on(1, 9), (None, (5, 5, false), 2), "it has not come");
    assert_eq!(on(1, 11), (dial(28.5, "", 1), (5, 5, false), 1), "off its donor");
    assert_eq!(on(1, 13), (dial(28.52, "", 1), (5, 5, false), 1), "measured");
    assert_eq!(on(1, 15), (dial(27.1, "", 1), (4, 4, true), 1), "turned down; one is split off the lot");
    assert_eq!(on(1, 17), (dial(27.1, "a", 1), (4, 3, true), 1), "in the first watch");
    assert_eq!(on(2, 5), (dial(27.1, "", 1), (4, 4, true), 1), "taken apart");
    assert_eq!(on(2, 15), (dial(27.1, "b", 1), (4, 4, true), 1), "in the second watch");
    assert_eq!(on(2, 25), (dial(27.1, "b", 1), (2, 2, true), 1), "two of the lot are used up");
    assert_eq!(on(3, 5), (dial(27.1, "", 0), (2, 2, true), 1), "broken");
    // The first watch keeps what it was made of, whatever became of its dial.
    let stay = ledger.units["d"].stay("a", Slot::Dial).unwrap();
    assert_eq!(
        (stay.from, stay.to),
        (Some(midnight(16)), Some(jiff::civil::date(2026, 2, 1).at(0, 0, 0, 0)))
    );
}

fn midnight(day: i8) -> jiff::civil::DateTime {
    jiff::civil::date(2026, 1, day).at(0, 0, 0, 0)
}
