//! Findings for a person at a terminal: a build at a glance, worst first.

use std::fmt::Write as _;

use anstyle::{AnsiColor, Style};
use rayon::prelude::*;

use crate::fit::finding::{Finding, Wanted};
use crate::fit::inspect::{Report, range_words};
use crate::fit::inverse::Range;
use crate::fit::places::Places;
use crate::fit::solve::Allowed;
use crate::fit::verdict::{Band, Verdict};
use crate::journal::names::is_hidden_control;
use crate::journal::{Build, Journal};
use crate::measure::{figure, shown};
use crate::problem::{Problem, Severity};

use super::FitOutput;

/// How much is told.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Detail {
    /// Findings that want a look in full, clear ones in a line each.
    Usual,
    /// Every finding in full.
    Full,
}

/// Every build's findings.
pub fn builds(told: &FitOutput<'_>, detail: Detail) -> Vec<String> {
    told.builds.par_iter().map(|(one, report)| build(one, report, told, detail)).collect()
}

/// A build's findings.
fn build(build: &Build, report: &Report, told: &FitOutput<'_>, detail: Detail) -> String {
    let places = told.places(build);
    let mut out = String::new();
    let bold = Style::new().bold();
    let counts = report.counts();
    let _ = write!(out, "{bold}{}{bold:#}  {}", build.title, build.state.words());
    for (count, verdict) in [
        (counts.fouls, Verdict::Fouls),
        (counts.tight, Verdict::Tight),
        (counts.unmeasured, Verdict::Unmeasured),
        (counts.clear, Verdict::Clear),
    ] {
        if count > 0 {
            let style = style(verdict);
            let word = if (count, verdict) == (1, Verdict::Fouls) { "foul" } else { verdict.word() };
            let _ = write!(out, "  {style}{count} {word}{style:#}");
        }
    }
    out.push('\n');
    if report.findings.is_empty() {
        out.push_str(
            "  nothing to check yet: name a case, a movement and a dial under `parts:` in its build.md\n",
        );
    }
    let mut order: Vec<&Finding> = report.findings.iter().collect();
    order.sort_by_key(|finding| std::cmp::Reverse((finding.accepted.is_none(), finding.verdict)));
    let (loud, quiet): (Vec<&Finding>, Vec<&Finding>) = order.into_iter().partition(|finding| {
        detail == Detail::Full || finding.verdict.is_some_and(|verdict| verdict != Verdict::Clear)
    });
    for finding in loud {
        full(&mut out, finding, told.journal, &places);
    }
    if !quiet.is_empty() && detail == Detail::Usual {
        clear(&mut out, &quiet, told.journal);
    }
    out
}

/// One finding with its numbers, its place and what to do.
fn full(out: &mut String, finding: &Finding, journal: &Journal, places: &Places<'_>) {
    let verdict = finding.verdict.unwrap_or(Verdict::Clear);
    let word = if finding.verdict.is_some() { verdict.word() } else { "value" };
    let style = if finding.accepted.is_some() { Style::new() } else { style(verdict) };
    let dim = Style::new().dimmed();
    let value = finding.result.map(|result| format!("  {} {}", shown(result.nominal), finding.unit));
    let value = value.unwrap_or_default();
    let _ = writeln!(out, "  {style}{word:<10}{style:#} {}{}", finding.title, value.trim_end());
    let _ = writeln!(out, "             {dim}{}{dim:#}", finding.key());
    let numbers = finding.numbers();
    if !numbers.is_empty() {
        let _ = writeln!(out, "             {numbers}");
    }
    if let (Some(worst), Some(likely), Some(advised)) = (finding.worst(), finding.likely(), &finding.advised)
    {
        let likely = format!("likely {} to {}", shown(likely.low), shown(likely.high));
        let within = if worst.exact { "" } else { "within " };
        let worst = format!("worst case {within}{} to {}", shown(worst.low), shown(worst.high));
        let _ = writeln!(
            out,
            "             {worst}, {likely}; advised {}{}",
            band_words(advised.band),
            contact(advised.contact, advised.band)
        );
    }
    if !finding.text.is_empty() {
        let _ = writeln!(out, "             {}", finding.text.named(journal));
    }
    if let Some(came) = finding.as_came {
        let _ = writeln!(out, "             as the parts came: {}", came.word());
    }
    for wanted in &finding.missing {
        let _ = writeln!(out, "             {}", measure(wanted));
    }
    if finding.verdict != Some(Verdict::Clear) {
        for (used, _) in finding.dimensions().into_iter().take(3) {
            let place = places.of_dimension(&used.name);
            let _ = writeln!(out, "             {dim}{} {} at {place}{dim:#}", used.name, used.size);
        }
    }
    if let Some(reason) = &finding.accepted {
        let _ = writeln!(out, "             accepted: {reason}");
    }
    for advice in &finding.advice {
        let _ = writeln!(out, "             to do: {}", advice.text.named(journal));
        if !advice.caution.is_empty() {
            let _ = writeln!(out, "             caution: {}", advice.caution);
        }
    }
}

fn measure(wanted: &Wanted) -> String {
    let range = match wanted.range {
        Some((None, None)) | None => String::new(),
        Some((low, high)) => format!("; it must be {}", range_words(low, high)),
    };
    let note = if wanted.note.is_empty() { String::new() } else { format!(" ({})", wanted.note) };
    format!("measure {}{range}{note}", wanted.name)
}

fn clear(out: &mut String, findings: &[&Finding], journal: &Journal) {
    let style = style(Verdict::Clear);
    let width = findings.iter().map(|finding| finding.title.chars().count()).max().unwrap_or(0);
    for finding in findings {
        let word = match (finding.verdict, finding.result) {
            (Some(_), _) => "clear",
            (None, Some(_)) => "value",
            (None, None) => "note",
        };
        let _ = write!(out, "  {style}{word:<10}{style:#} {:<width$}", finding.title);
        let line = match finding.result {
            Some(result) => format!("  {:>6} {}", shown(result.nominal), finding.unit),
            None => format!("  {}", finding.text.named(journal)),
        };
        let came = finding.as_came.filter(|came| *came != Verdict::Clear);
        let came = came.map(|came| format!("  (as it came: {})", came.word())).unwrap_or_default();
        let _ = writeln!(out, "{}{came}", line.trim_end());
    }
}

/// Where a dimension may lie, and what limits it.
pub fn allowed(build: &Build, allowed: &Allowed) -> String {
    let bold = Style::new().bold();
    let mut out = format!("{bold}{}{bold:#}  {}", build.title, allowed.name);
    if let Some(now) = &allowed.now {
        let _ = write!(out, ", now {now}");
    }
    out.push('\n');
    let words = |ranges: &[Range]| match ranges {
        [] => "nowhere".to_owned(),
        ranges => {
            ranges.iter().map(|range| range_words(range.low, range.high)).collect::<Vec<_>>().join(", or ")
        }
    };
    if allowed.shares.is_empty() {
        out.push_str("  no check of this build asks for it\n");
        return out;
    }
    let all = match &allowed.ranges[..] {
        [] => "no value makes every check clear".to_owned(),
        ranges => format!("every check is clear with it {}", words(ranges)),
    };
    let _ = writeln!(out, "  {all}");
    for share in allowed.limited_by() {
        if let Some(ranges) = &share.ranges {
            let _ = writeln!(out, "  limited by {}: {}", share.title, words(ranges));
        }
    }
    for share in allowed.shares.iter().filter(|share| share.ranges.is_none()) {
        let _ = writeln!(out, "  {} cannot be solved yet: something else is not measured", share.title);
    }
    out
}

/// A problem: its place first, so that an editor finds it.
pub fn problem(problem: &Problem) -> String {
    let style = match problem.severity {
        Severity::Error => AnsiColor::Red.on_default().bold(),
        Severity::Warning => AnsiColor::Yellow.on_default(),
    };
    let word = problem.severity.word();
    let told = |text: String| visible(&text);
    let place = told(problem.place.to_string());
    let mut out = format!("{place}: {style}{word}{style:#}: {}\n", told(problem.message.clone()));
    for (place, words) in &problem.also {
        let _ = writeln!(out, "  {}: {}", told(place.to_string()), told(words.clone()));
    }
    out
}

/// Words in one line that a terminal shows and does not obey: controls, and marks that turn text around
/// or cannot be seen, are spelt out. File names and texts may hold any of them.
fn visible(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        if c.is_control() || is_hidden_control(c) {
            let _ = write!(out, "\\u{{{:x}}}", c as u32);
        } else {
            out.push(c);
        }
    }
    out
}

/// A band in words: "0.03 to 0.60", "at least 0.20".
pub fn band_words(band: Band) -> String {
    match (band.low, band.high) {
        (Some(low), Some(high)) if low == high => format!("exactly {}", figure(low)),
        (Some(low), Some(high)) => format!("{} to {}", figure(low), figure(high)),
        (Some(low), None) => format!("at least {}", figure(low)),
        (None, Some(high)) => format!("at most {}", figure(high)),
        (None, None) => "anything".into(),
    }
}

fn contact(contact: Band, band: Band) -> String {
    match (contact.low, contact.high) {
        _ if contact == band => ", beyond it fouls".into(),
        (None, None) => String::new(),
        (Some(low), Some(high)) => format!(", fouls below {} and above {}", figure(low), figure(high)),
        (Some(low), None) => format!(", fouls below {}", figure(low)),
        (None, Some(high)) => format!(", fouls above {}", figure(high)),
    }
}

fn style(verdict: Verdict) -> Style {
    match verdict {
        Verdict::Fouls => AnsiColor::Red.on_default().bold(),
        Verdict::Tight => AnsiColor::Yellow.on_default().bold(),
        Verdict::Unmeasured => AnsiColor::Cyan.on_default(),
        Verdict::Clear => AnsiColor::Green.on_default(),
    }
}
