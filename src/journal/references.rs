//! Words of one file that name something of another: parts, sheets, slots, photos.

use std::collections::BTreeMap;

use crate::problem::{self, Problem, did_you_mean_one_of_many};
use crate::text::{Files, Located, Span};

use super::build::{Build, Filling};
use super::entry::Entry;
use super::fields::Kind;
use super::part::{CalibreSheet, Part, PartSource};
use super::reader::Reader;
use super::slot::Slot;

/// Checks what a build and its entries name. `kinds` says what every part is.
pub(super) fn check(reader: &mut Reader<'_>, build: &Build, kinds: &BTreeMap<String, &'static Kind>) {
    for (slot, filling) in &build.slots {
        if let Filling::Part(id) = filling {
            check_slot(reader, *slot, id, kinds);
        }
    }
    if let Some(cover) = &build.cover {
        check_photo(reader, build, &cover.value, cover.span, "cover");
    }
    for entry in &build.entries {
        check_entry(reader, build, entry, kinds);
    }
}

fn check_entry(
    reader: &mut Reader<'_>,
    build: &Build,
    entry: &Entry,
    kinds: &BTreeMap<String, &'static Kind>,
) {
    for (slot, part) in &entry.fitted {
        match part {
            Some(part) => check_slot(reader, slot.value, part, kinds),
            None if !build.slots.contains_key(&slot.value) => {
                let name = slot.value.name();
                reader.error(
                    slot.span,
                    format!("`{name}` was fitted, but build.md names no part for it: add `{name}: ` under `parts:` there, or write `{name}: part` here"),
                );
            }
            None => {}
        }
    }
    for part in entry.had.iter().chain(entry.left.iter().map(|left| &left.part)) {
        check_part(reader, part, kinds);
    }
    for photo in &entry.photos {
        check_photo(reader, build, &photo.file.value, photo.file.span, "photo");
        if photo.alt.as_deref().is_none_or(|alt| alt.trim().is_empty()) {
            let file = &photo.file.value;
            reader.warning(
                photo.file.span,
                format!("the photo `{file}` has no alt text: say in `alt:` what it shows"),
            );
        }
    }
}

fn check_slot(
    reader: &mut Reader<'_>,
    slot: Slot,
    id: &Located<String>,
    kinds: &BTreeMap<String, &'static Kind>,
) {
    let Some(kind) = check_part(reader, id, kinds) else { return };
    if kind.name != slot.kind() {
        let message = format!(
            "`{}` is a {}, and the slot `{}` takes a {}",
            id.value,
            kind.name.replace('_', " "),
            slot.name(),
            slot.kind().replace('_', " ")
        );
        reader.error(id.span, message);
    }
}

fn check_part(
    reader: &mut Reader<'_>,
    id: &Located<String>,
    kinds: &BTreeMap<String, &'static Kind>,
) -> Option<&'static Kind> {
    let kind = kinds.get(&id.value).copied();
    if kind.is_none() && !reader.is_full() {
        let known = kinds.keys().map(String::as_str);
        let near = did_you_mean_one_of_many(&id.value, known, reader.problems.len());
        reader.error(id.span, format!("there is no part `{}` in parts/{near}", id.value));
    }
    kind
}

fn check_photo(reader: &mut Reader<'_>, build: &Build, file: &str, span: Span, what: &str) {
    // In the order of their names, so that thousands are looked up quickly.
    if build.photos.binary_search_by(|photo| photo.as_str().cmp(file)).is_err() && !reader.is_full() {
        let known = build.photos.iter().map(String::as_str);
        let near = did_you_mean_one_of_many(file, known, reader.problems.len());
        reader.error(span, format!("there is no {what} `{file}` in builds/{}{near}", build.slug));
    }
}

/// Checks what parts name: donors.
pub(super) fn check_parts(files: &Files, problems: &mut Vec<Problem>, parts: &BTreeMap<String, Part>) {
    let mut told = Vec::new();
    for part in parts.values() {
        let Some(PartSource::Donor(donor)) = &part.from.source else { continue };
        if problem::MOST < told.len() {
            break;
        }
        let place = files.place(donor.span);
        match parts.get(&donor.value) {
            None => {
                let watches = parts.values().filter(|part| part.kind.name == "watch");
                let watches: Vec<&str> = watches.map(|part| part.id.value.as_str()).collect();
                let near = did_you_mean_one_of_many(&donor.value, watches.into_iter(), told.len());
                let message = format!("there is no donor `{}` in parts/{near}", donor.value);
                problem::tell(&mut told, Problem::error(place, message));
            }
            Some(watch) if watch.kind.name != "watch" => {
                let message =
                    format!("`{}` is a {}; a donor is a part of kind `watch`", donor.value, watch.kind.name);
                let problem = Problem::error(place, message);
                problem::tell(&mut told, problem.and(files.place(watch.id.span), "it stands here"));
            }
            Some(_) => {}
        }
    }
    problems.append(&mut told);
}

/// Checks that movements name sheets that there are.
pub(super) fn check_calibres(
    files: &Files,
    problems: &mut Vec<Problem>,
    parts: &BTreeMap<String, Part>,
    sheets: &BTreeMap<String, CalibreSheet>,
) {
    let mut told = Vec::new();
    for part in parts.values() {
        let calibre = part.own.text("calibre").zip(part.own.span("calibre"));
        let dials = part.own.texts("feet_for").iter().map(|id| (id.value.as_str(), id.span));
        for (id, span) in calibre.into_iter().chain(dials) {
            if !sheets.contains_key(id) && told.len() <= problem::MOST {
                let near = did_you_mean_one_of_many(id, sheets.keys().map(String::as_str), told.len());
                let message = format!("there is no calibre sheet `{id}`, built in or in calibres/{near}");
                problem::tell(&mut told, Problem::error(files.place(span), message));
            }
        }
    }
    problems.append(&mut told);
}
