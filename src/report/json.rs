//! Findings as JSON: the form that other people's scripts depend on.

use rayon::prelude::*;
use serde_json::{Map, Value, json};

use crate::fit::finding::{Finding, Used};
use crate::fit::inspect::{Counts, Report};
use crate::fit::places::Places;
use crate::fit::verdict::Band;
use crate::journal::{Build, Journal};
use crate::measure::round;
use crate::pairing::wanted::PlannedAlteration;
use crate::problem::Problem;

use super::FitOutput;

/// The whole of a run.
pub fn told(told: &FitOutput<'_>) -> Value {
    json!({
        "journal": told.name,
        "builds": told.builds.par_iter().map(|(build, report)| one(build, report, told)).collect::<Vec<_>>(),
        "problems": problems(told.problems),
    })
}

/// The problems of a journal.
pub fn problems(problems: &[Problem]) -> Vec<Value> {
    let one = |problem: &Problem| {
        let mut value = json!({
            "severity": problem.severity.word(),
            "message": problem.message,
            "file": problem.place.file,
            "line": problem.place.line,
            "column": problem.place.column,
        });
        if !problem.also.is_empty() {
            let also = |(place, words): &(crate::text::Place, String)| json!({ "message": words, "file": place.file, "line": place.line, "column": place.column });
            value["also"] = problem.also.iter().map(also).collect();
        }
        value
    };
    problems.iter().map(one).collect()
}

fn one(build: &Build, report: &Report, told: &FitOutput<'_>) -> Value {
    let places = told.places(build);
    let Counts { clear, tight, fouls, unmeasured } = report.counts();
    let headline = report.headline;
    json!({
        "slug": build.slug,
        "state": build.state.words(),
        "headline": {
            "diameter": headline.diameter,
            "thickness": headline.thickness,
            "thickness_without_crystal": headline.thickness_without_crystal,
            "lug_to_lug": headline.lug_to_lug,
            "lug_width": headline.lug_width,
            "crown_at": headline.crown_at,
            "water": headline.water.map(|held| json!({ "bar": held.bar, "method": held.method(), "on": held.on.to_string() })),
            "rate": headline.rate,
        },
        "counts": { "clear": clear, "tight": tight, "fouls": fouls, "unmeasured": unmeasured },
        "findings": report.findings.iter().map(|one| finding(one, told.journal, &places)).collect::<Vec<_>>(),
    })
}

/// One finding.
fn finding(finding: &Finding, journal: &Journal, places: &Places<'_>) -> Value {
    let (result, worst, likely) = (finding.result, finding.worst(), finding.likely());
    let advised = finding.advised.as_ref();
    let mut value = Map::new();
    let mut put = |key: &str, field: Value| {
        value.insert(key.to_owned(), field);
    };
    put("check", json!(finding.check.id));
    put("about", json!(finding.about));
    put("title", json!(finding.title));
    put("verdict", json!(finding.verdict.map(super::super::fit::verdict::Verdict::word)));
    put("nominal", json!(result.map(|result| round(result.nominal))));
    put("low", json!(worst.map(|worst| round(worst.low))));
    put("high", json!(worst.map(|worst| round(worst.high))));
    put("exact", json!(worst.map(|worst| worst.exact)));
    put("likely_low", json!(likely.map(|likely| round(likely.low))));
    put("likely_high", json!(likely.map(|likely| round(likely.high))));
    put("band", json!(advised.map(|advised| ends(advised.band))));
    put("contact", json!(advised.map(|advised| ends(advised.contact))));
    put("unit", json!(if finding.formula.is_some() { finding.unit } else { "" }));
    put("chance_out", json!(result.map(|result| round(result.chance_out))));
    put("text", json!(finding.text.named(journal)));
    put("formula", json!(finding.numbers()));
    put("as_came", json!(finding.as_came.map(super::super::fit::verdict::Verdict::word)));
    put("accepted", json!(finding.accepted));
    put(
        "dimensions",
        finding.dimensions().into_iter().map(|(used, share)| dimension(used, share, places)).collect(),
    );
    let missing = finding.missing.iter().map(|wanted| {
        json!({ "name": wanted.name, "range": wanted.range.map(|(low, high)| [low, high]), "note": wanted.note })
    });
    put("missing", missing.collect());
    let advice = finding.advice.iter().map(|advice| {
        json!({ "do": advice.action, "part": advice.part, "text": advice.text.named(journal), "caution": advice.caution })
    });
    put("advice", advice.collect());
    Value::Object(value)
}

/// An alteration that something would go after.
pub(super) fn step(step: &PlannedAlteration) -> Value {
    json!({
        "do": step.advice.action,
        "part": step.advice.part,
        "dimension": step.dimension,
        "from": step.from,
        "to": step.to,
        "text": step.advice.text.to_string(),
        "caution": step.advice.caution,
    })
}

fn dimension(used: &Used, share: f64, places: &Places<'_>) -> Value {
    let place = places.of_dimension(&used.name);
    json!({
        "name": &*used.name,
        "value": round(used.size.value),
        "plus": round(used.size.plus),
        "minus": round(used.size.minus),
        "origin": used.size.origin.word(),
        "share": round(share),
        "file": place.file,
        "line": place.line,
        "column": place.column,
    })
}

fn ends(band: Band) -> [Option<f64>; 2] {
    [band.low, band.high]
}
