//! Parts: their sizes as they came and as they are, and what happened to them.

use std::collections::BTreeMap;

use crate::journal::{Content, PartSource as From, Spec};
use crate::ledger::Unit;

use super::addresses::way;
use super::caution;
use super::context::{PartDimension, PartView};
use super::log::content_words;
use super::source::Source;
use super::words;

/// Fields that are said elsewhere or are no property of the part.
const NOT_SIZES: [&str; 8] = ["kind", "name", "note", "serial", "like", "origin", "count", "calibre"];

/// The part for the page at `page`, its sizes in a stay that ended before `until` or go on.
pub(super) fn view(
    source: &Source<'_>,
    unit: &Unit,
    page: &str,
    now: &Spec,
    wanted: &BTreeMap<String, String>,
) -> PartView {
    let came = unit.as_came();
    let (dimensions, said) = dimensions(source, unit, &came, now, wanted);
    let part = source.journal.parts.get(&unit.id);
    let mut notes = Vec::new();
    if let Some(calibre) = now.text("calibre") {
        notes.push(format!("calibre {calibre}"));
    }
    if !said.is_empty() {
        notes.push(said.join(", "));
    }
    if let Some(serial) = now.text("serial").filter(|_| source.shows_serials()) {
        notes.push(format!("serial {serial}"));
    }
    if let Some(note) = now.text("note") {
        notes.push(note.to_owned());
    }
    let caution = caution::active_lume(source, &unit.id)
        .map(|lume| format!("{} lume. {}", words::capital(&lume), crate::fit::cautions::lume_words()))
        .unwrap_or_default();
    PartView {
        id: if unit.id.contains('/') { String::new() } else { unit.id.clone() },
        href: source.addresses.parts.get(&unit.id).map(|path| way(page, path)).unwrap_or_default(),
        name: source.part_name(&unit.id),
        kind: words::label(unit.kind.name),
        slot: String::new(),
        from: part.map(|part| from(source, part)).unwrap_or_default(),
        notes,
        caution,
        dimensions,
    }
}

/// Where a part is from: "from the parlour watch, 20 December 2025".
pub(super) fn from(source: &Source<'_>, part: &crate::journal::Part) -> String {
    let mut pieces = Vec::new();
    match &part.from.source {
        Some(From::Donor(donor)) => pieces.push(format!("from {}", source.part_name(&donor.value))),
        Some(From::Bought(place)) => pieces.push(format!("bought: {place}")),
        Some(From::Made(by)) => pieces.push(format!("made: {by}")),
        Some(From::Given(by)) => pieces.push(format!("given: {by}")),
        None => {}
    }
    if let Some(date) = &part.from.date {
        pieces.push(words::day(date.value));
    }
    pieces.join(", ")
}

fn dimensions(
    source: &Source<'_>,
    unit: &Unit,
    came: &Spec,
    now: &Spec,
    wanted: &BTreeMap<String, String>,
) -> (Vec<PartDimension>, Vec<String>) {
    let sheet = now.text("calibre").and_then(|calibre| source.journal.sheets.get(calibre));
    // What the sheet says is the part's own unless it was measured again.
    let over = |own: &Spec| sheet.map_or_else(|| own.clone(), |sheet| own.over(&sheet.spec));
    let (came, now) = (over(came), over(now));
    let mut paths: Vec<&str> = now.iter().map(|(path, _)| path).collect();
    let order = |path: &str| {
        let head = path.split('.').next().unwrap_or(path);
        let own = unit.kind.fields.iter().position(|field| field.name == head);
        let also = unit.kind.also.iter().position(|field| field.name == head).map(|at| at + 1000);
        own.or(also).unwrap_or(usize::MAX)
    };
    paths.sort_by_key(|path| order(path));
    let mut out = Vec::new();
    let mut said = Vec::new();
    for path in paths {
        let head = path.split('.').next().unwrap_or(path);
        if NOT_SIZES.contains(&head) || head == "from" || head == "source" {
            continue;
        }
        let (Some(is), was) = (now.get(path), came.get(path)) else { continue };
        let before = was.map(|was| came_words(&was.value, &is.value)).unwrap_or_default();
        let note = note(source, unit, path);
        match &is.value {
            Content::Size(size) => {
                let told = words::size(size);
                out.push(PartDimension {
                    label: words::label(path),
                    name: path.to_owned(),
                    came: before,
                    value: told.value,
                    tolerance: told.tolerance,
                    unit: told.unit,
                    origin: size.origin.word().to_owned(),
                    note,
                    ..PartDimension::default()
                });
            }
            Content::Items(items) => out.push(PartDimension {
                label: words::label(path),
                name: path.to_owned(),
                came: before,
                value: if items.is_empty() { "none".to_owned() } else { words::number(items.len()) },
                note: [note, places(items)]
                    .into_iter()
                    .filter(|text| !text.is_empty())
                    .collect::<Vec<_>>()
                    .join("; "),
                ..PartDimension::default()
            }),
            other => said.extend(said_of(path, other, &before)),
        }
    }
    let mut out = joined(out);
    for (path, range) in wanted {
        if now.get(path).is_none() {
            out.push(PartDimension {
                label: words::label(path),
                name: path.clone(),
                wanted: range.clone(),
                missing: true,
                ..PartDimension::default()
            });
        }
    }
    (out, said)
}

/// What a word or a flag says: "domed", "lume none", "does not hack".
fn said_of(path: &str, content: &Content, before: &str) -> Option<String> {
    let label = words::label(path);
    let told = match content {
        Content::Flag(true) => label,
        Content::Flag(false) => format!("no {label}"),
        Content::Text(text) if matches!(path, "form" | "material" | "end") => text.clone(),
        other => {
            let words = content_words(other);
            if words.is_empty() {
                return None;
            }
            format!("{label} {words}")
        }
    };
    Some(if before.is_empty() { told } else { format!("{told} (came as {before})") })
}

/// Sizes of one group that are known alike stand in one line: "rehaut, bottom / top / height".
fn joined(lines: Vec<PartDimension>) -> Vec<PartDimension> {
    let mut out: Vec<PartDimension> = Vec::new();
    for line in lines {
        let group = |line: &PartDimension| line.name.rsplit_once('.').map(|(group, _)| group.to_owned());
        let plain =
            |line: &PartDimension| line.came.is_empty() && line.note.is_empty() && !line.origin.is_empty();
        let alike = out.last().is_some_and(|last| {
            group(last).is_some()
                && group(last) == group(&line)
                && plain(last)
                && plain(&line)
                && (&last.tolerance, &last.unit, &last.origin) == (&line.tolerance, &line.unit, &line.origin)
        });
        match out.last_mut().filter(|_| alike) {
            Some(last) => {
                let own = line.name.rsplit_once('.').map_or(line.name.as_str(), |(_, own)| own);
                last.label.push_str(&format!(" / {}", words::label(own)));
                last.value.push_str(&format!(" / {}", line.value));
            }
            None => out.push(line),
        }
    }
    out
}

/// Where things of a list are: "5h25 and 11h10, radius 12.60, diameter 0.70" where they are alike but
/// for their direction, else one after the other.
fn places(items: &[Spec]) -> String {
    let rest = |item: &Spec| {
        let each =
            item.iter().filter(|(path, _)| *path != "at").map(|(path, content)| match &content.value {
                Content::Size(size) => format!("{} {}", words::label(path), words::size(size).value),
                other => content_words(other),
            });
        each.collect::<Vec<_>>().join(", ")
    };
    let at = |item: &Spec| item.size("at").map(|size| words::size(&size.value).value).unwrap_or_default();
    let Some(first) = items.first() else { return String::new() };
    if items.iter().all(|item| rest(item) == rest(first) && item.get("at").is_some()) {
        let ats: Vec<String> = items.iter().map(at).collect();
        return format!("{}, {}", words::row(&ats), rest(first));
    }
    let each = items.iter().map(|item| {
        [at(item), rest(item)].into_iter().filter(|t| !t.is_empty()).collect::<Vec<_>>().join(", ")
    });
    each.collect::<Vec<_>>().join("; ")
}

/// The value as it came; empty where nothing changed but how well it is known.
fn came_words(was: &Content, is: &Content) -> String {
    match (was, is) {
        (Content::Size(was), Content::Size(is)) if was.value == is.value => String::new(),
        (Content::Size(was), _) => words::size(was).value,
        (Content::Items(was), Content::Items(is)) => {
            if was == is {
                String::new()
            } else {
                words::number(was.len())
            }
        }
        (was, is) => {
            let (was, is) = (content_words(was), content_words(is));
            if was == is { String::new() } else { was }
        }
    }
}

/// How a size changed, by the last change that speaks of it; nothing of a hidden build's log.
fn note(source: &Source<'_>, unit: &Unit, path: &str) -> String {
    let head = path.split('.').next().unwrap_or(path);
    let last = unit.changes.iter().rev().find(|change| {
        change.sizes.get(path).is_some() || change.sizes.iter().any(|(changed, _)| changed == head)
    });
    let Some(change) = last.filter(|change| source.build(&change.build).is_some()) else {
        return String::new();
    };
    let day = words::day(change.when.at.date());
    match &change.altered {
        Some(altered) => format!("{}, {day}", altered.words()),
        // That it was measured is said by how it is known.
        None => String::new(),
    }
}
