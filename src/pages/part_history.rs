//! A part through time: what happened to it, how its sizes changed, the builds that it was in, and how
//! a movement ran over the years.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::DateTime;

use crate::draw;
use crate::fit::records;
use crate::journal::{Build, Content};
use crate::ledger::{Altered, Change, Unit};
use crate::text::Span;
use crate::timing::{Reading, Sitting, sittings};

use super::context::{HistoryLine, Link, PartTiming, Picture, Section, SizeChange, TimingSet, UsedIn};
use super::log::{self, content_words};
use super::source::Source;
use super::{build, checked, parts, timing, words};

/// What happened to it, oldest first.
pub(super) fn history(source: &Source<'_>, unit: &Unit, page: &str) -> Vec<HistoryLine> {
    let mut out: Vec<(Option<DateTime>, HistoryLine)> = Vec::new();
    let line = |at: Option<DateTime>, what: &str, detail: String, entry: Link| {
        let day = at.map(DateTime::date);
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
        let part = source.journal.parts.get(&unit.id);
        let detail = part.map(|part| parts::from(source, part)).unwrap_or_default();
        out.push(line(Some(had.at), "came", detail, entry_at(source, page, had.span)));
    }
    if let Some(lot) = &unit.split_from {
        let at = unit.split.map(|split| split.at);
        let link = unit.split.map(|split| entry_at(source, page, split.span)).unwrap_or_default();
        out.push(line(at, "one of a lot", format!("of {}", source.part_name(lot)), link));
    }
    for change in &unit.changes {
        // What a hidden build's log says is not told.
        let Some(entry) = source.entry_link(page, &change.build, &change.entry) else { continue };
        let names: Vec<String> = change.sizes.iter().map(|(path, _)| words::label(path)).collect();
        let (what, by) = match &change.altered {
            Some(altered) => (altered.words(), altered.by.clone()),
            None => ("measured", None),
        };
        let names = Some(words::row(&names)).filter(|names| !names.is_empty());
        let detail: Vec<String> = [names, by].into_iter().flatten().collect();
        out.push(line(Some(change.when.at), what, detail.join("; "), entry));
    }
    for stay in source.stays(unit) {
        let Some(build) = source.build_link(page, &stay.build) else { continue };
        let what = if stay.planned { "planned" } else { "fitted" };
        let detail = format!("{} of {}", stay.slot.words(), build.text);
        let entry = entry_at(source, page, stay.span);
        let entry = if entry.text.is_empty() { build.clone() } else { entry };
        out.push(line(stay.from, what, detail, entry));
        if let Some(to) = stay.to {
            out.push(line(Some(to), "removed", format!("from {}", build.text), build));
        }
    }
    for gone in unit.gone.iter().filter(|gone| gone.how != "split") {
        let link = entry_at(source, page, gone.when.span);
        let detail = if gone.count > 1 { gone.count.to_string() } else { String::new() };
        // A place in a hidden build's log has no link, and its day is still the part's own.
        out.push(line(Some(gone.when.at), &gone.how, detail, link));
    }
    out.sort_by_key(|(at, _)| *at);
    out.into_iter().map(|(_, line)| line).collect()
}

/// The entry that holds a place; nothing for a place outside the published logs.
fn entry_at(source: &Source<'_>, page: &str, span: Span) -> Link {
    let Some((build, entry)) = source.entry_of(span) else { return Link::default() };
    source.entry_link(page, &build.slug, &entry.name).unwrap_or_default()
}

/// How its sizes changed: those of one field after the other, each in order of time. What was measured
/// to be as it was known already is no change.
pub(super) fn changes(source: &Source<'_>, unit: &Unit, page: &str) -> Vec<SizeChange> {
    let mut out: BTreeMap<(usize, &str), Vec<SizeChange>> = BTreeMap::new();
    let mut places: BTreeMap<&str, usize> = BTreeMap::new();
    let changed = unit.changed(None);
    let sheet = unit.came.text("calibre").and_then(|calibre| source.journal.sheets.get(calibre));
    for changed in &changed {
        let Some(entry) = source.entry_link(page, &changed.change.build, &changed.change.entry) else {
            continue;
        };
        for step in &changed.steps {
            // What a movement's sheet says is taken until its own size is measured.
            let by_sheet = || Some(sheet?.spec.get(step.path)?.value.clone());
            let before = step.before.clone().or_else(by_sheet);
            let before = before.as_ref().map(content_words).unwrap_or_default();
            let after = content_words(step.after);
            if before == after {
                continue;
            }
            let next = places.len();
            let place = *places.entry(step.path).or_insert(next);
            let length = matches!(step.after, Content::Size(size) if size.quantity.is_length());
            let day = changed.change.when.at.date();
            out.entry((place, step.path)).or_default().push(SizeChange {
                label: words::label(step.path),
                before,
                after,
                unit: if length { "mm".to_owned() } else { String::new() },
                how: how(changed.change),
                date: words::day(day),
                iso: day.to_string(),
                entry: entry.clone(),
            });
        }
    }
    out.into_values().flatten().collect()
}

fn how(change: &Change) -> String {
    change.altered.as_ref().map_or("measured", Altered::words).to_owned()
}

/// The builds that it is or was in, each with its cover.
pub(super) fn used_in(source: &Source<'_>, unit: &Unit, page: &str) -> Vec<UsedIn> {
    let stays = source.stays(unit).filter_map(|stay| {
        let when = match (stay.planned, stay.from, stay.to) {
            (true, ..) => "planned".to_owned(),
            (_, Some(from), Some(to)) => format!("{} to {}", words::day(from.date()), words::day(to.date())),
            (_, Some(from), None) => format!("since {}", words::day(from.date())),
            (_, None, Some(to)) => format!("until {}", words::day(to.date())),
            (_, None, None) => String::new(),
        };
        let link = source.build_link(page, &stay.build)?;
        let cover = source.build(&stay.build).and_then(|build| build::cover(source, build, page));
        Some(UsedIn { build: link, slot: stay.slot.words().to_owned(), when, cover })
    });
    stays.collect()
}

/// Photos of the entries that altered or measured the part, oldest first.
pub(super) fn photos(source: &Source<'_>, unit: &Unit, page: &str) -> Vec<Picture> {
    let mut out = Vec::new();
    let mut seen = BTreeSet::new();
    for change in &unit.changes {
        let Some(build) = source.build(&change.build) else { continue };
        let Some(entry) = source.entry(&change.build, &change.entry) else { continue };
        if !seen.insert((&build.slug, &entry.name)) {
            continue;
        }
        let from = source.entry_link(page, &build.slug, &entry.name).unwrap_or_default();
        for photo in &entry.photos {
            let shown = log::Shown {
                file: photo.file.value.clone(),
                alt: photo.alt.clone().unwrap_or_default(),
                caption: photo.caption.clone().unwrap_or_default(),
            };
            out.extend(log::picture(source, build, &shown, page, from.clone()));
        }
    }
    out
}

/// How a movement ran, in whichever build it was; `None` where it was never timed.
pub(super) fn timing(source: &Source<'_>, unit: &Unit, page: &str) -> Option<PartTiming> {
    let timed = source.timed(&unit.id);
    let read: Vec<(Reading, &Build)> = timed
        .iter()
        .filter_map(|timed| Some((records::reading(timed.row)?, source.build(&timed.build.slug)?)))
        .collect();
    let (_, last) = read.last()?;
    let at: BTreeMap<DateTime, &Build> =
        read.iter().rev().map(|(reading, build)| (reading.at, *build)).collect();
    let readings: Vec<Reading> = read.iter().map(|(reading, _)| reading.clone()).collect();
    let lift = checked::lift_angle(source, unit);
    let all = sittings(&readings);
    let rates = draw::RateHistory { target: timing::target(last), means: timing::sets(&all, lift) };
    let over_time = if rates.means.iter().any(|set| set.day > 0.0) {
        draw::rate_over_time(&rates)
    } else {
        String::new()
    };
    let rows = all.iter().filter_map(|sitting| {
        let begun = sitting.readings().first()?.at;
        let build = at.get(&begun)?;
        Some(set(sitting, lift, source.build_link(page, &build.slug)?))
    });
    Some(PartTiming {
        over_time: Section { wide_svg: over_time, ..Section::default() },
        target: last.target.rate.is_some(),
        sets: rows.collect(),
    })
}

fn set(sitting: &Sitting, lift: Option<f64>, build: Link) -> TimingSet {
    let figures = sitting.figures(lift);
    let day = sitting.readings().first().map(|reading| reading.at.date());
    TimingSet {
        date: day.map(words::day).unwrap_or_default(),
        iso: day.map(|day| day.to_string()).unwrap_or_default(),
        build,
        positions: words::count(figures.positions, "position", "positions"),
        rate: words::signed(figures.mean_rate),
        amplitude: figures
            .horizontal_amplitude
            .or(figures.vertical_amplitude)
            .map(|degrees| format!("{degrees:.0}°"))
            .unwrap_or_default(),
        beat_error: figures.greatest_beat_error.map(|ms| format!("{ms:.1}")).unwrap_or_default(),
    }
}
