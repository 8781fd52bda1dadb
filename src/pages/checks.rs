//! The checks explained, with this journal's findings of each.

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};

use crate::draw;
use crate::fit::bands::{Advised, Bands};
use crate::fit::check::{Check, Group};
use crate::fit::checks::ALL;
use crate::fit::finding::Finding;
use crate::fit::verdict::Verdict;
use crate::journal::Slot;

use super::addresses::way;
use super::context::{CheckFinding, CheckGroup, CheckPage, CheckSummary, ChecksPage, Count, Link, Need};
use super::markup::escape;
use super::source::Source;
use super::{build, findings, needs, words};

/// What the page of one check shows of one build.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub(super) struct Lines {
    pub(super) lines: Vec<CheckFinding>,
    /// The dimensions that the check asked for.
    pub(super) names: BTreeSet<String>,
}

/// What the pages of checks show of all builds, in their order: by check.
pub(super) struct ByCheck<'a>(BTreeMap<&'a str, Vec<&'a Lines>>);

impl<'a> ByCheck<'a> {
    pub(super) fn of(builds: impl Iterator<Item = &'a BTreeMap<String, Lines>>) -> ByCheck<'a> {
        let mut out: BTreeMap<&str, Vec<&Lines>> = BTreeMap::new();
        for (id, lines) in builds.flatten() {
            out.entry(id).or_default().push(lines);
        }
        ByCheck(out)
    }

    /// Those of one check.
    pub(super) fn all(&self, check: &Check) -> &[&'a Lines] {
        self.0.get(check.id).map_or(&[], Vec::as_slice)
    }
}

/// All checks at `page`.
pub(super) fn list(source: &Source<'_>, bands: &Bands, findings: &ByCheck<'_>, page: &str) -> ChecksPage {
    let mut groups: Vec<CheckGroup> = Vec::new();
    for check in ALL {
        let summary = CheckSummary {
            id: check.id.to_owned(),
            href: source.addresses.checks.get(check.id).map(|path| way(page, path)).unwrap_or_default(),
            title: words::capital(check.title),
            band: band_words(check, bands.all(check.id)),
            counts: counts(findings.all(check)),
        };
        let title = check.group.title();
        match groups.iter_mut().find(|group| group.title == title) {
            Some(group) => group.checks.push(summary),
            None => groups.push(CheckGroup { title: title.to_owned(), checks: vec![summary] }),
        }
    }
    ChecksPage { groups, total: ALL.len() }
}

/// The page of the check that is number `at` of [`ALL`].
pub(super) fn page(
    source: &Source<'_>,
    bands: &Bands,
    findings: &ByCheck<'_>,
    at: usize,
    page: &str,
) -> CheckPage {
    let check = ALL[at];
    let advised = bands.all(check.id);
    let paragraph = |title: &str, text: &str| {
        if text.is_empty() {
            String::new()
        } else {
            format!("<p><b>{}</b> {}</p>", escape(title), coded(text))
        }
    };
    let neighbour = |at: Option<usize>| {
        let check = *ALL.get(at?)?;
        let href = source.addresses.checks.get(check.id).map(|path| way(page, path))?;
        Some(Link { text: words::capital(check.title), href })
    };
    let mut sources: Vec<String> = advised.iter().map(|one| one.source.clone()).collect();
    sources.dedup();
    CheckPage {
        id: check.id.to_owned(),
        title: words::capital(check.title),
        text_html: format!(
            "<p>{}</p>{}{}",
            coded(check.asks),
            paragraph("If it is ignored:", check.ignored),
            paragraph("What people do:", check.remedy)
        ),
        formula: formula(check),
        band: band_words(check, advised),
        contact: contact_words(check, advised),
        source: sources.join("; "),
        drawing_svg: draw::thumbnail(check.thumbnail),
        measured_html: coded(check.measured),
        needs: needs(findings.all(check), check),
        cautions: cautions(check),
        findings: of_check(findings.all(check)),
        previous: neighbour(at.checked_sub(1)),
        next: neighbour(Some(at + 1)),
    }
}

/// A check's formula in words.
pub(super) fn formula(check: &Check) -> String {
    check.formula.replace('`', "")
}

/// The dimensions that a check needs, in the order of the slots, then of their names.
fn needs(told: &[&Lines], check: &Check) -> Vec<Need> {
    let mut names: BTreeSet<&str> = needs::of(check.id).iter().map(String::as_str).collect();
    names.extend(told.iter().flat_map(|lines| &lines.names).map(String::as_str));
    let slot = |name: &str| {
        let slot = name.split('.').next().and_then(Slot::of);
        Slot::ALL.iter().position(|known| Some(*known) == slot)
    };
    let mut out: Vec<Need> =
        names.into_iter().map(|name| Need { name: name.to_owned(), what: findings::what(name) }).collect();
    // A list's items are told once.
    out.dedup_by(|a, b| !a.what.is_empty() && a.what == b.what);
    out.sort_by_key(|need| slot(&need.name));
    out
}

/// What can hurt in the work that a check leads to.
fn cautions(check: &Check) -> Vec<String> {
    let mut out: Vec<String> = crate::fit::advice::cautions_of(check.id).map(findings::sentence).collect();
    if check.group == Group::Water {
        out.push(crate::fit::cautions::water().words.clone());
    }
    if crate::fit::advice::cuts(check.id) {
        out.push(format!(
            "Where the lume is radium, tritium or of an unknown kind: {}",
            crate::fit::cautions::lume_words()
        ));
    }
    out
}

/// A check's findings over all builds, trouble first.
fn of_check(told: &[&Lines]) -> Vec<CheckFinding> {
    let mut out: Vec<CheckFinding> = told.iter().flat_map(|lines| &lines.lines).cloned().collect();
    out.sort_by_key(|line: &CheckFinding| !line.verdict.attention);
    out
}

/// A finding as a line in a list over builds.
pub(super) fn line(source: &Source<'_>, page: &str, slug: &str, finding: &Finding) -> Option<CheckFinding> {
    let verdict: Verdict = finding.verdict?;
    let build = source.build_link(page, slug)?;
    let title = words::capital(&finding.title);
    let figure = finding.result.as_ref().map(|result| {
        format!("{} {}", crate::measure::figure(result.nominal), finding.unit).trim().to_owned()
    });
    Some(CheckFinding {
        finding: build::finding_link(source, page, slug, &findings::anchor(finding), &title),
        build,
        verdict: findings::verdict(verdict, finding.accepted.is_some()),
        figure: figure.unwrap_or_default(),
        mini_svg: findings::mini(finding),
    })
}

/// A text of the checks' table as HTML: what stands between backticks is a name in the files.
fn coded(text: &str) -> String {
    let mut out = String::new();
    for (at, piece) in text.split('`').enumerate() {
        let piece = escape(piece);
        out.push_str(&if at % 2 == 1 { format!("<code>{piece}</code>") } else { piece });
    }
    out
}

/// How many findings of the published builds have which verdict.
fn counts(told: &[&Lines]) -> Vec<Count> {
    let verdicts: Vec<_> = told.iter().flat_map(|lines| &lines.lines).map(|line| &line.verdict).collect();
    let mut out: Vec<Count> = Vec::new();
    for word in ["clear", "tight", "fouls", "unmeasured"] {
        let these = || verdicts.iter().filter(|verdict| verdict.word == word);
        let count = these().count();
        if count > 0 {
            let verdict = super::context::Verdict {
                word: word.to_owned(),
                attention: these().any(|verdict| verdict.attention),
            };
            out.push(Count { count, verdict, ..Count::default() });
        }
    }
    out
}

fn band_words(check: &Check, advised: &[Advised]) -> String {
    several(check, advised, |one| findings::band(one.band))
}

fn contact_words(check: &Check, advised: &[Advised]) -> String {
    let none = advised.iter().all(|one| one.contact.low.is_none() && one.contact.high.is_none());
    if none { String::new() } else { several(check, advised, |one| findings::outside(one.contact)) }
}

fn several(check: &Check, advised: &[Advised], words: impl Fn(&Advised) -> String) -> String {
    let unit = if check.unit.is_empty() { String::new() } else { format!(" {}", check.unit) };
    let each = advised.iter().map(|one| {
        let variant = if one.variant.is_empty() { String::new() } else { format!("{}: ", one.variant) };
        format!("{variant}{}{unit}", words(one))
    });
    each.collect::<Vec<_>>().join("; ")
}
