//! The specs of the checks: a Markdown file a check, with many small cases.
//!
//! They are written as `specs.rs` says: the sentences of a case work its result out by hand, and its
//! last block, `findings`, is what the check says, as [`told`] prints it.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::sync::Arc;

use endshake::fit::assemble::assemble;
use endshake::fit::assembly::parted;
use endshake::fit::bands::{Bands, OPEN};
use endshake::fit::checks::ALL;
use endshake::fit::finding::Finding;
use endshake::fit::inspect;
use endshake::fit::places::Places;
use endshake::fit::standards::Standards;
use endshake::journal::Kind;
use endshake::journal::entry::TIMING;
use endshake::journal::fields::FieldShape;
use endshake::ledger::Ledger;
use endshake::measure::figure;

use super::specs::{Specs, journal_of};

/// Names in formulas that are of no part: the engine works them out or reads them elsewhere.
const OF_NO_PART: [&str; 5] = ["centring", "dial centring", "dial turned", "wrist", "pressure"];

fn specs() -> Specs {
    Specs { folder: "fit", block: "findings", ids: ALL.iter().map(|check| check.id).collect() }
}

#[test]
fn findings_match_the_specs_of_their_checks() {
    specs().hold(|id, case| {
        let (findings, problems) = findings(&case.files, id);
        told(&findings, &problems)
    });
}

#[test]
fn the_list_of_checks_is_in_order() {
    specs().are_whole();
    for check in ALL {
        let kebab = |byte: u8| byte.is_ascii_lowercase() || byte == b'-';
        assert!(check.id.bytes().all(kebab), "{} is not kebab-case", check.id);
        for words in [check.title, check.asks, check.formula, check.measured, check.ignored, check.remedy] {
            assert!(!words.is_empty(), "{} leaves something unsaid", check.id);
        }
        assert!(check.asks.ends_with(['?', '.']), "{} asks nothing", check.id);
    }
    assert!(ALL.is_sorted_by_key(|check| check.group), "the groups follow one another");
}

/// Over all cases: what a check measures has a band with a source, and what it asks for is a field
/// that people can write.
#[test]
fn every_dimension_of_a_check_is_in_the_table_of_fields() {
    let bands = Bands::built_in();
    for check in bands.checks() {
        assert!(ALL.iter().any(|known| known.id == check), "{check} has a band and is no check");
    }
    let mut names = BTreeMap::new();
    let mut variants = BTreeSet::new();
    for check in ALL {
        for case in specs().cases(check.id) {
            let (findings, _) = findings(&case.files, check.id);
            for Found { finding, .. } in findings {
                if let Some(advised) = &finding.advised {
                    assert!(!advised.source.is_empty(), "{}: its band has no source", finding.key());
                    assert!(advised.band != OPEN, "{}: it measures, and has no band", finding.key());
                    variants.insert((check.id, advised.variant.clone()));
                }
                let formula = finding.formula.iter().flat_map(endshake::fit::expr::Expr::terms);
                names.extend(formula.map(|term| (term.name.to_string(), check.id)));
                names.extend(finding.missing.iter().map(|wanted| (wanted.name.clone(), check.id)));
                names.extend(finding.used.iter().map(|used| (used.name.to_string(), check.id)));
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
    field.is_some_and(|field| !matches!(field.shape, FieldShape::Group(_) | FieldShape::Raw(_)))
}

/// A finding of a build, and where each of its dimensions is written.
struct Found {
    build: String,
    finding: Finding,
    places: Vec<String>,
    /// What it says, with builds by their titles.
    text: String,
}

/// What a check finds in every build of a journal, and the journal's problems.
fn findings(files: &BTreeMap<String, String>, check: &str) -> (Vec<Found>, Vec<String>) {
    let journal = journal_of(files);
    let ledger = Ledger::of(&journal);
    let (standards, faults) = Standards::of(&journal);
    let (standards, today) = (Arc::new(standards), ledger.last_day(&journal));
    let mut found = Vec::new();
    for build in &journal.builds {
        let watch = assemble(&journal, &ledger, &standards, today, build);
        let written = Places::of(&journal, &ledger, build);
        let all = inspect::judge_both(&watch).into_iter();
        found.extend(all.filter(|one| one.check.id == check).map(|finding| {
            let dimensions = finding.dimensions().into_iter();
            let places = dimensions.map(|(used, _)| written.of_dimension(&used.name).to_string()).collect();
            Found { build: build.slug.clone(), text: finding.text.named(&journal), finding, places }
        }));
    }
    let problems = journal.problems.iter().chain(&ledger.problems).chain(&faults);
    (found, problems.map(|problem| format!("{}: {}", problem.place, problem.message)).collect())
}

/// Findings as specs hold them.
fn told(findings: &[Found], problems: &[String]) -> String {
    let mut out = String::new();
    for problem in problems {
        let _ = writeln!(out, "problem: {problem}");
    }
    if findings.is_empty() {
        out.push_str("nothing is asked\n");
    }
    let several = findings.iter().any(|one| one.build != findings[0].build);
    for Found { build, finding, places, text } in findings {
        let verdict = finding.verdict.map_or("value", |verdict| verdict.word());
        let whose = if several { format!("{build}: ") } else { String::new() };
        let _ = write!(out, "{verdict:<10} {whose}{}", finding.key());
        if let (Some(result), Some(worst)) = (finding.result, finding.worst()) {
            let unit = if finding.unit.is_empty() { String::new() } else { format!(" {}", finding.unit) };
            let (low, high) = (figure(worst.low), figure(worst.high));
            let _ = write!(out, "  {}{unit}, {low} .. {high}", figure(result.nominal));
        }
        out.push('\n');
        for line in [&finding.numbers(), text].into_iter().filter(|line| !line.is_empty()) {
            let _ = writeln!(out, "  {line}");
        }
        for ((used, _), place) in finding.dimensions().into_iter().zip(places) {
            let _ = writeln!(out, "  {} {} at {place}", used.name, used.size);
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
