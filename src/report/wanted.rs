//! What would go into the open slots of a build, for a person and for programs.

use std::fmt::Write as _;

use anstyle::{AnsiColor, Style};
use serde_json::{Value, json};

use crate::fit::inspect::range_words;
use crate::fit::inverse::Range;
use crate::fit::solve::field;
use crate::journal::Build;
use crate::pairing::wanted::{Candidate, CheckRange, Suitability, Vacancy, WantedSize};
use crate::problem::Problem;

use super::json::{problems, step};

/// For a terminal: a slot at a time, first what to look for, then what is there.
pub fn text(build: &Build, vacancies: &[Vacancy]) -> String {
    let bold = Style::new().bold();
    let mut out = format!("{bold}{}{bold:#}  {}\n", build.title, build.state.words());
    if vacancies.is_empty() {
        out.push_str("  no slot is empty: `--slot dial` shows what else would fit a filled one\n");
    }
    for vacancy in vacancies {
        let now = match &vacancy.filled {
            Some(id) => format!("now {id}"),
            None => "open".to_owned(),
        };
        let _ = writeln!(out, "\n{bold}{}{bold:#}, {now}", vacancy.slot.words());
        sizes(&mut out, vacancy);
        candidates(&mut out, vacancy);
    }
    out
}

fn sizes(out: &mut String, vacancy: &Vacancy) {
    if vacancy.sizes.is_empty() && vacancy.asked.is_empty() {
        out.push_str("  no check asks for a size of it with the parts chosen so far\n");
        return;
    }
    let short = |name: &str| name.split_once('.').map_or(name, |(_, path)| path).to_owned();
    let width = vacancy.sizes.iter().map(|size| short(&size.name).len()).max().unwrap_or(0);
    for size in &vacancy.sizes {
        let _ = writeln!(out, "  {:<width$}  {}", short(&size.name), size_words(size));
        for (lower, words) in [(true, "minimum set by:"), (false, "maximum set by:")] {
            let limits: Vec<&str> = size.set_by(lower).iter().map(|limit| limit.title.as_str()).collect();
            if !limits.is_empty() {
                let _ = writeln!(out, "  {:<width$}    {words} {}", "", limits.join(", "));
            }
        }
        for note in notes(size) {
            let _ = writeln!(out, "  {:<width$}    {note}", "");
        }
    }
    for (name, asks) in &vacancy.asked {
        let _ = writeln!(out, "  {:<width$}  {asks}", short(name));
    }
}

/// Where a size may lie, in words.
pub fn size_words(size: &WantedSize) -> String {
    if !size.is_solved() {
        return "cannot say yet".to_owned();
    }
    if size.ranges.is_empty() {
        return "no value makes every check clear".to_owned();
    }
    let words = |range: &Range| range_words(range.low, range.high);
    size.ranges.iter().map(words).collect::<Vec<_>>().join(", or ")
}

/// What a size depends on besides, and why a check could not be solved.
fn notes(size: &WantedSize) -> Vec<String> {
    let mut out = Vec::new();
    let depends = size.depends();
    if !depends.is_empty() {
        out.push(format!("depends on {} as well", depends.join(", ")));
    }
    // What a range could not be worked out for was named above: there it is what it depends on.
    for limit in size.limits.iter().filter(|limit| !limit.note.is_empty() && limit.is_worked_out()) {
        let words = format!("{}: {}", limit.title, limit.note);
        if !out.contains(&words) {
            out.push(words);
        }
    }
    out
}

fn candidates(out: &mut String, vacancy: &Vacancy) {
    if vacancy.candidates.is_empty() {
        let _ = writeln!(out, "  no {} is free in the bin", vacancy.slot.words());
        return;
    }
    for candidate in &vacancy.candidates {
        let (word, style) = match candidate.answer {
            Suitability::Goes(_) => ("goes", AnsiColor::Green.on_default()),
            Suitability::After(_) => ("after", AnsiColor::Yellow.on_default()),
            Suitability::Unmeasured(_) => ("unmeasured", AnsiColor::Cyan.on_default()),
            Suitability::Cannot(..) => ("cannot", AnsiColor::Red.on_default()),
        };
        let count =
            if candidate.count > 1 { format!(", {} of them", candidate.count) } else { String::new() };
        let Candidate { id, name, .. } = candidate;
        let _ = writeln!(out, "  {style}{word:<10}{style:#} {id}  {name}{count}");
        for line in lines(&candidate.answer) {
            let _ = writeln!(out, "             {line}");
        }
    }
}

fn lines(answer: &Suitability) -> Vec<String> {
    match answer {
        Suitability::Goes(ease) => match ease.deviations() {
            Some(ease) => {
                let side = if ease < 0.0 { "outside" } else { "inside" };
                let ease = ease.abs();
                vec![format!("its tightest finding: {ease:.1} standard deviations {side} what is advised")]
            }
            None => Vec::new(),
        },
        Suitability::After(steps) => steps
            .iter()
            .flat_map(|step| {
                let caution =
                    (!step.advice.caution.is_empty()).then(|| format!("caution: {}", step.advice.caution));
                std::iter::once(step.advice.text.to_string()).chain(caution)
            })
            .collect(),
        Suitability::Unmeasured(missing) => vec![format!("measure {}", missing.join(", "))],
        Suitability::Cannot(reason, refused) => {
            let mut lines = vec![reason.clone()];
            if let Some(refused) = refused {
                lines.push(format!("{}. {}", refused.text, refused.caution));
            }
            lines
        }
    }
}

/// For programs.
pub fn json(journal: &str, build: &Build, vacancies: &[Vacancy], found: &[Problem]) -> Value {
    json!({
        "journal": journal,
        "build": build.slug,
        "slots": vacancies.iter().map(vacancy).collect::<Vec<_>>(),
        "problems": problems(found),
    })
}

fn vacancy(vacancy: &Vacancy) -> Value {
    let asked = vacancy.asked.iter().map(|(name, asks)| json!({ "name": name, "asks": asks }));
    json!({
        "slot": vacancy.slot.name(),
        "filled": vacancy.filled,
        "sizes": vacancy.sizes.iter().map(size).collect::<Vec<_>>(),
        "asked": asked.collect::<Vec<_>>(),
        "parts": vacancy.candidates.iter().map(candidate).collect::<Vec<_>>(),
    })
}

fn size(size: &WantedSize) -> Value {
    let limit = |limit: &CheckRange| {
        json!({
            "finding": limit.key,
            "title": limit.title,
            "range": limit.range.map(ends),
            "depends_on": limit.depends,
            "note": limit.note,
        })
    };
    json!({
        "name": size.name,
        "doc": field(&size.name).map(|field| field.doc),
        "ranges": if size.is_solved() { Some(size.ranges.iter().copied().map(ends).collect::<Vec<_>>()) } else { None },
        "limits": size.limits.iter().map(limit).collect::<Vec<_>>(),
        "depends_on": size.depends(),
    })
}

fn ends(range: Range) -> [Option<f64>; 2] {
    [range.low, range.high]
}

fn candidate(candidate: &Candidate) -> Value {
    let mut value = json!({
        "part": candidate.id,
        "name": candidate.name,
        "count": candidate.count,
        "answer": candidate.answer.word(),
    });
    match &candidate.answer {
        Suitability::Goes(ease) => value["ease"] = json!(ease.deviations()),
        Suitability::After(steps) => value["steps"] = steps.iter().map(step).collect(),
        Suitability::Unmeasured(missing) => value["missing"] = json!(missing),
        Suitability::Cannot(reason, refused) => {
            value["reason"] = json!(reason);
            value["refused"] = json!(
                refused
                    .as_ref()
                    .map(|refused| json!({ "text": refused.text.to_string(), "caution": refused.caution }))
            );
        }
    }
    value
}
