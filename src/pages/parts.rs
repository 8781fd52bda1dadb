//! Parts: their sizes as they came and as they are, and what happened to them.

use std::collections::BTreeMap;

use crate::journal::{Content, Source as From, Spec};
use crate::ledger::Unit;

use super::addresses::way;
use super::caution;
use super::context::{CheckFinding, HistoryLine, Link, PartDimension, PartPage, PartView, Picture, UsedIn};
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
fn from(source: &Source<'_>, part: &crate::journal::Part) -> String {
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
        let note = note(unit, path);
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

/// How a size changed, by the last change that speaks of it.
fn note(unit: &Unit, path: &str) -> String {
    let head = path.split('.').next().unwrap_or(path);
    let last = unit.changes.iter().rev().find(|change| {
        change.sizes.get(path).is_some() || change.sizes.iter().any(|(changed, _)| changed == head)
    });
    let Some(change) = last else { return String::new() };
    let day = words::day(change.when.at.date());
    match &change.altered {
        Some(altered) => format!("{}, {day}", altered.how),
        // That it was measured is said by how it is known.
        None => String::new(),
    }
}

/// The page of a part.
pub(super) fn page(
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
        part: view(source, unit, path, &now, &BTreeMap::new()),
        now: whereabouts.phrase(),
        history: history(source, unit, path),
        builds: used_in(source, unit, path),
        findings,
        price: price.filter(|_| source.shows_prices()).map(|price| source.money(price)).unwrap_or_default(),
        photos: photos(source, unit, path),
        previous: neighbours.0,
        next: neighbours.1,
    }
}

fn history(source: &Source<'_>, unit: &Unit, page: &str) -> Vec<HistoryLine> {
    let mut out: Vec<(Option<jiff::civil::DateTime>, HistoryLine)> = Vec::new();
    let line = |at: Option<jiff::civil::DateTime>, what: &str, detail: String, entry: Link| {
        let day = at.map(jiff::civil::DateTime::date);
        let told = HistoryLine {
            date: day.map(words::day).unwrap_or_default(),
            iso: day.map(|day| day.to_string()).unwrap_or_default(),
            what: what.to_owned(),
            detail,
            entry,
        };
        (at, told)
    };
    if let Some(had) = unit.had {
        let detail = source.journal.parts.get(&unit.id).map(|part| from(source, part)).unwrap_or_default();
        out.push(line(Some(had.at), "came", detail, entry_at(source, page, had.span)));
    }
    if let Some(lot) = &unit.split_from {
        out.push(line(None, "one of a lot", source.part_name(lot), source.part_link(page, lot)));
    }
    for change in &unit.changes {
        // What a hidden build's log says is not told.
        let Some(entry) = source.entry_link(page, &change.build, &change.entry) else { continue };
        let sizes = change
            .sizes
            .iter()
            .map(|(path, content)| format!("{} {}", words::label(path), content_words(&content.value)))
            .collect::<Vec<_>>()
            .join(", ");
        let (what, by) = match &change.altered {
            Some(altered) => (altered.how.as_str(), altered.by.clone()),
            None => ("measured", None),
        };
        let detail =
            [Some(sizes).filter(|sizes| !sizes.is_empty()), by].into_iter().flatten().collect::<Vec<_>>();
        out.push(line(Some(change.when.at), what, detail.join("; "), entry));
    }
    for stay in source.stays(unit) {
        let Some(build) = source.build_link(page, &stay.build) else { continue };
        let what = if stay.planned { "planned" } else { "fitted" };
        let detail = format!("{} of {}", stay.slot.words(), build.text);
        out.push(line(stay.from, what, detail, entry_or(source, page, stay.span, &build)));
        if let Some(to) = stay.to {
            out.push(line(Some(to), "removed", format!("from {}", build.text), build));
        }
    }
    for gone in &unit.gone {
        let link = entry_at(source, page, gone.when.span);
        let detail = if gone.count > 1 { gone.count.to_string() } else { String::new() };
        // A place in a hidden build's log has no link, and its day is still the part's own.
        out.push(line(Some(gone.when.at), &gone.how, detail, link));
    }
    out.sort_by_key(|(at, _)| *at);
    out.into_iter().map(|(_, line)| line).collect()
}

/// The entry that holds a place; nothing for a place outside the published logs.
fn entry_at(source: &Source<'_>, page: &str, span: crate::text::Span) -> Link {
    let Some((build, entry)) = source.entry_of(span) else { return Link::default() };
    source.entry_link(page, &build.slug, &entry.name).unwrap_or_default()
}

fn entry_or(source: &Source<'_>, page: &str, span: crate::text::Span, build: &Link) -> Link {
    let entry = entry_at(source, page, span);
    if entry.text.is_empty() { build.clone() } else { entry }
}

fn used_in(source: &Source<'_>, unit: &Unit, page: &str) -> Vec<UsedIn> {
    let stays = source.stays(unit).filter_map(|stay| {
        let when = match (stay.planned, stay.from, stay.to) {
            (true, ..) => "planned".to_owned(),
            (_, Some(from), Some(to)) => format!("{} to {}", words::day(from.date()), words::day(to.date())),
            (_, Some(from), None) => format!("since {}", words::day(from.date())),
            (_, None, Some(to)) => format!("until {}", words::day(to.date())),
            (_, None, None) => String::new(),
        };
        let build = source.build_link(page, &stay.build)?;
        Some(UsedIn { build, slot: stay.slot.words().to_owned(), when, ..UsedIn::default() })
    });
    stays.collect()
}

/// Photos of the entries that altered or measured the part.
fn photos(source: &Source<'_>, unit: &Unit, page: &str) -> Vec<Picture> {
    let mut out = Vec::new();
    let mut seen = Vec::new();
    for change in unit.changes.iter().filter(|change| change.altered.is_some()) {
        let key = (&change.build, &change.entry);
        let Some(build) = source.build(&change.build).filter(|_| !seen.contains(&key)) else { continue };
        seen.push(key);
        let Some(entry) = build.entries.iter().find(|entry| entry.name == change.entry) else { continue };
        let from = source.entry_link(page, &build.slug, &entry.name).unwrap_or_default();
        for photo in &entry.photos {
            let shown = super::log::Shown {
                file: photo.file.value.clone(),
                alt: photo.alt.clone().unwrap_or_default(),
                caption: photo.caption.clone().unwrap_or_default(),
            };
            out.extend(super::log::picture(source, build, &shown, page, from.clone()));
        }
    }
    out
}
