//! The specs of the checks: a Markdown file a check, with many small cases.
//!
//! A case is a heading (`##`), a few sentences that work the result out by hand, the journal's
//! files as fenced blocks with their path behind the language, and last a block `findings`: what
//! the check says, as [`told`] prints it. Files above the first case belong to every case, unless
//! one brings a file of the same path. `UPDATE_EXPECT=1 cargo test` writes the last blocks anew.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::path::PathBuf;

use endshake::fit::bands::{Bands, OPEN};
use endshake::fit::checks::ALL;
use endshake::fit::finding::Finding;
use endshake::fit::inspect;
use endshake::fit::spell::figure;
use endshake::fit::watch::{Stage, Watch, parted};
use endshake::journal::entry::TIMING;
use endshake::journal::fields::Shape;
use endshake::journal::folder::Folder;
use endshake::journal::{self, Kind};
use endshake::ledger::Ledger;

/// Names in formulas that are of no part: the engine works them out or reads them elsewhere.
const OF_NO_PART: [&str; 5] = ["centring", "dial centring", "dial turned", "wrist", "pressure"];

#[test]
fn every_check_says_what_its_spec_says() {
    let update = std::env::var_os("UPDATE_EXPECT").is_some();
    let mut wrong = String::new();
    for check in ALL {
        let path = spec(check.id);
        let text = std::fs::read_to_string(&path).unwrap_or_else(|_| panic!("{} has no spec", check.id));
        let (now, faults) = written(check.id, &text, "findings", |case| {
            let (findings, problems) = findings(&case.files, check.id);
            told(&findings, &problems)
        });
        if update && now != text {
            std::fs::write(&path, now).unwrap();
        } else if !update {
            wrong.push_str(&faults);
        }
    }
    assert!(wrong.is_empty(), "{wrong}\nif that is right: UPDATE_EXPECT=1 cargo test --test it fit::");
}

#[test]
fn the_list_of_checks_is_in_order() {
    let mut seen = BTreeSet::new();
    for check in ALL {
        assert!(seen.insert(check.id), "{} twice", check.id);
        let kebab = |byte: u8| byte.is_ascii_lowercase() || byte == b'-';
        assert!(check.id.bytes().all(kebab), "{} is not kebab-case", check.id);
        assert!(spec(check.id).is_file(), "{} has no spec", check.id);
        for words in [check.title, check.asks, check.formula, check.measured, check.ignored, check.remedy] {
            assert!(!words.is_empty(), "{} leaves something unsaid", check.id);
        }
        assert!(check.asks.ends_with(['?', '.']), "{} asks nothing", check.id);
    }
    assert!(ALL.is_sorted_by_key(|check| check.group), "the groups follow one another");
    let files = std::fs::read_dir(folder()).unwrap().map(|file| file.unwrap().path());
    for file in files {
        let id = file.file_stem().unwrap().to_str().unwrap().to_owned();
        assert!(seen.contains(id.as_str()), "{id}.md belongs to no check");
    }
}

/// Over all cases: what a check measures has a band with a source, and what it asks for is a field
/// that people can write.
#[test]
fn what_checks_ask_for_is_in_the_table_of_fields() {
    let bands = Bands::built_in();
    let mut names = BTreeMap::new();
    let mut variants = BTreeSet::new();
    for check in ALL {
        let text = std::fs::read_to_string(spec(check.id)).unwrap();
        for case in cases(&text, "findings") {
            let (findings, _) = findings(&case.files, check.id);
            for (_, finding) in findings {
                if let Some(advised) = &finding.advised {
                    assert!(!advised.source.is_empty(), "{}: its band has no source", finding.key());
                    assert!(advised.band != OPEN, "{}: it measures, and has no band", finding.key());
                    variants.insert((check.id, advised.variant.clone()));
                }
                let formula = finding.formula.iter().flat_map(endshake::fit::expr::Expr::terms);
                names.extend(formula.map(|term| (term.name.to_string(), check.id)));
                names.extend(finding.missing.iter().map(|wanted| (wanted.name.clone(), check.id)));
                names.extend(finding.dimensions.iter().map(|used| (used.name.clone(), check.id)));
            }
        }
        for advised in bands.all(check.id) {
            let key = (check.id, advised.variant.clone());
            assert!(variants.contains(&key), "{} `{}`: no case is judged by this band", key.0, key.1);
        }
    }
    assert!(names.len() > 150, "only {} names: are the specs there?", names.len());
    for (name, check) in names {
        assert!(is_field(&name), "{check} asks for `{name}`, which nobody can write");
    }
}

fn is_field(name: &str) -> bool {
    if let Some(figure) = name.strip_prefix("timing.") {
        let field = figure.trim_start_matches("horizontal_").trim_start_matches("vertical_");
        return TIMING.iter().any(|known| known.name == field);
    }
    if OF_NO_PART.contains(&name) {
        return true;
    }
    let Some((slot, path)) = parted(name) else { return false };
    let field = Kind::of(slot.kind()).and_then(|kind| kind.field(path));
    field.is_some_and(|field| !matches!(field.shape, Shape::Group(_) | Shape::Raw(_)))
}

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/it/fit")
}

fn spec(id: &str) -> PathBuf {
    folder().join(format!("{id}.md"))
}

/// A case of a spec.
pub(super) struct Case {
    pub(super) title: String,
    pub(super) files: BTreeMap<String, String>,
    expected: Option<String>,
    /// The lines between which the expected text stands; where there is none, where it would.
    lines: (usize, usize),
}

/// The cases of a spec, in order; each ends in a block of this name.
pub(super) fn cases(text: &str, block: &str) -> Vec<Case> {
    let mut shared = BTreeMap::new();
    let mut cases: Vec<Case> = Vec::new();
    let mut lines = text.lines().enumerate();
    while let Some((at, line)) = lines.next() {
        if let Some(title) = line.strip_prefix("## ") {
            let files = shared.clone();
            cases.push(Case { title: title.to_owned(), files, expected: None, lines: (at, at) });
        }
        let Some(info) = line.strip_prefix("```") else {
            if let Some(case) = cases.last_mut().filter(|case| case.expected.is_none() && !line.is_empty()) {
                case.lines = (at + 1, at + 1);
            }
            continue;
        };
        let mut inside = String::new();
        let mut end = at + 1;
        for (at, line) in lines.by_ref().take_while(|(_, line)| *line != "```") {
            inside.push_str(line);
            inside.push('\n');
            end = at + 1;
        }
        match (info.split_once(' '), cases.last_mut()) {
            (None, Some(case)) if info == block => {
                case.expected = Some(inside);
                case.lines = (at + 1, end);
            }
            (Some((_, path)), Some(case)) => {
                assert!(case.expected.is_none(), "{}: a file below its findings", case.title);
                case.files.insert(path.to_owned(), inside);
                case.lines = (end + 1, end + 1);
            }
            (Some((_, path)), None) => {
                shared.insert(path.to_owned(), inside);
            }
            (None, _) => panic!("a block says neither a path nor `{block}`: ```{info}"),
        }
    }
    cases
}

/// Runs a spec: its text with what is found now in the last block of each case, and what differs.
pub(super) fn written(
    check: &str,
    text: &str,
    name: &str,
    found: impl Fn(&Case) -> String,
) -> (String, String) {
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let mut faults = String::new();
    let all = cases(text, name);
    assert!(!all.is_empty(), "{check}: a spec without a case");
    // From the last, so that the lines of those before it stay where they are.
    for case in all.iter().rev() {
        let found = found(case);
        if case.expected.as_ref() == Some(&found) {
            continue;
        }
        let expected = case.expected.as_deref().unwrap_or("(no such block)\n");
        faults = format!("{check}, {}:\n{expected}found\n{found}\n{faults}", case.title);
        let mut block: Vec<String> = found.lines().map(str::to_owned).collect();
        if case.expected.is_none() {
            block.insert(0, format!("```{name}"));
            block.insert(0, String::new());
            block.push("```".into());
        }
        lines.splice(case.lines.0..case.lines.1, block);
    }
    (lines.join("\n") + "\n", faults)
}

/// What a check finds in every build of a journal, each with its build's name, and the journal's
/// problems.
fn findings(files: &BTreeMap<String, String>, check: &str) -> (Vec<(String, Finding)>, Vec<String>) {
    let mut folder = Folder::default();
    let mut files = files.clone();
    files.entry("journal.yaml".into()).or_insert_with(|| "title: A spec\n".into());
    let builds = files.keys().filter_map(|path| path.strip_prefix("builds/")?.split('/').next());
    folder.builds = builds.map(str::to_owned).collect::<BTreeSet<_>>().into_iter().collect();
    folder.texts = files.into_iter().collect();
    let journal = journal::read(folder);
    let ledger = Ledger::of(&journal);
    let (bands, faults) = Bands::of(&journal);
    let as_of = ledger.last_day(&journal);
    let mut found = Vec::new();
    for build in &journal.builds {
        let watch = Watch::of(&journal, &ledger, build, as_of, Stage::AsIs);
        let all = inspect::judge_both(&watch, &bands).into_iter();
        found.extend(all.filter(|one| one.check.id == check).map(|one| (build.slug.clone(), one)));
    }
    let problems = journal.problems.iter().chain(&ledger.problems).chain(&faults);
    (found, problems.map(|problem| format!("{}: {}", problem.place, problem.message)).collect())
}

/// Findings as specs hold them.
fn told(findings: &[(String, Finding)], problems: &[String]) -> String {
    let mut out = String::new();
    for problem in problems {
        let _ = writeln!(out, "problem: {problem}");
    }
    if findings.is_empty() {
        out.push_str("nothing is asked\n");
    }
    let several = findings.iter().any(|(build, _)| *build != findings[0].0);
    for (build, finding) in findings {
        let verdict = finding.verdict.map_or("figure", |verdict| verdict.word());
        let whose = if several { format!("{build}: ") } else { String::new() };
        let _ = write!(out, "{verdict:<10} {whose}{}", finding.key());
        if let Some(result) = finding.result {
            let unit = if finding.unit.is_empty() { String::new() } else { format!(" {}", finding.unit) };
            let (low, high) = (figure(result.low), figure(result.high));
            let _ = write!(out, "  {}{unit}, {low} .. {high}", figure(result.nominal));
        }
        out.push('\n');
        for line in [&finding.numbers, &finding.text].into_iter().filter(|line| !line.is_empty()) {
            let _ = writeln!(out, "  {line}");
        }
        for used in &finding.dimensions {
            let _ = writeln!(out, "  {} {} at {}", used.name, used.size, used.place);
        }
        for wanted in &finding.missing {
            let _ = writeln!(out, "  measure {}", wanted.name);
        }
        if let Some(came) = finding.as_came {
            let _ = writeln!(out, "  as it came: {came}");
        }
        if let Some(reason) = &finding.accepted {
            let _ = writeln!(out, "  accepted: {reason}");
        }
    }
    out
}
