//! What the pages over many builds and parts take from each of them: one card each.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::audit;
use crate::draw::Outline;
use crate::fit::finding::Finding;
use crate::fit::inspect::Report;
use crate::fit::key::Key;
use crate::journal::{Build, Slot};
use crate::ledger::{Ledger, Unit};

use super::checked::Checked;
use super::checks::Lines;
use super::context::{BinRow, GalleryRow, Picture};
use super::feed::FeedEntry;
use super::frame::{Frames, shorten};
use super::search::Searchable;
use super::source::Source;
use super::{bin, build as build_page, checks, gallery, log, markdown, part_history, parts, words};

/// A build on the pages over many builds.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub(super) struct BuildCard {
    /// In the gallery.
    pub(super) row: GalleryRow,
    /// In the line-up.
    pub(super) outline: Option<Outline>,
    /// On the page of all photos.
    pub(super) photos: Vec<Picture>,
    /// On the pages of the checks, by their ids.
    pub(super) checks: BTreeMap<String, Lines>,
    /// Of what is still to be measured.
    pub(super) wanted: Key,
    /// In the feed.
    pub(super) news: Vec<FeedEntry>,
    /// In the search.
    pub(super) found: Vec<Searchable>,
    /// The last day of what its pages show, as 2026-02-14; empty where there is none.
    pub(super) day: String,
    /// Its photo for previews elsewhere: path in the journal, and alt text.
    pub(super) cover: Option<(String, String)>,
}

/// A part on the pages over many parts.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub(super) struct PartCard {
    /// In the bin; empty id where the site shows none.
    pub(super) row: BinRow,
    /// In the search.
    pub(super) found: Searchable,
}

/// The card of a build that has a page.
pub(super) fn of_build(frames: &Frames<'_>, build: &Build) -> BuildCard {
    let source = frames.source;
    let report = source.report(&build.slug);
    let checked = Checked::brief(source, build, report);
    let wanted = report.map(|report| audit::wanted(source.journal, source.ledger, report));
    BuildCard {
        row: gallery::row(source, build, &checked, &source.addresses.home),
        photos: match source.addresses.photos.as_str() {
            "" => Vec::new(),
            page => build_page::photos(source, build, page),
        },
        checks: report.map(|report| lines(source, report)).unwrap_or_default(),
        wanted: Key::of(&format!("{wanted:?}")),
        news: news(frames, build),
        found: found(source, build),
        day: build_page::last_day(build),
        cover: frames.cover(build),
        outline: checked.outline,
    }
}

fn lines(source: &Source<'_>, report: &Report) -> BTreeMap<String, Lines> {
    let mut by_check: BTreeMap<&str, Vec<&Finding>> = BTreeMap::new();
    for finding in &report.findings {
        by_check.entry(finding.check.id).or_default().push(finding);
    }
    let lines = by_check.into_iter().filter_map(|(id, findings)| {
        let page = source.addresses.checks.get(id)?;
        let line = |finding: &&Finding| checks::line(source, page, &report.slug, finding);
        let lines = Lines {
            lines: findings.iter().filter_map(line).collect(),
            names: findings.iter().flat_map(|finding| finding.names()).map(str::to_owned).collect(),
        };
        Some((id.to_owned(), lines))
    });
    lines.collect()
}

fn news(frames: &Frames<'_>, build: &Build) -> Vec<FeedEntry> {
    let source = frames.source;
    if source.journal.settings.address.is_none() {
        return Vec::new();
    }
    let entries = build.entries.iter().filter_map(|entry| {
        let path = source.addresses.entries.get(&(build.slug.clone(), entry.name.clone()))?;
        Some(FeedEntry {
            url: frames.whole(path),
            title: format!("{}: {}", build.title, words::entry_title(entry)),
            date: entry.date.value.to_string(),
            summary: shorten(&markdown::plain(source.journal.files.cut(entry.text)), 300),
            html: String::new(),
        })
    });
    entries.collect()
}

/// A build's page and those of its entries, as search finds them.
fn found(source: &Source<'_>, build: &Build) -> Vec<Searchable> {
    let Some(path) = source.addresses.builds.get(&build.slug) else { return Vec::new() };
    let ids = Slot::ALL.into_iter().filter_map(|slot| Ledger::occupant(build, slot));
    let ids = ids.filter(|id| source.ledger.units.contains_key(id));
    let part_names: Vec<String> = ids.map(|id| source.part_name(&id)).collect();
    let photos = log::photos(source, build);
    let none = Vec::new();
    let pictures = |name: &str, page: &str| -> Vec<Picture> {
        let photos = photos.get(name).unwrap_or(&none).iter();
        photos
            .filter_map(|photo| log::picture(source, build, photo, page, super::context::Link::default()))
            .collect()
    };
    let captions: Vec<String> = pictures("", path).into_iter().map(|photo| photo.caption).collect();
    let summary = build.summary.as_deref().unwrap_or_default();
    let mut out = vec![Searchable {
        path: path.clone(),
        title: build.title.clone(),
        kind: "build".to_owned(),
        of: build.state.words().to_owned(),
        names: format!(
            "{} {} {}",
            build.slug,
            summary,
            build_page::calibre(source, build).unwrap_or_default()
        ),
        text: format!(
            "{} {} {}",
            markdown::plain(source.journal.files.cut(build.story)),
            part_names.join(" "),
            captions.join(" ")
        ),
    }];
    for entry in &build.entries {
        let Some(path) = source.addresses.entries.get(&(build.slug.clone(), entry.name.clone())) else {
            continue;
        };
        let text = markdown::plain(source.journal.files.cut(entry.text));
        let changes: Vec<String> = log::changes(source, build, entry, path)
            .iter()
            .map(|change| format!("{} {} {} {}", change.label, change.text, change.came, change.value))
            .collect();
        let captions: Vec<String> = pictures(&entry.name, path)
            .iter()
            .map(|photo| format!("{} {}", photo.caption, photo.alt))
            .collect();
        out.push(Searchable {
            path: path.clone(),
            title: words::entry_title(entry),
            kind: format!("log, {}", words::day(entry.date.value)),
            of: build.title.clone(),
            names: entry.date.value.to_string(),
            text: format!("{text} {} {}", changes.join(" "), captions.join(" ")),
        });
    }
    out
}

/// The card of a part that has a page at `path`.
pub(super) fn of_part(source: &Source<'_>, unit: &Unit, path: &str) -> PartCard {
    let now = unit.spec_in("", None);
    let part = parts::view(source, unit, path, &now, &BTreeMap::new());
    let history: Vec<String> = part_history::history(source, unit, path)
        .iter()
        .map(|line| format!("{} {}", line.what, line.detail))
        .collect();
    PartCard {
        row: bin::row(source, unit, &source.addresses.bin),
        found: Searchable {
            path: path.to_owned(),
            title: part.name,
            kind: part.kind,
            of: source.whereabouts(path, unit).phrase(),
            names: unit.id.clone(),
            text: format!("{} {} {}", part.from, part.notes.join(" "), history.join(" ")),
        },
    }
}
