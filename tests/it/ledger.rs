//! The specs of what can be wrong with a log: a Markdown file a wrong, with many small cases.
//!
//! They are written as `specs.rs` says and end in a block `problems`: everything that is wrong with
//! the journal, each with its places.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use endshake::fit::records;
use endshake::journal::Slot;
use endshake::ledger::{Ledger, wrongs};
use endshake::problem::{self, Problem};

use super::specs::{Case, Specs, journal_of};

/// What the replay itself tells, and what the records of a build's tests do.
const TOLD_ELSEWHERE: [&str; 2] = ["removed-never-fitted", "void-pressure-test"];

fn specs() -> Specs {
    let ids = wrongs::ALL.iter().map(|wrong| wrong.id).chain(TOLD_ELSEWHERE).collect();
    Specs { folder: "ledger", block: "problems", ids }
}

#[test]
fn every_wrong_says_what_its_spec_says() {
    specs().hold(|_, case| told(&problems(&case.files)));
}

#[test]
fn every_wrong_has_a_spec_that_is_both_told_and_quiet() {
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
    all.extend(wrongs::of(&journal, &ledger));
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
