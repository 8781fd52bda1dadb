//! Findings and problems in SARIF 2.1.0, so that editors and code hosts show them at their line.

use serde_json::{Value, json};

use crate::fit::check::Check;
use crate::fit::checks;
use crate::fit::finding::{Finding, Used};
use crate::fit::places::Places;
use crate::fit::verdict::Verdict;
use crate::journal::{BUILT_IN_PATH, Build, Journal};
use crate::measure::figure;
use crate::problem::{Problem, Severity};
use crate::text::Place;

use super::FitOutput;

/// The rule that problems of the journal itself are told under.
const PROBLEM: &str = "journal";

/// The whole of a run as a log with one run: every finding that is not clear, then every problem.
/// `journal` is where the paths start, and is not named: a log is read on other machines too.
pub fn told(told: &FitOutput<'_>) -> Value {
    let mut results: Vec<Value> = Vec::new();
    for (build, report) in &told.builds {
        let wanted = report.findings.iter().filter(|finding| level(finding).is_some());
        let places = told.places(build);
        results.extend(wanted.map(|finding| of_finding(build, finding, told.journal, &places)));
    }
    results.extend(told.problems.iter().map(of_problem));
    json!({
        "$schema": "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json",
        "version": "2.1.0",
        "runs": [{
            "tool": { "driver": {
                "name": "endshake",
                "semanticVersion": env!("CARGO_PKG_VERSION"),
                "rules": rules(),
            }},
            "columnKind": "unicodeCodePoints",
            "originalUriBaseIds": { BASE: { "description": { "text": "the journal's folder" } } },
            "results": results,
        }],
    })
}

/// The name that stands for the journal's folder.
const BASE: &str = "JOURNAL";

fn rules() -> Vec<Value> {
    let mut rules: Vec<Value> = checks::ALL.iter().map(|check| rule(check)).collect();
    rules.push(json!({
        "id": PROBLEM,
        "shortDescription": { "text": "the journal can be read" },
        "fullDescription": { "text": "What is written in the journal can be read, and does not contradict itself." },
    }));
    rules
}

fn rule(check: &Check) -> Value {
    json!({
        "id": check.id,
        "shortDescription": { "text": check.title },
        "fullDescription": { "text": check.asks },
        "help": { "text": format!("{}\n\n{}\n\n{}", check.formula, check.ignored, check.remedy) },
        "properties": { "tags": [check.group.title()] },
    })
}

/// How loud a finding is; `None` for what is clear and for figures.
fn level(finding: &Finding) -> Option<&'static str> {
    match finding.verdict? {
        Verdict::Fouls => Some("error"),
        Verdict::Tight => Some("warning"),
        Verdict::Unmeasured => Some("note"),
        Verdict::Clear => None,
    }
}

fn of_finding(build: &Build, finding: &Finding, journal: &Journal, places: &Places<'_>) -> Value {
    let used = finding.dimensions().into_iter().map(|(used, _)| (used, places.of_dimension(&used.name)));
    let own: Vec<(&Used, Place)> = used.filter(|(_, place)| *place.file != *BUILT_IN_PATH).collect();
    let whole = Place::file(format!("builds/{}/build.md", build.slug));
    let first = own.first().map_or(&whole, |(_, place)| place);
    let related: Vec<Value> = own
        .iter()
        .filter(|(_, place)| place != first)
        .map(|(used, place)| location(place, Some(&format!("{} {}", used.name, used.size))))
        .collect();
    let mut result = json!({
        "ruleId": finding.check.id,
        "ruleIndex": checks::ALL.iter().position(|check| check.id == finding.check.id),
        "level": level(finding),
        "message": { "text": words(build, finding, journal) },
        "locations": [location(first, None)],
        "relatedLocations": related,
        "partialFingerprints": { "finding/v1": format!("{} {}", build.slug, finding.key()) },
    });
    if let Some(reason) = &finding.accepted {
        result["suppressions"] = json!([{ "kind": "inSource", "justification": reason }]);
    }
    result
}

/// "Lantern: dial in its seat fouls: 27.22 − 28.50 = −1.28 mm".
fn words(build: &Build, finding: &Finding, journal: &Journal) -> String {
    let verdict = finding.verdict.map_or("", Verdict::word);
    let mut words = format!("{}: {}: {verdict}", build.title, finding.title);
    if let Some(worst) = finding.worst() {
        let unit = if finding.unit.is_empty() { String::new() } else { format!(" {}", finding.unit) };
        let (low, high) = (figure(worst.low), figure(worst.high));
        words.push_str(&format!(": {}{unit}, worst case {low} to {high}", finding.numbers()));
    }
    if !finding.text.is_empty() {
        words.push_str(": ");
        words.push_str(&finding.text.named(journal));
    }
    for advice in &finding.advice {
        words.push_str(&format!(". To do: {}", advice.text.named(journal)));
        if !advice.caution.is_empty() {
            words.push_str(&format!(" (caution: {})", advice.caution));
        }
    }
    words
}

fn of_problem(problem: &Problem) -> Value {
    let level = match problem.severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
    };
    let related: Vec<Value> =
        problem.also.iter().map(|(place, words)| location(place, Some(words.as_str()))).collect();
    json!({
        "ruleId": PROBLEM,
        "ruleIndex": checks::ALL.len(),
        "level": level,
        "message": { "text": problem.message },
        "locations": [location(&problem.place, None)],
        "relatedLocations": related,
    })
}

fn location(place: &Place, words: Option<&str>) -> Value {
    let mut physical = json!({ "artifactLocation": { "uri": relative(&place.file), "uriBaseId": BASE } });
    if place.line > 0 {
        physical["region"] = json!({ "startLine": place.line, "startColumn": place.column.max(1) });
    }
    let mut location = json!({ "physicalLocation": physical });
    if let Some(words) = words {
        location["message"] = json!({ "text": words });
    }
    location
}

/// A path as a relative reference: what an address may not hold is written by its bytes.
fn relative(path: &str) -> String {
    let mut out = String::with_capacity(path.len());
    for byte in path.bytes() {
        match byte {
            b'/' | b'-' | b'.' | b'_' | b'~' => out.push(char::from(byte)),
            byte if byte.is_ascii_alphanumeric() => out.push(char::from(byte)),
            byte => out.push_str(&format!("%{byte:02X}")),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_become_references() {
        assert_eq!(relative("builds/low tide/d\u{e9}part.md"), "builds/low%20tide/d%C3%A9part.md");
    }

    #[test]
    fn a_problem_stands_at_its_line() {
        let place = Place { file: "parts/a.yaml".into(), line: 3, column: 7 };
        let problem =
            of_problem(&Problem::warning(place, "look at it").and(Place::file("journal.yaml"), "here"));
        assert_eq!(problem["level"], "warning");
        let region = &problem["locations"][0]["physicalLocation"]["region"];
        assert_eq!((&region["startLine"], &region["startColumn"]), (&json!(3), &json!(7)));
        assert!(problem["relatedLocations"][0]["physicalLocation"].get("region").is_none());
    }

    #[test]
    fn every_check_is_a_rule_at_its_index() {
        let rules = rules();
        assert_eq!(rules.len(), checks::ALL.len() + 1);
        assert_eq!(rules[checks::ALL.len()]["id"], PROBLEM);
        assert!(
            rules.iter().all(|rule| rule["shortDescription"]["text"].as_str().is_some_and(|t| !t.is_empty()))
        );
    }
}
