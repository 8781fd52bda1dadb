//! The README's examples, run as a reader would run them.

use std::fs;
use std::path::Path;
use std::sync::Arc;

use endshake::fit::inspect;
use endshake::fit::standards::Standards;
use endshake::fit::verdict::Verdict;
use endshake::journal::{self, Folder, Journal};
use endshake::ledger::Ledger;

fn readme() -> String {
    fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md")).unwrap()
}

/// The fenced blocks: the words behind the fence, and the text.
fn blocks(text: &str) -> Vec<(String, String)> {
    let mut out = Vec::new();
    let mut open: Option<(String, String)> = None;
    for line in text.lines() {
        match (&mut open, line.strip_prefix("```")) {
            (None, Some(info)) => open = Some((info.trim().to_owned(), String::new())),
            (Some(_), Some(_)) => out.extend(open.take()),
            (Some((_, body)), None) => {
                body.push_str(line);
                body.push('\n');
            }
            (None, None) => {}
        }
    }
    out
}

fn journal_of(blocks: &[(String, String)]) -> Journal {
    let mut folder = Folder::default();
    for (info, body) in blocks {
        if let Some((_, path)) = info.split_once(' ') {
            folder.texts.push((path.to_owned(), body.clone()));
            if let Some(slug) = path.strip_prefix("builds/").and_then(|rest| rest.split('/').next()) {
                folder.builds.push(slug.to_owned());
            }
        }
    }
    folder.texts.sort();
    folder.builds.dedup();
    journal::read(folder)
}

fn verdict_of(journal: &Journal, check: &str) -> (Verdict, Option<Verdict>, String) {
    assert!(journal.problems.is_empty(), "{:?}", journal.problems);
    let ledger = Ledger::of(journal);
    let reports = inspect::all(journal, &ledger, &Arc::new(Standards::of(journal).0));
    let report = &reports[0];
    let finding = report.findings.iter().find(|finding| finding.check.id == check).unwrap();
    (finding.verdict.unwrap(), finding.as_came, finding.numbers())
}

#[test]
fn the_first_journal_prints_what_the_readme_shows() {
    let all = blocks(&readme());
    let before: Vec<_> = all.iter().filter(|(info, _)| !info.contains("turned-down")).cloned().collect();
    let (verdict, _, numbers) = verdict_of(&journal_of(&before), "dial-in-seat");
    assert_eq!(verdict, Verdict::Fouls);
    let printed = all.iter().find(|(info, _)| info == "text").map(|(_, body)| body.clone()).unwrap();
    assert!(printed.contains(&numbers), "the README prints\n{printed}\nand the check says {numbers}");

    let (verdict, came, numbers) = verdict_of(&journal_of(&all), "dial-in-seat");
    assert_eq!((verdict, came), (Verdict::Clear, Some(Verdict::Fouls)));
    assert!(readme().contains(&numbers), "{numbers}");
}

#[test]
fn the_started_journal_passes() {
    let mut folder = Folder::default();
    for (path, text) in endshake::cli::STARTED {
        folder.texts.push((path.to_owned(), text.to_owned()));
    }
    folder.texts.sort();
    folder.builds.push("first-watch".into());
    let journal = journal::read(folder);
    assert!(journal.problems.is_empty(), "{:?}", journal.problems);
    let ledger = Ledger::of(&journal);
    let reports = inspect::all(&journal, &ledger, &Arc::new(Standards::of(&journal).0));
    let report = &reports[0];
    assert!(report.findings.len() > 15);
    for finding in &report.findings {
        assert!(!finding.counts(false), "{}: {}", finding.key(), finding.text);
    }
}

#[test]
fn the_readme_names_the_one_test_command() {
    let commands: Vec<_> =
        blocks(&readme()).into_iter().filter(|(info, _)| info == "sh").map(|(_, body)| body).collect();
    assert!(commands.iter().any(|body| body.trim() == "bash tests/run"));
    let ci = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(".ci/run")).unwrap();
    assert!(ci.contains("\nbash tests/run\n"));
}
