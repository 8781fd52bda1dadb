//! The log: entries as pages show them.

use std::collections::BTreeMap;

use crate::journal::entry::Alteration;
use crate::journal::{Build, Content, Entry, Slot, Spec, Subject};
use crate::ledger::Ledger;
use crate::problem::Problem;
use crate::text::Located;

use super::addresses::{Addresses, way};
use super::context::{Change, EntryView, Link, Picture};
use super::source::Source;
use super::texts::{self, Shelf};
use super::{caution, words};

/// Who shows an entry: the build's page or the entry's own.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum On {
    /// The build's page, among others.
    Build,
    /// Its own page.
    Entry,
}

/// The entry as the page at `page` shows it. `photos` are those that the entry shows, its own and
/// those that joined it.
pub(super) fn entry(
    source: &Source<'_>,
    build: &Build,
    entry: &Entry,
    page: &str,
    on: On,
    photos: &[Shown],
    problems: &mut Vec<Problem>,
) -> EntryView {
    let id = Addresses::entry_anchor(&entry.name);
    let anchors = if on == On::Build { format!("{id}-") } else { "s-".to_owned() };
    let shelf = Shelf {
        journal: source.journal,
        addresses: source.addresses,
        album: source.album,
        build,
        page,
        anchors: &anchors,
    };
    let level = if on == On::Build { 4 } else { 2 };
    let path = source.addresses.entries.get(&(build.slug.clone(), entry.name.clone()));
    EntryView {
        href: path.map(|path| way(page, path)).unwrap_or_default(),
        iso: entry.date.value.to_string(),
        date: words::day(entry.date.value),
        title: words::entry_title(entry),
        duration: entry.minutes.map(words::duration).unwrap_or_default(),
        text_html: texts::render(shelf, entry.text, level, problems),
        changes: changes(source, build, entry, page),
        // On the build's page the general ones stand together, further down.
        cautions: caution::of_entry(source, entry)
            .into_iter()
            .filter(|caution| on == On::Entry || caution.title == caution::LUME_TITLE)
            .map(|caution| caution.text)
            .collect(),
        photos: photos
            .iter()
            .filter_map(|photo| picture(source, build, photo, page, Link::default()))
            .collect(),
        id,
    }
}

/// A photo that a page shows.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Shown {
    /// Relative to the build's folder.
    pub(super) file: String,
    pub(super) alt: String,
    pub(super) caption: String,
}

/// The photo for a page, with where it is from.
pub(super) fn picture(
    source: &Source<'_>,
    build: &Build,
    photo: &Shown,
    page: &str,
    from: Link,
) -> Option<Picture> {
    let picture = source.album.picture(page, &format!("builds/{}/{}", build.slug, photo.file))?;
    Some(Picture { from, ..picture.described(photo.alt.clone(), photo.caption.clone()) })
}

/// Which photos each entry shows, by its name; under the empty name those that none does.
///
/// A photo that no entry lists joins the entry nearest to the day on which the camera took it, in the
/// order in which they were taken; one whose day is not known stands at the end of the build's page. The cover and pictures within a text
/// are shown where they stand.
pub(super) fn photos(source: &Source<'_>, build: &Build) -> BTreeMap<String, Vec<Shown>> {
    let mut out: BTreeMap<String, Vec<Shown>> = BTreeMap::new();
    let mut listed: Vec<&str> = Vec::new();
    for entry in &build.entries {
        for photo in &entry.photos {
            let shown = Shown {
                file: photo.file.value.clone(),
                alt: photo.alt.clone().unwrap_or_default(),
                caption: photo.caption.clone().unwrap_or_default(),
            };
            listed.push(&photo.file.value);
            out.entry(entry.name.clone()).or_default().push(shown);
        }
    }
    let texts = build.entries.iter().map(|entry| entry.text).chain([build.story]);
    let texts: Vec<&str> = texts.map(|text| source.journal.files.cut(text)).collect();
    let taken = |file: &String| {
        source.album.sizes(&format!("builds/{}/{file}", build.slug)).and_then(|sizes| sizes.taken)
    };
    let mut files: Vec<_> = build.photos.iter().map(|file| (taken(file), file)).collect();
    files.sort();
    for (taken, file) in files {
        let in_a_text = texts.iter().any(|text| text.contains(&format!("({file}")));
        let is_cover = build.cover.as_ref().is_some_and(|cover| cover.value == *file);
        if listed.contains(&file.as_str()) || in_a_text || is_cover {
            continue;
        }
        let nearest = taken.and_then(|taken| {
            build.entries.iter().min_by_key(|entry| {
                let apart = entry.date.value.since(taken.date()).map_or(i32::MAX, |span| span.get_days());
                (apart.abs(), entry.date.value)
            })
        });
        let name = nearest.map(|entry| entry.name.clone()).unwrap_or_default();
        let alt = source.alt(build, file);
        out.entry(name).or_default().push(Shown { file: file.clone(), alt, caption: String::new() });
    }
    out
}

pub(super) fn changes(source: &Source<'_>, build: &Build, entry: &Entry, page: &str) -> Vec<Change> {
    let mut out = Vec::new();
    let line = |label: &str, text: String| Change { label: label.to_owned(), text, ..Change::default() };
    let names = |ids: &mut dyn Iterator<Item = &String>| {
        words::row(&ids.map(|id| source.part_name(id)).collect::<Vec<_>>())
    };
    if !entry.had.is_empty() {
        out.push(line("came", names(&mut entry.had.iter().map(|id| &id.value))));
    }
    if !entry.removed.is_empty() {
        let slots: Vec<_> = entry.removed.iter().map(|slot| slot.value.words().to_owned()).collect();
        out.push(line("removed", words::row(&slots)));
    }
    for (subject, sizes) in &entry.measured {
        let (name, href) = named(source, subject, page);
        let value = told(sizes);
        if !value.is_empty() {
            out.push(Change { label: "measured".to_owned(), text: name, href, value, ..Change::default() });
        }
    }
    for alteration in &entry.altered {
        out.extend(altered(source, entry, alteration, page));
    }
    if !entry.fitted.is_empty() {
        let fitted: Vec<_> = entry
            .fitted
            .iter()
            .map(|(slot, part)| {
                let id = part.as_ref().map(|part| part.value.clone()).or(Ledger::occupant(build, slot.value));
                let name = id.map(|id| source.part_name(&id)).unwrap_or_default();
                if name.is_empty() || name == slot.value.words() {
                    slot.value.words().to_owned()
                } else {
                    format!("{} ({name})", slot.value.words())
                }
            })
            .collect();
        out.push(line("fitted", words::row(&fitted)));
    }
    for left in &entry.left {
        let text = format!("{}: {}", source.part_name(&left.part.value), left.how.value);
        out.push(line("left", text));
    }
    if entry.opened.as_ref().is_some_and(|opened| opened.value) {
        out.push(line("opened", "the case".to_owned()));
    }
    if !entry.timing.is_empty() {
        let rates: Vec<f64> = entry.timing.iter().map(|row| row.rate).collect();
        let mean = rates.iter().sum::<f64>() / rates.len() as f64;
        let text =
            format!("{}, mean {} s/d", words::count(rates.len(), "reading", "readings"), words::signed(mean));
        out.push(line("timed", text));
    }
    for test in &entry.pressure {
        let result = if test.held { "held" } else { "did not hold" };
        out.push(line("pressure", format!("{} bar, {}: {result}", words::plain(test.bar), test.method)));
    }
    if !entry.tools.is_empty() {
        out.push(line("tools", entry.tools.join(", ")));
    }
    if let Some(spent) = entry.spent.filter(|_| source.shows_prices()) {
        out.push(line("spent", source.money(spent)));
    }
    out
}

/// The lines of one alteration: each size before and after, and how.
fn altered(source: &Source<'_>, entry: &Entry, alteration: &Alteration, page: &str) -> Vec<Change> {
    let (name, href) = named(source, &alteration.part, page);
    let by = alteration.by.as_ref().map(|by| format!(", {by}")).unwrap_or_default();
    // The line's label says already that it was altered.
    let how = match alteration.how.value.as_str() {
        "other" => format!("{name}{by}"),
        how => format!("{name}: {how}{by}"),
    };
    let mut out =
        vec![Change { label: "altered".to_owned(), text: how, href: href.clone(), ..Change::default() }];
    let before = subject_id(source, &alteration.part).and_then(|id| source.before(&id, entry));
    for (path, content) in alteration.to.iter() {
        let value = in_short(&content.value);
        let came = before.as_ref().and_then(|before| before.get(path)).map(|old| in_short(&old.value));
        out.push(Change {
            text: words::label(path),
            came: came.filter(|came| *came != value).unwrap_or_default(),
            value,
            ..Change::default()
        });
    }
    out
}

/// The part that is spoken of: what sat in a slot then, not what sits there now.
fn subject_id(source: &Source<'_>, subject: &Located<Subject>) -> Option<String> {
    match (&subject.value, source.ledger.subject(subject.span)) {
        (_, Some(unit)) => Some(unit.id.clone()),
        (Subject::Part(id), None) => Some(id.clone()),
        (Subject::Slot(_), None) => None,
    }
}

fn named(source: &Source<'_>, subject: &Located<Subject>, page: &str) -> (String, String) {
    let id = subject_id(source, subject);
    let name = match (&id, &subject.value) {
        (Some(id), _) => source.part_name(id),
        (None, Subject::Part(id)) => id.clone(),
        (None, Subject::Slot(slot)) => Slot::words(*slot).to_owned(),
    };
    let path = id.and_then(|id| source.addresses.parts.get(&id)).map(|path| way(page, path));
    (name, path.unwrap_or_default())
}

/// Sizes in a row: "diameter 28.52 ±0.02, thickness 0.40 ±0.02".
fn told(sizes: &Spec) -> String {
    let each = sizes
        .iter()
        .map(|(path, content)| format!("{} {}", words::label(path), content_words(&content.value)));
    each.collect::<Vec<_>>().join(", ")
}

/// What a field holds, in words.
pub(super) fn content_words(content: &Content) -> String {
    match content {
        Content::Size(size) => {
            let size = words::size(size);
            let mut out = size.value;
            for piece in [size.tolerance, size.unit] {
                if !piece.is_empty() {
                    out.push(' ');
                    out.push_str(&piece);
                }
            }
            out
        }
        Content::Text(text) => text.clone(),
        Content::Flag(true) => "yes".to_owned(),
        Content::Flag(false) => "no".to_owned(),
        Content::Date(date) => words::day(*date),
        Content::Texts(texts) => texts.iter().map(|text| text.value.clone()).collect::<Vec<_>>().join(", "),
        Content::Items(items) if items.is_empty() => "none".to_owned(),
        Content::Items(items) => {
            let each = items.iter().map(|item| {
                item.iter().map(|(path, content)| short(path, &content.value)).collect::<Vec<_>>().join(", ")
            });
            format!("{}: {}", items.len(), each.collect::<Vec<_>>().join("; "))
        }
        Content::Raw(_) => String::new(),
    }
}

/// What a field holds, a list by its number alone.
fn in_short(content: &Content) -> String {
    match content {
        Content::Items(items) => words::number(items.len()),
        other => content_words(other),
    }
}

fn short(path: &str, content: &Content) -> String {
    match content {
        Content::Size(size) if path == "at" => words::size(size).value,
        Content::Size(size) => format!("{} {}", words::label(path), words::size(size).value),
        other => content_words(other),
    }
}
