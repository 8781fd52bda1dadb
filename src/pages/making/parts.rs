//! The page of one part.

use std::collections::BTreeMap;

use crate::fit::finding::Finding;
use crate::ledger::Unit;
use crate::pages::context::{CheckFinding, Link, PartPage};
use crate::pages::excerpt::Opened;
use crate::pages::frame::{About, Frames};
use crate::pages::source::Source;
use crate::pages::theme::Theme;
use crate::pages::{checks, part_history, parts, render, words};

use super::Made;

/// Makes it.
pub(super) fn page(theme: &Theme, opened: &Opened<'_>, id: &str) -> anyhow::Result<Made> {
    let source = &opened.source();
    let frames = Frames { theme, source };
    let (Some(unit), Some(path)) = (source.ledger.units.get(id), source.addresses.parts.get(id)) else {
        return Ok(Made::default());
    };
    let findings = findings_of(source, unit, path);
    let shown = part_page(source, unit, path, findings, opened.neighbours.clone());
    let description = format!("{}, {}.", words::capital(&shown.part.kind), shown.now);
    let about = About {
        title: &shown.part.name,
        description: &description,
        belongs: &source.addresses.bin,
        scripts: &["lightbox.js"],
        kind: "website",
        ..About::default()
    };
    let frame = frames.frame(path, &about);
    let mut made = Made::default();
    made.files.push(render::page(theme, "part.html", path, &frame, "part", &shown)?);
    Ok(made)
}

/// Findings that use one of a part's dimensions and need attention.
fn findings_of(source: &Source<'_>, unit: &Unit, page: &str) -> Vec<CheckFinding> {
    let mut out = Vec::new();
    for stay in source.stays(unit).filter(|stay| stay.to.is_none()) {
        let report = source.report(&stay.build);
        let slot = format!("{}.", stay.slot.name());
        let uses = |finding: &&Finding| finding.names().any(|name| name.starts_with(&slot));
        let findings = report.iter().flat_map(|report| &report.findings).filter(uses);
        let lines = findings.filter_map(|finding| checks::line(source, page, &stay.build, finding));
        out.extend(lines.filter(|line| line.verdict.attention));
    }
    out
}

/// What the page of a part shows.
fn part_page(
    source: &Source<'_>,
    unit: &Unit,
    path: &str,
    findings: Vec<CheckFinding>,
    neighbours: (Option<Link>, Option<Link>),
) -> PartPage {
    let now = unit.spec_in("", None);
    let whereabouts = source.whereabouts(path, unit);
    let price = source.journal.parts.get(&unit.id).and_then(|part| part.from.price);
    PartPage {
        part: parts::view(source, unit, path, &now, &BTreeMap::new()),
        now: whereabouts.phrase(),
        changes: part_history::changes(source, unit, path),
        timing: part_history::timing(source, unit, path),
        history: part_history::history(source, unit, path),
        builds: part_history::used_in(source, unit, path),
        findings,
        price: price.filter(|_| source.shows_prices()).map(|price| source.money(price)).unwrap_or_default(),
        photos: part_history::photos(source, unit, path),
        previous: neighbours.0,
        next: neighbours.1,
    }
}
