//! The audit: what is booked twice, what is left over, what it cost, what is still to be measured.

use std::collections::BTreeMap;

use crate::fit::verdict::Verdict;

use super::addresses::way;
use super::checked::Checked;
use super::context::{AuditPage, AuditSection, Link};
use super::source::Source;
use super::{bin, build, checks, words};

/// The audit at `page`.
pub(super) fn page(source: &Source<'_>, checked: &BTreeMap<String, Checked>, page: &str) -> AuditPage {
    let mut sections = vec![
        booked_twice(source, checked, page),
        to_measure(source, checked, page),
        left_over(source, page),
        gone(source, page),
    ];
    sections.extend(costs(source, page));
    AuditPage { sections }
}

fn words_only(text: impl Into<String>) -> Link {
    Link { text: text.into(), href: String::new() }
}

fn section(title: &str, about: &str, none: &str, columns: &[&str], rows: Vec<Vec<Link>>) -> AuditSection {
    AuditSection {
        title: title.to_owned(),
        about: if rows.is_empty() { none } else { about }.to_owned(),
        columns: columns.iter().map(|column| (*column).to_owned()).collect(),
        rows,
    }
}

fn booked_twice(source: &Source<'_>, checked: &BTreeMap<String, Checked>, page: &str) -> AuditSection {
    let mut rows = Vec::new();
    for (slug, checked) in checked {
        let findings = checked.report.iter().flat_map(|report| &report.findings);
        for finding in findings.filter(|finding| finding.check.id == "part-booked-once") {
            if matches!(finding.verdict, Some(Verdict::Fouls | Verdict::Tight))
                && let Some(line) = checks::line(source, page, slug, finding)
            {
                let why = source.withheld(&finding.text.replace('`', ""));
                rows.push(vec![line.build, line.finding, words_only(why)]);
            }
        }
    }
    section("Booked twice", "", "No part is in two builds at one time.", &["build", "finding", "why"], rows)
}

fn to_measure(source: &Source<'_>, checked: &BTreeMap<String, Checked>, page: &str) -> AuditSection {
    let mut rows = Vec::new();
    for (slug, checked) in checked {
        let Some(build) = source.build_link(page, slug) else { continue };
        for (slot, paths) in &checked.wanted {
            for (path, range) in paths {
                let range = if range.is_empty() { "not known" } else { range };
                let name = format!("{slot}.{path}");
                rows.push(vec![build.clone(), words_only(name), words_only(range)]);
            }
        }
    }
    section(
        "Still to be measured",
        "Dimensions that a check needs.",
        "Every check has what it needs.",
        &["build", "dimension", "must be"],
        rows,
    )
}

fn left_over(source: &Source<'_>, page: &str) -> AuditSection {
    let mut rows = Vec::new();
    for unit in bin::order(source) {
        let whereabouts = source.whereabouts(page, unit);
        if whereabouts.state == "free" && unit.kind.name != "watch" {
            let kind = words::label(unit.kind.name);
            rows.push(vec![source.part_link(page, &unit.id), words_only(kind), words_only(whereabouts.now)]);
        }
    }
    section(
        "Left over",
        "Parts that no build holds.",
        "Every part is in a build.",
        &["part", "kind", "now"],
        rows,
    )
}

fn gone(source: &Source<'_>, page: &str) -> AuditSection {
    let mut rows = Vec::new();
    for unit in bin::order(source) {
        for gone in unit.gone.iter().filter(|gone| gone.how != "split") {
            let number = if gone.count > 1 { format!("{} of them, ", gone.count) } else { String::new() };
            rows.push(vec![
                source.part_link(page, &unit.id),
                words_only(format!("{number}{}", gone.how)),
                words_only(words::day(gone.when.at.date())),
            ]);
        }
    }
    section(
        "Gone",
        "Parts that were sold, lost, broken, given or used up.",
        "Nothing has left.",
        &["part", "how", "when"],
        rows,
    )
}

fn costs(source: &Source<'_>, page: &str) -> Option<AuditSection> {
    if !source.shows_prices() {
        return None;
    }
    let mut rows = Vec::new();
    let mut all = 0.0;
    for build in source.builds() {
        let sum: f64 = build::prices(source, build).iter().map(|(_, sum)| sum).sum();
        if sum > 0.0 {
            all += sum;
            let href =
                source.addresses.builds.get(&build.slug).map(|path| way(page, path)).unwrap_or_default();
            rows.push(vec![Link { text: build.title.clone(), href }, words_only(source.money(sum))]);
        }
    }
    if all > 0.0 {
        rows.push(vec![words_only("in all"), words_only(source.money(all))]);
    }
    Some(section(
        "Costs",
        "Parts with a price, and what was spent at the bench.",
        "No price is recorded.",
        &["build", "sum"],
        rows,
    ))
}
