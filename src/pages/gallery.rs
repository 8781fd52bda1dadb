//! The gallery of builds.

use std::collections::BTreeMap;

use crate::draw;
use crate::journal::{Build, BuildState, Slot};
use crate::ledger::Ledger;

use super::addresses::way;
use super::checked::Checked;
use super::context::{Choice, FilterGroup, GalleryPage, GalleryRow};
use super::markup::{escape, fold};
use super::source::Source;
use super::{build as build_page, findings, words};

/// What separates several values in a row's data.
const SEPARATOR: &str = " | ";

/// Puts builds into the gallery's order: the latest first.
pub(super) fn sort(builds: &mut [&Build]) {
    builds.sort_by(|a, b| newest(b).cmp(&newest(a)).then_with(|| a.title.cmp(&b.title)));
}

/// The day that a build's place in the gallery goes by; empty for one that was not begun.
fn newest(build: &Build) -> String {
    if build.state == BuildState::Planned { String::new() } else { build_page::last_day(build) }
}

/// The gallery of builds in these rows.
pub(super) fn page(source: &Source<'_>, rows: Vec<GalleryRow>, lineup_svg: String) -> GalleryPage {
    let about = source.journal.settings.about.as_deref().unwrap_or_default().trim();
    GalleryPage {
        about_html: if about.is_empty() { String::new() } else { format!("<p>{}</p>", escape(about)) },
        lineup_svg,
        filters: filters(&rows),
        rows,
    }
}

/// A build as the gallery at `page` shows it.
pub(super) fn row(source: &Source<'_>, build: &Build, checked: &Checked, page: &str) -> GalleryRow {
    let calibre = build_page::calibre(source, build);
    let text = [
        build.title.clone(),
        build.summary.clone().unwrap_or_default(),
        calibre.clone().unwrap_or_default(),
        build.state.words().to_owned(),
        part_names(source, build),
        build_page::headline(&checked.headline)
            .into_iter()
            .map(|figure| figure.value)
            .collect::<Vec<_>>()
            .join(" "),
    ];
    let words: Vec<String> = super::search::words(&text.join(" "));
    let cover = build_page::cover(source, build, page);
    GalleryRow {
        slug: build.slug.clone(),
        href: way(page, source.addresses.builds.get(&build.slug).map_or("", String::as_str)),
        title: build.title.clone(),
        summary: build.summary.clone().unwrap_or_default(),
        state: build.state.words().to_owned(),
        when: build_page::when_in_short(build),
        movement: calibre.unwrap_or_default(),
        front_svg: if cover.is_none() { checked.front.clone() } else { String::new() },
        cover,
        counts: findings::tally(checked.report.as_deref()),
        headline: build_page::headline(&checked.headline),
        headline_svg: draw::gallery_headline(&checked.headline),
        size_class: size_class(checked.headline.diameter),
        movement_class: movement_class(source, build),
        kinds: kinds(source, build).join(SEPARATOR),
        words: unique(words).join(" "),
        date: newest(build),
        diameter: checked.headline.diameter.map(|value| format!("{value:.2}")).unwrap_or_default(),
        thickness: checked.headline.thickness.map(|value| format!("{value:.2}")).unwrap_or_default(),
        hidden: build.hidden,
    }
}

fn part_names(source: &Source<'_>, build: &Build) -> String {
    let names = Slot::ALL.into_iter().filter_map(|slot| Ledger::occupant(build, slot));
    names.map(|id| source.part_name(&id)).collect::<Vec<_>>().join(" ")
}

fn unique(mut words: Vec<String>) -> Vec<String> {
    words.sort();
    words.dedup();
    words
}

/// Size classes, so that each has a few watches.
fn size_class(diameter: Option<f64>) -> String {
    let class = match diameter {
        None => "",
        Some(diameter) if diameter <= 36.5 => "to 36.5",
        Some(diameter) if diameter <= 39.5 => "to 39.5",
        Some(_) => "over 39.5",
    };
    class.to_owned()
}

/// What drives the watch, from its sheet: automatic, hand-wound or quartz.
fn movement_class(source: &Source<'_>, build: &Build) -> String {
    let Some(id) = Ledger::occupant(build, Slot::Movement) else { return String::new() };
    let Some(unit) = source.ledger.units.get(&id) else { return String::new() };
    let sheet = unit.came.text("calibre").and_then(|calibre| source.journal.sheets.get(calibre));
    let flag = |path: &str| unit.came.flag(path).or(sheet.and_then(|sheet| sheet.spec.flag(path)));
    let class = match (flag("quartz"), flag("self_winds"), flag("hand_winds")) {
        (Some(true), ..) => "quartz",
        (_, Some(true), _) => "automatic",
        (_, _, Some(true)) => "hand-wound",
        _ => "",
    };
    class.to_owned()
}

/// Kinds of parts by which one looks for a watch: what not every watch has, or has in several forms.
fn kinds(source: &Source<'_>, build: &Build) -> Vec<String> {
    let mut out = Vec::new();
    let unit = |slot: Slot| Ledger::occupant(build, slot).and_then(|id| source.ledger.units.get(&id));
    for slot in [Slot::Bezel, Slot::ChapterRing, Slot::DialRing, Slot::Shim, Slot::SecondTime] {
        if unit(slot).is_some() {
            out.push(slot.words().to_owned());
        }
    }
    if let Some(dial) = unit(Slot::Dial) {
        let has = |path: &str| {
            dial.came.iter().any(|(name, _)| name == path || name.starts_with(&format!("{path}.")))
        };
        for (path, words) in [("date_window", "date window"), ("small_seconds", "small seconds")] {
            if has(path) {
                out.push(words.to_owned());
            }
        }
        if dial.came.text("lume") == Some("modern") {
            out.push("lume".to_owned());
        }
    }
    if let Some(form) = unit(Slot::Crystal).and_then(|crystal| crystal.came.text("form")) {
        out.push(format!("{form} crystal"));
    }
    if unit(Slot::Dial).is_some_and(|dial| dial.changes.iter().any(|change| change.altered.is_some())) {
        out.push("altered dial".to_owned());
    }
    out
}

fn filters(rows: &[GalleryRow]) -> Vec<FilterGroup> {
    let states = ["finished", "on the bench", "planned", "taken apart"];
    let sizes = ["to 36.5", "to 39.5", "over 39.5"];
    let movements = ["automatic", "hand-wound", "quartz"];
    let all = |of: &dyn Fn(&GalleryRow) -> String| -> BTreeMap<String, usize> {
        let mut counts = BTreeMap::new();
        for row in rows {
            for value in of(row).split(SEPARATOR).filter(|value| !value.is_empty()) {
                *counts.entry(value.to_owned()).or_default() += 1;
            }
        }
        counts
    };
    let group = |name: &str, title: &str, counts: BTreeMap<String, usize>, order: &[&str]| {
        let mut choices: Vec<Choice> =
            counts.into_iter().map(|(value, count)| Choice { label: value.clone(), value, count }).collect();
        choices.sort_by_key(|choice| {
            order.iter().position(|known| *known == choice.value).unwrap_or(usize::MAX)
        });
        FilterGroup { name: name.to_owned(), title: title.to_owned(), choices }
    };
    let groups = vec![
        group("state", "State", all(&|row| row.state.clone()), &states),
        group("size", "Diameter", all(&|row| row.size_class.clone()), &sizes),
        group("movement", "Movement", all(&|row| row.movement_class.clone()), &movements),
        group("kind", "With", all(&|row| row.kinds.clone()), &[]),
    ];
    // A filter with one choice narrows nothing.
    groups.into_iter().filter(|group| group.choices.len() > 1).collect()
}

/// A title for the page of the gallery in one sentence.
pub(super) fn description(source: &Source<'_>, builds: usize) -> String {
    let about = source.journal.settings.about.as_deref().unwrap_or_default().trim();
    let first = about.split_inclusive(". ").next().unwrap_or_default().trim();
    if first.is_empty() {
        format!(
            "{} out of parts that were never made for each other.",
            words::count(builds, "watch", "watches")
        )
    } else {
        first.to_owned()
    }
}

/// Words of a text folded for the rows' data.
#[must_use]
pub(super) fn folded(text: &str) -> String {
    unique(super::search::words(&fold(text))).join(" ")
}
