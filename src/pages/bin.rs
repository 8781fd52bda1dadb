//! The parts bin.

use std::collections::BTreeMap;

use crate::journal::fields::KINDS;
use crate::journal::{Content, Spec};
use crate::ledger::Unit;

use super::context::{BinGroup, BinPage, BinRow, Choice, FilterGroup};
use super::source::Source;
use super::{gallery, log, parts, words};

/// Puts parts into the bin's order: by kind and then by name.
pub(super) fn sort(units: &mut [&Unit]) {
    let kind = |unit: &Unit| KINDS.iter().position(|kind| kind.name == unit.kind.name).unwrap_or(usize::MAX);
    units.sort_by(|a, b| {
        kind(a).cmp(&kind(b)).then_with(|| a.name.cmp(&b.name)).then_with(|| a.id.cmp(&b.id))
    });
}

/// The bin of parts in these rows, each with its part.
pub(super) fn page(units: &[(&Unit, BinRow)]) -> BinPage {
    let mut groups: Vec<BinGroup> = Vec::new();
    let mut states: BTreeMap<String, usize> = BTreeMap::new();
    for (unit, row) in units {
        let title = plural(unit.kind.name);
        let row = row.clone();
        *states.entry(row.state.clone()).or_default() += 1;
        match groups.last_mut() {
            Some(group) if group.title == title => group.rows.push(row),
            _ => groups.push(BinGroup { id: unit.kind.name.replace('_', "-"), title, rows: vec![row] }),
        }
    }
    let choice = |value: &str| {
        let count = states.get(value).copied().unwrap_or_default();
        Choice { value: value.to_owned(), label: value.to_owned(), count }
    };
    let choices =
        ["free", "fitted", "gone"].into_iter().map(choice).filter(|choice| choice.count > 0).collect();
    let kinds = groups
        .iter()
        .map(|group| Choice {
            value: group.id.clone(),
            label: group.title.to_lowercase(),
            count: group.rows.len(),
        })
        .collect();
    BinPage {
        total: units.len(),
        filters: vec![
            FilterGroup { name: "state".to_owned(), title: "Where".to_owned(), choices },
            FilterGroup { name: "kind".to_owned(), title: "Kind".to_owned(), choices: kinds },
        ],
        groups,
    }
}

pub(super) fn row(source: &Source<'_>, unit: &Unit, page: &str) -> BinRow {
    let spec = unit.spec_in("", None);
    let whereabouts = source.whereabouts(page, unit);
    let size = size(unit, &spec);
    let view = parts::view(source, unit, page, &spec, &BTreeMap::new());
    BinRow {
        id: unit.id.clone(),
        part: source.part_link(page, &unit.id),
        words: gallery::folded(&format!("{} {} {size} {} {}", unit.id, view.name, view.from, view.kind)),
        size,
        from: view.from,
        now: whereabouts.now,
        build: whereabouts.build,
        state: whereabouts.state.to_owned(),
    }
}

/// The first sizes of its kind, by which a part is told from its like.
fn size(unit: &Unit, spec: &Spec) -> String {
    let mut out = Vec::new();
    if let Some(calibre) = spec.text("calibre") {
        out.push(calibre.to_owned());
    }
    for (path, field) in unit.kind.sizes() {
        if out.len() == 3 {
            break;
        }
        if let Some(content) = spec.get(&path)
            && let Content::Size(size) = &content.value
        {
            let told = words::size(size);
            let unit = if told.unit.is_empty() { String::new() } else { format!(" {}", told.unit) };
            out.push(format!("{} {}{unit}", words::label(field.name), told.value));
        }
    }
    if out.is_empty() {
        let first = spec.iter().find(|(path, _)| *path == "form" || *path == "material");
        out.extend(first.map(|(_, content)| log::content_words(&content.value)));
    }
    out.join(", ")
}

fn plural(kind: &str) -> String {
    let words = words::capital(&words::label(kind));
    match kind {
        "watch" => "Donors".to_owned(),
        "ring" => "Movement rings".to_owned(),
        _ => format!("{words}s"),
    }
}
