//! The page of a build and the pages of its entries.

use std::collections::BTreeMap;

use crate::draw;
use crate::journal::{Build, BuildState, Slot};
use crate::ledger::{Ledger, Stay};
use crate::problem::Problem;

use super::addresses::way;
use super::checked::Checked;
use super::context::{
    BenchSheet, BuildPage, Cost, EntryPage, KeyLine, Link, PartView, Picture, SheetCheck, SheetMeasure, Tool,
};
use super::log::{self, On, Shown};
use super::source::Source;
use super::texts::{self, Shelf};
use super::{caution, findings, parts, wanted, words};

/// The page of a build at `page`.
pub(super) fn page(
    source: &Source<'_>,
    build: &Build,
    checked: &Checked,
    page: &str,
    neighbours: (Option<Link>, Option<Link>),
    problems: &mut Vec<Problem>,
) -> BuildPage {
    let photos = log::photos(source, build);
    let none = Vec::new();
    let entries = build.entries.iter().map(|entry| {
        let shown = photos.get(&entry.name).unwrap_or(&none);
        log::entry(source, build, entry, page, On::Build, shown, problems)
    });
    let log: Vec<_> = entries.collect();
    let shelf = Shelf {
        journal: source.journal,
        addresses: source.addresses,
        album: source.album,
        build,
        page,
        anchors: "s-",
    };
    let findings = findings::views(source, build, checked.report.as_deref(), page);
    let cautions = caution::of_build(source, build);
    let parts = parts_by_slot(source, build, checked, page);
    let (to_find, fits_too) = wanted::of(source, build, page);
    let loose = photos.get("").unwrap_or(&none);
    let cover = cover(source, build, page);
    let mut pictures = self::photos(source, build, page);
    pictures.retain(|picture| cover.as_ref().is_none_or(|cover| cover.full != picture.full));
    BuildPage {
        slug: build.slug.clone(),
        title: build.title.clone(),
        summary: build.summary.clone().unwrap_or_default(),
        state: build.state.words().to_owned(),
        when: when(build),
        facts: facts(source, build, checked),
        pictures,
        front_svg: if cover.is_none() { checked.front.clone() } else { String::new() },
        headline: headline(&checked.headline),
        headline_svg: draw::headline(&checked.headline),
        cover,
        section: checked.section.clone(),
        plan: checked.plan.clone(),
        lines: draw::LineSample::ALL
            .iter()
            .map(|line| KeyLine { sample_svg: draw::line_sample(*line), text: line.words().to_owned() })
            .collect(),
        counts: findings::counts(&findings),
        total: findings.len(),
        sheet: sheet(build, checked, &findings),
        groups: findings::groups(findings),
        open_slots: open_slots(build),
        parts,
        timing: checked.timing.clone(),
        story_html: texts::render(shelf, build.story, 3, problems),
        log_summary: log_summary(build),
        log,
        photos: loose
            .iter()
            .filter_map(|photo| log::picture(source, build, photo, page, Link::default()))
            .collect(),
        cautions,
        tools: tools(build),
        costs: costs(source, build),
        cost_total: cost_total(source, build),
        to_find,
        fits_too,
        previous: neighbours.0,
        next: neighbours.1,
        hidden: build.hidden,
    }
}

/// The page of one entry at `page`.
pub(super) fn entry_page(
    source: &Source<'_>,
    build: &Build,
    at: usize,
    photos: &BTreeMap<String, Vec<Shown>>,
    page: &str,
) -> Option<EntryPage> {
    let entry = build.entries.get(at)?;
    let none = Vec::new();
    let shown = photos.get(&entry.name).unwrap_or(&none);
    // What is wrong with its text was told when the build's page was made.
    let mut told = Vec::new();
    let neighbour = |at: Option<usize>| {
        let entry = build.entries.get(at?)?;
        source.entry_link(page, &build.slug, &entry.name)
    };
    Some(EntryPage {
        entry: log::entry(source, build, entry, page, On::Entry, shown, &mut told),
        build: source.build_link(page, &build.slug)?,
        previous: neighbour(at.checked_sub(1)),
        next: neighbour(Some(at + 1)),
    })
}

/// The photo that stands for a build: the one that build.md names, else the first of the log.
pub(super) fn cover(source: &Source<'_>, build: &Build, page: &str) -> Option<Picture> {
    let listed =
        build.entries.iter().rev().flat_map(|entry| &entry.photos).map(|photo| photo.file.value.clone());
    let named = build.cover.iter().map(|cover| cover.value.clone());
    let any = build.photos.first().cloned();
    named.chain(listed.take(1)).chain(any).find_map(|file| {
        let picture = source.album.picture(page, &format!("builds/{}/{file}", build.slug))?;
        let chosen = build.cover.as_ref().is_some_and(|cover| cover.value == file);
        if picture.lost && !chosen {
            return None;
        }
        let alt = source.alt(build, &file);
        let alt = if alt.is_empty() { build.title.clone() } else { alt };
        Some(picture.described(alt, String::new()))
    })
}

/// A build's photos in the order of its log, each with the entry that shows it; the cover first where no
/// entry lists it.
pub(super) fn photos(source: &Source<'_>, build: &Build, page: &str) -> Vec<Picture> {
    let shown = log::photos(source, build);
    let mut out = Vec::new();
    for entry in &build.entries {
        let from = source.entry_link(page, &build.slug, &entry.name).unwrap_or_default();
        for photo in shown.get(&entry.name).into_iter().flatten() {
            out.extend(log::picture(source, build, photo, page, from.clone()));
        }
    }
    let from = source.build_link(page, &build.slug).unwrap_or_default();
    for photo in shown.get("").into_iter().flatten() {
        out.extend(log::picture(source, build, photo, page, from.clone()));
    }
    if let Some(cover) = cover(source, build, page)
        && !out.iter().any(|photo| photo.full == cover.full)
    {
        out.insert(0, Picture { from, ..cover });
    }
    out
}

/// A build's dates in words.
pub(super) fn when(build: &Build) -> String {
    let begun =
        build.begun.as_ref().map(|date| date.value).or_else(|| build.entries.first().map(|e| e.date.value));
    let last = build.entries.last().map(|entry| entry.date.value);
    match (build.state, begun, build.ended.as_ref().map(|date| date.value)) {
        (BuildState::TakenApart, Some(begun), Some(ended)) => {
            format!("{}, begun {}", words::day(ended), words::day(begun))
        }
        (BuildState::TakenApart, None, Some(ended)) => words::day(ended),
        (BuildState::OnTheBench, Some(begun), _) => format!("since {}", words::day(begun)),
        (BuildState::Finished, Some(begun), _) => match last {
            Some(last) if last > begun => {
                format!("{} to {}", words::day(begun), words::day(last))
            }
            _ => format!("begun {}", words::day(begun)),
        },
        _ => String::new(),
    }
}

/// A build's dates in a few words, for the gallery.
pub(super) fn when_in_short(build: &Build) -> String {
    let begun =
        build.begun.as_ref().map(|date| date.value).or_else(|| build.entries.first().map(|e| e.date.value));
    match (build.state, begun, build.ended.as_ref().map(|date| date.value)) {
        (BuildState::TakenApart, _, Some(ended)) => words::month(ended),
        (BuildState::OnTheBench, Some(begun), _) => format!("since {}", words::month(begun)),
        (BuildState::Finished, Some(begun), ended) => {
            let last = build.entries.last().map(|entry| entry.date.value).max(ended);
            match last.map(words::month).filter(|last| *last != words::month(begun)) {
                Some(last) => format!("{} to {last}", words::month(begun)),
                None => words::month(begun),
            }
        }
        _ => String::new(),
    }
}

/// The day that the gallery's order goes by: the last that is known of the build.
pub(super) fn last_day(build: &Build) -> String {
    let days = [build.begun.as_ref(), build.ended.as_ref()].into_iter().flatten().map(|day| day.value);
    let days = days.chain(build.entries.iter().map(|entry| entry.date.value));
    days.max().map(|day| day.to_string()).unwrap_or_default()
}

/// The calibre of the movement, as the journal calls it.
pub(super) fn calibre(source: &Source<'_>, build: &Build) -> Option<String> {
    let unit = source.ledger.units.get(&Ledger::occupant(build, Slot::Movement)?)?;
    unit.came.text("calibre").map(str::to_owned)
}

fn facts(source: &Source<'_>, build: &Build, checked: &Checked) -> Vec<String> {
    let mut out = Vec::new();
    if let Some(calibre) = calibre(source, build) {
        out.push(format!("Movement {calibre}"));
    }
    out.extend(checked.rate.clone());
    out.extend(water(build));
    out
}

/// What may be said of water: what was tested, how and when, and nothing after the case was opened.
fn water(build: &Build) -> Option<String> {
    let touches = |slot: &Slot| {
        matches!(
            slot,
            Slot::Case | Slot::Back | Slot::Crystal | Slot::Crown | Slot::CrystalGasket | Slot::BackGasket
        )
    };
    let (at, test) =
        build.entries.iter().enumerate().rev().find_map(|(at, entry)| {
            entry.pressure.iter().rev().find(|test| test.held).map(|test| (at, test))
        })?;
    let day = build.entries[at].date.value;
    let failed = build.entries[at..].iter().flat_map(|entry| &entry.pressure).any(|test| !test.held);
    let opened = build.entries[at + 1..].iter().any(|entry| {
        entry.opened.as_ref().is_some_and(|opened| opened.value)
            || entry.removed.iter().any(|slot| touches(&slot.value))
            || entry.fitted.iter().any(|(slot, _)| touches(&slot.value))
    });
    let told = format!("Held {} bar, {}, on {}", words::plain(test.bar), test.method, words::day(day));
    (!failed).then(|| if opened { format!("{told}; opened since") } else { told })
}

/// The headline figures as text.
pub(super) fn headline(headline: &draw::Headline) -> Vec<super::context::Figure> {
    [
        ("lug to lug", headline.lug_to_lug),
        ("diameter", headline.diameter),
        ("between the lugs", headline.lug_width),
        ("thick", headline.thickness),
    ]
    .into_iter()
    .map(|(label, value)| super::context::Figure {
        label: label.to_owned(),
        value: value.map(|value| format!("{value:.1}")).unwrap_or_default(),
        unit: "mm".to_owned(),
    })
    .collect()
}

fn parts_by_slot(source: &Source<'_>, build: &Build, checked: &Checked, page: &str) -> Vec<PartView> {
    let mut out = Vec::new();
    for slot in Slot::ALL {
        let Some(id) = Ledger::occupant(build, slot) else { continue };
        let Some(unit) = source.ledger.units.get(&id) else { continue };
        let until = unit.stay(&build.slug, slot).and_then(|stay: &Stay| stay.to);
        let now = unit.spec_in(&build.slug, until);
        let none = BTreeMap::new();
        let wanted = checked.wanted.get(slot.name()).unwrap_or(&none);
        let view = parts::view(source, unit, page, &now, wanted);
        out.push(PartView { slot: words::capital(slot.words()), ..view });
    }
    out
}

fn open_slots(build: &Build) -> Vec<String> {
    if matches!(build.state, BuildState::Finished | BuildState::TakenApart) {
        return Vec::new();
    }
    Slot::ALL
        .into_iter()
        .filter(|slot| !build.slots.contains_key(slot))
        .map(|slot| slot.words().to_owned())
        .collect()
}

fn log_summary(build: &Build) -> String {
    let minutes: f64 = build.entries.iter().filter_map(|entry| entry.minutes).sum();
    let days = words::count(build.entries.len(), "day", "days");
    match build.entries.len() {
        0 => String::new(),
        _ if minutes > 0.0 => format!("{days} at the bench, {} in all.", words::duration(minutes)),
        _ => format!("{days} at the bench."),
    }
}

fn tools(build: &Build) -> Vec<Tool> {
    let mut days: BTreeMap<&str, usize> = BTreeMap::new();
    for tool in build.entries.iter().flat_map(|entry| &entry.tools) {
        *days.entry(tool).or_default() += 1;
    }
    days.into_iter().map(|(name, days)| Tool { name: name.to_owned(), days }).collect()
}

/// What a build's parts and its log cost; nothing where prices are not shown.
pub(super) fn prices(source: &Source<'_>, build: &Build) -> Vec<(String, f64)> {
    if !source.shows_prices() {
        return Vec::new();
    }
    let mut out = Vec::new();
    let mut seen = Vec::new();
    for slot in Slot::ALL {
        let Some(id) = Ledger::occupant(build, slot) else { continue };
        let price = source.journal.parts.get(&id).and_then(|part| part.from.price);
        if let Some(price) = price.filter(|_| !seen.contains(&id)) {
            out.push((source.part_name(&id), price));
            seen.push(id);
        }
    }
    let spent: f64 = build.entries.iter().filter_map(|entry| entry.spent).sum();
    if spent > 0.0 {
        out.push(("spent at the bench".to_owned(), spent));
    }
    out
}

fn costs(source: &Source<'_>, build: &Build) -> Vec<Cost> {
    let prices = prices(source, build);
    prices.into_iter().map(|(what, sum)| Cost { what, amount: source.money(sum) }).collect()
}

fn cost_total(source: &Source<'_>, build: &Build) -> String {
    let prices = prices(source, build);
    if prices.is_empty() { String::new() } else { source.money(prices.iter().map(|(_, sum)| sum).sum()) }
}

/// How many clearances the bench sheet lists, so that it stays on two sheets of paper.
const SHEET_CHECKS: usize = 12;

/// How many dimensions to measure it lists.
const SHEET_MEASURES: usize = 8;

fn sheet(build: &Build, checked: &Checked, findings: &[super::context::FindingView]) -> BenchSheet {
    let mut measure: Vec<SheetMeasure> = Vec::new();
    for missing in findings.iter().flat_map(|finding| &finding.missing) {
        if !measure.iter().any(|known| known.name == missing.name) {
            measure.push(SheetMeasure {
                name: missing.name.clone(),
                what: if missing.what.is_empty() {
                    words::label(&missing.name)
                } else {
                    missing.what.clone()
                },
                range: missing.range.clone(),
            });
        }
    }
    measure.truncate(SHEET_MEASURES);
    // What wants a look, then what has the least room; kept in the order of the checks.
    let report = checked.report.iter().flat_map(|report| &report.findings);
    let room: BTreeMap<String, f64> =
        report.filter_map(|finding| Some((findings::anchor(finding), findings::room(finding)?))).collect();
    let far = |finding: &&super::context::FindingView| room.get(&finding.id).copied().unwrap_or(f64::MAX);
    let mut shown: Vec<_> =
        findings.iter().filter(|finding| !finding.worst.is_empty() && finding.unit == "mm").collect();
    shown.sort_by(|a, b| {
        b.verdict.attention.cmp(&a.verdict.attention).then_with(|| far(a).total_cmp(&far(b)))
    });
    shown.truncate(SHEET_CHECKS);
    shown.sort_by_key(|finding| findings.iter().position(|known| known.id == finding.id));
    let check = shown.into_iter().map(|finding| SheetCheck {
        title: finding.title.clone(),
        figure: finding.figure.clone(),
        worst: finding.worst.clone(),
        band: finding.band.clone(),
        verdict: finding.verdict.clone(),
    });
    let counts = findings::counts(findings);
    let counts: Vec<_> =
        counts.iter().map(|count| format!("{} {}", count.count, count.verdict.word)).collect();
    BenchSheet {
        measure,
        check: check.collect(),
        order: order(build, checked),
        summary: format!(
            "{}. {}: {}. Lengths in mm.",
            build.title,
            words::count(findings.len(), "finding", "findings"),
            words::row(&counts)
        ),
    }
}

/// The order of assembly, by what the build has.
fn order(build: &Build, checked: &Checked) -> Vec<String> {
    let has = |slot: Slot| Ledger::occupant(build, slot).is_some();
    let mut out = Vec::new();
    if has(Slot::Crystal) {
        let gasket = if has(Slot::CrystalGasket) { ", its gasket first" } else { "" };
        out.push(format!("Crystal into the case{gasket}; let glue cure before anything else goes in."));
    }
    if has(Slot::Movement) {
        let ring = if has(Slot::Ring) { " in its ring" } else { "" };
        out.push(format!("Stem out, movement{ring}, dial side up, in its holder."));
    }
    if has(Slot::Shim) {
        out.push("Shim on the plate, clear of the foot holes.".to_owned());
    }
    if has(Slot::Dial) {
        let held = match build.dial_held_by.as_ref().map(|held| held.value.word()) {
            Some("tape") => "on two strips of tape",
            Some("dots") => "on dial dots",
            Some("glue") => "glued",
            Some("ring") => "in its ring",
            _ => "feet into their holes, screws home",
        };
        out.push(format!("Dial down, {held}; centre hole over the post."));
    }
    let hands: Vec<_> = Slot::HANDS.into_iter().filter(|slot| has(*slot)).collect();
    for slot in &hands {
        let seat = checked.seats.get(slot.name()).map(|seat| format!(" to {seat}")).unwrap_or_default();
        out.push(format!("{}{seat}, pointing to 12.", words::capital(slot.words())));
    }
    if !hands.is_empty() {
        out.push("Turn through twelve hours and watch the tips; at midnight, watch the date.".to_owned());
    }
    if has(Slot::Case) {
        out.push("Blow off, case front down, movement in from behind.".to_owned());
        out.push("Stem in; the crown must turn free and set.".to_owned());
        out.push("Gaskets greased, back on.".to_owned());
    }
    if build.target.water.is_some() {
        out.push("Dry test at the target pressure, behind a shield, before any water.".to_owned());
    }
    if has(Slot::Strap) {
        out.push("Strap on, spring bars home.".to_owned());
    }
    out
}

/// The way to a finding on its build's page.
pub(super) fn finding_link(source: &Source<'_>, page: &str, slug: &str, id: &str, text: &str) -> Link {
    let path = source.addresses.builds.get(slug).map(|path| way(page, &format!("{path}#{id}")));
    Link { text: text.to_owned(), href: path.unwrap_or_default() }
}
