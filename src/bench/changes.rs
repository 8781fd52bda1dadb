//! What a save changed: findings that got better or worse, problems that came or went.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

use anstyle::{AnsiColor, Style};

use crate::fit::finding::Finding;
use crate::fit::verdict::Verdict;
use crate::measure::shown;
use crate::problem::Problem;
use crate::report::text;
use crate::session::Session;

/// What is remembered of one state of the journal, to be compared with the next.
#[derive(Debug, Default)]
pub(super) struct State {
    /// Verdict and figure of each finding, by build, check and what it is about.
    findings: BTreeMap<(String, String), (Option<Verdict>, Option<f64>)>,
    problems: BTreeSet<String>,
}

impl State {
    pub(super) fn of(session: &Session, problems: &[Problem]) -> State {
        let reports = session.reports().all();
        let findings = reports.iter().flat_map(|report| {
            report.findings.iter().map(|finding| ((report.slug.clone(), finding.key()), told(finding)))
        });
        State { findings: findings.collect(), problems: problems.iter().map(text::problem).collect() }
    }

    /// All problems in words.
    pub(super) fn problems(&self) -> String {
        self.problems.iter().map(String::as_str).collect()
    }

    /// The differences in words, one a line: what got worse, what got better, what is new and what
    /// is gone; then the problems. Empty where nothing of that changed.
    pub(super) fn since(&self, before: &State) -> String {
        let mut lines = Vec::new();
        let keys: BTreeSet<_> = self.findings.keys().chain(before.findings.keys()).collect();
        for key in keys {
            let (now, then) = (self.findings.get(key), before.findings.get(key));
            if now.map(|one| one.0) == then.map(|one| one.0) {
                continue;
            }
            lines.push(line(key, now.copied(), then.copied()));
        }
        lines.sort_by_key(|line| line.0);
        let mut out: String = lines.into_iter().map(|(_, text)| text).collect();
        for problem in self.problems.difference(&before.problems) {
            out.push_str(problem);
        }
        for problem in before.problems.difference(&self.problems) {
            let style = AnsiColor::Green.on_default();
            let _ = writeln!(out, "{style}mended{style:#}: {}", mended(problem));
        }
        out
    }
}

/// The first line of a problem that is none any more: without the word that called it one.
fn mended(problem: &str) -> String {
    let first = anstream::adapter::strip_str(problem.lines().next().unwrap_or_default()).to_string();
    match first.split_once(": error: ").or_else(|| first.split_once(": warning: ")) {
        Some((place, words)) => format!("{place}: {words}"),
        None => first,
    }
}

type Told = (Option<Verdict>, Option<f64>);

fn told(finding: &Finding) -> Told {
    (finding.verdict, finding.result.map(|result| result.nominal))
}

/// A finding's line, and its place among the lines: worse first.
fn line((slug, key): &(String, String), now: Option<Told>, then: Option<Told>) -> (u8, String) {
    let verdict = |told: Option<Told>| told.and_then(|(verdict, _)| verdict);
    let (rank, word, style) = match (verdict(now), verdict(then)) {
        (Some(now), Some(then)) if now > then => (0, "worse", AnsiColor::Red.on_default()),
        (Some(_), Some(_)) => (1, "better", AnsiColor::Green.on_default()),
        (Some(Verdict::Clear), None) => (2, "new", AnsiColor::Green.on_default()),
        (Some(_), None) => (2, "new", AnsiColor::Red.on_default()),
        (None, _) => (3, "gone", Style::new()),
    };
    let mut out = format!("{style}{word:<6}{style:#}  {slug}  {key}  ");
    let words: Vec<&str> = [then, now].into_iter().filter_map(verdict).map(Verdict::word).collect();
    out.push_str(&words.join(" -> "));
    let figures: Vec<String> =
        [then, now].into_iter().flatten().filter_map(|told| told.1).map(shown).collect();
    if !figures.is_empty() {
        let _ = write!(out, "  ({})", figures.join(" -> "));
    }
    out.push('\n');
    (rank, out)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn state(findings: &[(&str, Option<Verdict>, f64)], problems: &[&str]) -> State {
        State {
            findings: findings
                .iter()
                .map(|(key, verdict, nominal)| {
                    (("lantern".into(), (*key).into()), (*verdict, Some(*nominal)))
                })
                .collect(),
            problems: problems.iter().map(|problem| format!("{problem}\n")).collect(),
        }
    }

    #[test]
    fn worse_comes_before_better_and_what_stayed_is_not_told() {
        let before = state(
            &[
                ("dial-in-seat", Some(Verdict::Fouls), -0.1),
                ("dial-hole", Some(Verdict::Clear), 0.5),
                ("stem-height", Some(Verdict::Clear), 0.0),
                ("hand-fit minute", Some(Verdict::Tight), 0.01),
                ("stem-length", None, 11.2),
            ],
            &["a.md:1:1: error: x"],
        );
        let now = state(
            &[
                ("dial-in-seat", Some(Verdict::Clear), 0.1),
                ("dial-hole", Some(Verdict::Tight), 0.15),
                ("stem-height", Some(Verdict::Clear), 0.01),
                ("crown-gap", Some(Verdict::Fouls), 0.4),
                ("stem-length", None, 11.3),
            ],
            &["b.md:2:1: error: y"],
        );
        let told = anstream::adapter::strip_str(&now.since(&before)).to_string();
        assert_eq!(
            told,
            "worse   lantern  dial-hole  clear -> tight  (0.50 -> 0.15)\n\
             better  lantern  dial-in-seat  fouls -> clear  (\u{2212}0.10 -> 0.10)\n\
             new     lantern  crown-gap  fouls  (0.40)\n\
             gone    lantern  hand-fit minute  tight  (0.01)\n\
             b.md:2:1: error: y\n\
             mended: a.md:1:1: x\n"
        );
        assert_eq!(now.since(&now), "");
    }
}
