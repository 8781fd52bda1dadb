//! The specs of what can be wrong with a log: a Markdown file a wrong, with many small cases.
//!
//! They are written as those of the checks are (see `fit.rs`), but end in a block `problems`:
//! everything that is wrong with the journal, each with its places. `UPDATE_EXPECT=1 cargo test`
//! writes these blocks anew.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::path::PathBuf;

use endshake::fit::records;
use endshake::journal::{self, Folder, Journal};
use endshake::ledger::{Ledger, wrongs};
use endshake::problem::{self, Problem};

use super::fit::{Case, cases, written};

/// What the replay itself tells, and what the records of a build's tests do.
const TOLD_ELSEWHERE: [&str; 2] = ["removed-never-fitted", "void-pressure-test"];

#[test]
fn every_wrong_says_what_its_spec_says() {
    let update = std::env::var_os("UPDATE_EXPECT").is_some();
    let mut wrong = String::new();
    for id in ids() {
        let path = folder().join(format!("{id}.md"));
        let text = std::fs::read_to_string(&path).unwrap_or_else(|_| panic!("{id} has no spec"));
        let (now, faults) = written(id, &text, "problems", |case| told(&problems(&case.files)));
        if update && now != text {
            std::fs::write(&path, now).unwrap();
        } else if !update {
            wrong.push_str(&faults);
        }
    }
    assert!(wrong.is_empty(), "{wrong}\nif that is right: UPDATE_EXPECT=1 cargo test --test it ledger::");
}

#[test]
fn every_wrong_has_a_spec_that_is_both_told_and_quiet() {
    let mut seen = BTreeSet::new();
    for id in ids() {
        assert!(seen.insert(id), "{id} twice");
        let text = std::fs::read_to_string(folder().join(format!("{id}.md"))).unwrap();
        let all: Vec<Case> = cases(&text, "problems");
        let (quiet, loud): (Vec<_>, Vec<_>) = all.iter().partition(|case| problems(&case.files).is_empty());
        assert!(!quiet.is_empty() && !loud.is_empty(), "{id}: a case of each");
        for case in loud {
            for problem in problems(&case.files) {
                assert!(!problem.also.is_empty(), "{id}, {}: one place only", case.title);
                assert!(!problem.message.ends_with('.'), "{id}: {}", problem.message);
            }
        }
    }
    let files = std::fs::read_dir(folder()).unwrap().map(|file| file.unwrap().path());
    for file in files.filter(|file| file.extension().is_some_and(|ending| ending == "md")) {
        let id = file.file_stem().unwrap().to_str().unwrap().to_owned();
        assert!(seen.contains(id.as_str()), "{id}.md belongs to no wrong");
    }
}

fn ids() -> impl Iterator<Item = &'static str> {
    wrongs::ALL.iter().map(|wrong| wrong.id).chain(TOLD_ELSEWHERE)
}

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/it/ledger")
}

/// A journal of these files.
pub(super) fn journal_of(files: &BTreeMap<String, String>) -> Journal {
    let mut folder = Folder::default();
    let mut files = files.clone();
    files.entry("journal.yaml".into()).or_insert_with(|| "title: A spec\n".into());
    let builds = files.keys().filter_map(|path| path.strip_prefix("builds/")?.split('/').next());
    folder.builds = builds.map(str::to_owned).collect::<BTreeSet<_>>().into_iter().collect();
    folder.texts = files.into_iter().collect();
    journal::read(folder)
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
