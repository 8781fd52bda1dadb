//! The files of a journal: YAML with its places, front matter, and whole journals of which one file
//! is changed, read, replayed and checked.

use std::sync::Arc;

use endshake::fit::inspect;
use endshake::fit::standards::Standards;
use endshake::journal::folder::Folder;
use endshake::journal::front_matter;
use endshake::journal::yaml::{self, Node, Value};
use endshake::journal::{self, Journal};
use endshake::ledger::{Ledger, contradictions};
use endshake::problem::Problem;
use endshake::text::{Files, Span};

use super::{Target, example, fuzz, skeleton};

pub(super) const WORDS: [&str; 96] = [
    "---\n",
    "...\n",
    ": ",
    "- ",
    "[",
    "]",
    "{",
    "}",
    ", ",
    "&a ",
    "*a",
    "<<: ",
    "!!binary ",
    "!tag ",
    "|\n",
    ">-\n",
    "? ",
    "# ",
    "\t",
    "\"",
    "'",
    "~",
    "null",
    "yes",
    "no",
    ".nan",
    ".inf",
    "-1",
    "0",
    "1e308",
    "1e-308",
    "1000",
    "999.9",
    "0.001",
    "28.5 ±0.02",
    "27.1..27.3",
    "~28.5",
    "3h",
    "11h59",
    "none",
    "2026-02-30",
    "0001-01-01",
    "9999-12-31",
    "20:00",
    "kind: dial",
    "kind: hand",
    "kind: movement",
    "like: ",
    "count: 1000000",
    "origin: gauged",
    "title: ",
    "state: planned",
    "state: finished",
    "state: taken apart",
    "begun: ",
    "ended: ",
    "target: { water: 10 bar, rate: \"-5..+10 s/d\" }",
    "parts:\n",
    "accept:\n",
    "hidden: yes",
    "date: 2026-01-17\n",
    "time: 20:00\n",
    "had: ",
    "removed: [",
    "fitted: { dial: ",
    "measured:\n",
    "altered:\n  - { part: ",
    "how: turned down",
    "how: feet cut",
    "how: relumed",
    "to: { diameter: ",
    "as: ",
    "left: [{ part: ",
    "how: lost",
    "opened: true",
    "timing:\n  - { position: CH, rate: +6, amplitude: 268 }\n",
    "pressure:\n  - { bar: 3, method: dry, result: held }\n",
    "minutes: ",
    "spent: ",
    "photos: [{ file: ",
    "dial",
    "hour",
    "minute",
    "seconds",
    "case",
    "crystal",
    "movement",
    "diameter: 0",
    "thickness: 0",
    "height: 0",
    "inner_rise: 0",
    "feet: [{ at: 1h, radius: 0, diameter: 0 }]",
    "posts: { hour: { top: 0 } }",
    "rehaut: { bottom: 0, top: 0, height: 0 }",
    "calibre: ",
    "lume: radium",
];

/// The places of all nodes lie in their file, on whole characters.
fn walk(files: &Files, node: &Node, shape: &mut String, depth: usize) {
    let whole = |span: Span| {
        let text = files.text(span.file);
        assert!(span.start <= span.end, "{span:?}");
        assert!(
            text.get(span.start as usize..span.end as usize).is_some(),
            "{span:?} of {} bytes",
            text.len()
        );
        let place = files.place(span);
        assert!(1 <= place.line && 1 <= place.column, "{place}");
    };
    whole(node.span);
    if depth < 5 {
        shape.push_str(&node.what()[..3]);
    }
    match &node.value {
        Value::List(list) => list.iter().for_each(|node| walk(files, node, shape, depth + 1)),
        Value::Map(map) => map.iter().for_each(|(key, node)| {
            whole(key.span);
            walk(files, node, shape, depth + 1);
        }),
        Value::Text(_) | Value::Empty => {}
    }
}

#[test]
fn front_matter_and_yaml() {
    let corpus: Vec<Vec<u8>> =
        example(".md").into_iter().chain(example(".yaml")).map(|(_, text)| text.into_bytes()).collect();
    let attempt = |input: &[u8]| {
        let text = String::from_utf8_lossy(input);
        let mut files = Files::default();
        let file = files.add("builds/x/day.md", text.clone());
        let (parts, problem) = front_matter::split(&files, file);
        let mut answers = vec![format!("{} {}", parts.yaml.is_some(), problem.is_some())];
        for span in
            parts.yaml.into_iter().chain([parts.text, Span { file, start: 0, end: text.len() as u32 }])
        {
            let cut = files.cut(span);
            assert_eq!(cut.len(), (span.end - span.start) as usize, "{span:?}");
            match yaml::parse(&files, file, span.start as usize, cut) {
                Ok(node) => {
                    let mut shape = String::new();
                    walk(&files, &node, &mut shape, 0);
                    answers.push(shape.chars().take(60).collect());
                }
                Err(problem) => {
                    assert!(!problem.message.is_empty());
                    answers.push(skeleton(&problem.message));
                }
            }
        }
        answers
    };
    fuzz(&Target { name: "front-matter", corpus, words: &WORDS, executions: 3_000, attempt: &attempt });
}

/// A journal of one build of the example, with all the parts that the example has.
pub(super) fn base(slug: &str) -> Folder {
    let mut folder = Folder { builds: vec![slug.to_owned()], ..Folder::default() };
    folder.texts = example(".yaml");
    let own = format!("builds/{slug}/");
    folder.texts.extend(example(".md").into_iter().filter(|(path, _)| path.starts_with(&own)));
    folder.photos = vec![format!("{own}01-front.jpg"), format!("{own}02-three-quarter.jpg")];
    folder
}

/// The journal with another text in one of its files.
pub(super) fn with(base: &Folder, path: &str, text: &str) -> Folder {
    let mut folder = base.clone();
    folder.texts.retain(|(known, _)| known != path);
    folder.texts.push((path.to_owned(), text.to_owned()));
    folder
}

/// How problems are told, and that each has its place.
pub(super) fn told(journal: &Journal, known: &[String], problems: &[Problem]) -> Vec<String> {
    problems
        .iter()
        .map(|problem| {
            let place = &problem.place;
            assert!(!problem.message.trim().is_empty(), "{problem:?}");
            let file = known.iter().find(|path| ***path == *place.file);
            let folder = place.file.starts_with("builds/") || place.file.starts_with("(built in)");
            assert!(
                file.is_some() || folder,
                "{problem:?} stands nowhere, of {} builds",
                journal.builds.len()
            );
            skeleton(&problem.message)
        })
        .collect()
}

fn read_replayed_and_checked(folder: Folder) -> Vec<String> {
    let known: Vec<String> = folder.texts.iter().map(|(path, _)| path.clone()).collect();
    let journal = journal::read(folder);
    let ledger = Ledger::of(&journal);
    let (standards, mut problems) = Standards::of(&journal);
    let reports = inspect::all(&journal, &ledger, &Arc::new(standards));
    problems.extend(inspect::problems(&journal, &ledger, &reports));
    problems.extend(journal.problems.iter().cloned());
    problems.extend(ledger.problems.iter().cloned());
    problems.extend(contradictions::of(&journal, &ledger));
    let mut answers = told(&journal, &known, &problems);
    for report in &reports {
        let counts = report.counts();
        answers.push(format!("{} {} {}", counts.clear.min(3), counts.fouls.min(3), counts.unmeasured.min(3)));
        for finding in &report.findings {
            let nominal = finding.result.map(|result| result.nominal);
            let worst = finding.worst().into_iter().flat_map(|worst| [worst.low, worst.high]);
            let figures = nominal.into_iter().chain(worst);
            assert!(
                figures.into_iter().all(|figure| !figure.is_nan()),
                "{} {:?}",
                finding.key(),
                finding.result
            );
            answers.push(format!(
                "{} {:?} {}",
                finding.key(),
                finding.verdict,
                skeleton(&finding.text.to_string())
            ));
        }
    }
    answers
}

/// Changes the files of one build whose name `wanted` takes, or the files beside it.
fn one_of(name: &str, slugs: &[&str], wanted: &dyn Fn(&str) -> bool, executions: u64) {
    let bases: Vec<Folder> = slugs.iter().map(|slug| base(slug)).collect();
    let mut corpus = Vec::new();
    let mut places = Vec::new();
    for (at, folder) in bases.iter().enumerate() {
        for (path, text) in folder.texts.iter().filter(|(path, _)| wanted(path)) {
            // The first two letters say which file it is: they may change as well.
            let number = u8::try_from(places.len()).unwrap();
            corpus.push([&[b'a' + number / 26, b'a' + number % 26], text.as_bytes()].concat());
            places.push((at, path.clone()));
        }
    }
    let attempt = |input: &[u8]| {
        let (head, text) = input.split_at(input.len().min(2));
        let letter = |at: usize| usize::from(head.get(at).copied().unwrap_or(b'a').wrapping_sub(b'a'));
        let (at, path) = &places[(letter(0) * 26 + letter(1)) % places.len()];
        let text = String::from_utf8_lossy(text).replace('\0', "");
        read_replayed_and_checked(with(&bases[*at], path, &text))
    };
    fuzz(&Target { name, corpus, words: &WORDS, executions, attempt: &attempt });
}

#[test]
fn builds() {
    let slugs = ["lantern", "heron", "copper-kettle", "ferry", "mudlark"];
    one_of("builds", &slugs, &|path| path.ends_with("build.md"), 25);
}

#[test]
fn entries() {
    let slugs = ["lantern", "heron", "copper-kettle", "first-light"];
    one_of("entries", &slugs, &|path| path.ends_with(".md") && !path.ends_with("build.md"), 40);
}

#[test]
fn parts_and_settings() {
    one_of("parts", &["lantern", "heron"], &|path| path.ends_with(".yaml"), 40);
}
