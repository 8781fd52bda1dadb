//! A folder of Markdown and YAML into typed documents and problems; reading goes on past faults.

pub mod build;
pub mod dates;
pub mod entry;
mod excerpt;
pub mod fields;
pub mod folder;
pub mod front_matter;
pub mod names;
pub mod part;
mod reader;
mod references;
pub mod schema;
pub mod settings;
pub mod slot;
pub mod spec;
mod update;
pub mod yaml;

use std::collections::BTreeMap;
use std::sync::Arc;

use rayon::prelude::*;

use crate::measure::Tolerances;
use crate::problem::Problem;
use crate::text::{FileId, Files, Located, Place};

pub use build::{Build, BuildState, Filling, HeldBy};
pub use entry::{Entry, Subject};
pub use excerpt::Heading;
pub use fields::Kind;
pub use folder::Folder;
pub use part::{CalibreSheet, Part, PartSource};
pub use settings::Settings;
pub use slot::Slot;
pub use spec::{Content, Spec};

use reader::Reader;

/// Everything that a journal says, as far as it could be read.
#[derive(Clone, Debug, Default)]
pub struct Journal {
    /// What was read, for places.
    pub files: Files,
    /// journal.yaml.
    pub settings: Settings,
    /// The bin, by id.
    pub parts: Arc<BTreeMap<String, Part>>,
    /// Calibre sheets, by id; the person's own take the place of built-in ones.
    pub sheets: Arc<BTreeMap<String, CalibreSheet>>,
    /// The builds, in the order of their slugs.
    pub builds: Builds,
    /// What is wrong.
    pub problems: Vec<Problem>,
    /// What each part is, by id: those of the bin, and those that a log splits off a lot.
    kinds: Arc<BTreeMap<String, &'static Kind>>,
    /// What is wrong with each build, by its slug, and with all the rest.
    by_build: Arc<BTreeMap<String, Vec<Problem>>>,
    elsewhere: Arc<Vec<Problem>>,
}

impl Journal {
    /// The build of a slug.
    pub fn build(&self, slug: &str) -> Option<&Build> {
        self.builds.find(slug).and_then(|at| self.builds.0.get(at)).map(Arc::as_ref)
    }

    /// Puts all problems together.
    fn tell(&mut self) {
        self.problems = self.elsewhere.iter().chain(self.by_build.values().flatten()).cloned().collect();
        crate::problem::sort(&mut self.problems);
    }
}

/// Builds in the order of their slugs. A copy shares them, and costs little.
#[derive(Clone, Debug, Default)]
pub struct Builds(Vec<Arc<Build>>);

impl Builds {
    /// Each of them.
    pub fn iter(&self) -> impl DoubleEndedIterator<Item = &Build> + ExactSizeIterator + Clone {
        self.0.iter().map(Arc::as_ref)
    }

    /// Each of them, on all cores.
    pub fn par_iter(&self) -> impl IndexedParallelIterator<Item = &Build> {
        self.0.par_iter().map(Arc::as_ref)
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    fn find(&self, slug: &str) -> Option<usize> {
        self.0.binary_search_by(|build| build.slug.as_str().cmp(slug)).ok()
    }
}

impl FromIterator<Build> for Builds {
    fn from_iter<T: IntoIterator<Item = Build>>(builds: T) -> Builds {
        Builds(builds.into_iter().map(Arc::new).collect())
    }
}

impl std::ops::Index<usize> for Builds {
    type Output = Build;

    fn index(&self, at: usize) -> &Build {
        &self.0[at]
    }
}

impl<'a> IntoIterator for &'a Builds {
    type Item = &'a Build;
    type IntoIter = std::iter::Map<std::slice::Iter<'a, Arc<Build>>, fn(&'a Arc<Build>) -> &'a Build>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.iter().map(Arc::as_ref)
    }
}

/// The sheets that come with the program.
pub const BUILT_IN_SHEETS: &str = include_str!("data/calibres.yaml");

/// The path under which the built-in sheets are named as a place.
pub const BUILT_IN_PATH: &str = "(built in) calibres.yaml";

/// Turns a folder into a journal. Every fault is a problem; none hides another file's.
pub fn read(mut folder: Folder) -> Journal {
    let mut files = Files::default();
    let mut problems = folder.problems;
    let built_in = files.add(BUILT_IN_PATH, BUILT_IN_SHEETS);
    // In whichever order the folder was walked, the same journal comes of it.
    folder.builds.sort();
    folder.photos.sort();
    let mut texts = folder.texts;
    // The builds' texts last: a build's own are found by its folder.
    texts.sort_by(|(a, _), (b, _)| (a.starts_with("builds/"), a).cmp(&(b.starts_with("builds/"), b)));
    let named: Vec<(FileId, String)> =
        texts.into_iter().map(|(path, text)| (files.add(path.clone(), text), path)).collect();
    let under = |part: &str| {
        let prefix = format!("{part}/");
        named.iter().filter(move |(_, path)| path.starts_with(&prefix))
    };

    let tolerances = Tolerances::default();
    let mut reader = Reader::new(&files, &tolerances);
    let own = named.iter().find(|(_, path)| path == "journal.yaml");
    let settings = own.map(|(file, _)| settings::read(&mut reader, *file)).unwrap_or_default();
    problems.append(&mut reader.problems);

    let mut reader = Reader::new(&files, &settings.tolerances);
    let mut sheets = Vec::new();
    for (file, built_in) in
        std::iter::once((built_in, true)).chain(under("calibres").map(|(file, _)| (*file, false)))
    {
        sheets.extend(part::read_sheets(&mut reader, file, built_in));
    }
    problems.append(&mut reader.problems);
    let sheets = unique_sheets(&files, &mut problems, sheets);

    let read: Vec<(Vec<Part>, Vec<Problem>)> = under("parts")
        .collect::<Vec<_>>()
        .into_par_iter()
        .map(|(file, _)| {
            let mut reader = Reader::new(&files, &settings.tolerances);
            (part::read_parts(&mut reader, *file), reader.problems)
        })
        .collect();
    let mut parts = Vec::new();
    for (read, faults) in read {
        parts.extend(read);
        problems.extend(faults);
    }
    let parts = unique_parts(&files, &mut problems, parts);
    references::check_calibres(&files, &mut problems, &parts, &sheets);

    let kinds: BTreeMap<String, &'static Kind> =
        parts.iter().map(|(id, part)| (id.clone(), part.kind)).collect();
    let kinds = entry::with_splits(kinds, &files, under("builds").map(|(file, _)| *file));
    let read: Vec<(Option<Build>, Vec<Problem>)> = folder
        .builds
        .par_iter()
        .map(|slug| {
            let mut reader = Reader::new(&files, &settings.tolerances);
            let build = read_build(&mut reader, slug, &named, &folder.photos, &kinds);
            (build, reader.problems)
        })
        .collect();
    let (builds, faults): (Vec<_>, Vec<_>) = read.into_iter().unzip();
    let by_build = folder.builds.iter().cloned().zip(faults).filter(|(_, faults)| !faults.is_empty());
    check_slugs(&mut problems, &folder.builds);
    references::check_parts(&files, &mut problems, &parts);
    let mut journal = Journal {
        files,
        settings,
        parts: Arc::new(parts),
        sheets: Arc::new(sheets),
        builds: builds.into_iter().flatten().collect(),
        problems: Vec::new(),
        kinds: Arc::new(kinds),
        by_build: Arc::new(by_build.collect()),
        elsewhere: Arc::new(problems),
    };
    journal.tell();
    journal
}

/// Reads one build's folder; `None` where it has no build.md.
fn read_build(
    reader: &mut Reader<'_>,
    slug: &str,
    named: &[(FileId, String)],
    photos: &[String],
    kinds: &BTreeMap<String, &'static Kind>,
) -> Option<Build> {
    let prefix = format!("builds/{slug}/");
    // The texts of builds/ stand together and in order: a build's own are found without a walk.
    let from =
        named.partition_point(|(_, path)| !path.starts_with("builds/") || path.as_str() < prefix.as_str());
    let own = named[from..].iter().take_while(|(_, path)| path.starts_with(&prefix));
    let (mut file, mut logs) = (None, Vec::new());
    for (id, path) in own {
        match &path[prefix.len()..] {
            "build.md" => file = Some(*id),
            name => logs.push((*id, name.trim_end_matches(".md").to_owned())),
        }
    }
    for (first, second) in names::clashes(logs.iter().map(|(_, name)| name.as_str())) {
        let message =
            format!("the entries `{first}` and `{second}` differ only by case or Unicode form: rename one");
        reader.problems.push(Problem::error(Place::file(format!("{prefix}{second}.md")), message));
    }
    let Some(file) = file else {
        let place = Place::file(format!("builds/{slug}"));
        reader
            .problems
            .push(Problem::error(place, "this folder has no build.md: add one, with a title and a state"));
        return None;
    };
    let mut build = build::read(reader, file, slug);
    let photos = &photos[photos.partition_point(|path| path.as_str() < prefix.as_str())..];
    build.photos = photos.iter().map_while(|path| path.strip_prefix(&prefix)).map(str::to_owned).collect();
    build.entries = logs.iter().filter_map(|(id, name)| entry::read(reader, *id, name, kinds)).collect();
    build.entries.sort_by(|a, b| (a.date.value, a.time, &a.name).cmp(&(b.date.value, b.time, &b.name)));
    references::check(reader, &build, kinds);
    Some(build)
}

fn unique_sheets(
    files: &Files,
    problems: &mut Vec<Problem>,
    sheets: Vec<CalibreSheet>,
) -> BTreeMap<String, CalibreSheet> {
    let mut by_id: BTreeMap<String, CalibreSheet> = BTreeMap::new();
    let mut built_in: BTreeMap<String, CalibreSheet> = BTreeMap::new();
    for sheet in sheets {
        let map = if sheet.built_in { &mut built_in } else { &mut by_id };
        match map.get(&sheet.id.value) {
            Some(first) => problems.push(twice(files, "sheet", &first.id, &sheet.id)),
            None => {
                map.insert(sheet.id.value.clone(), sheet);
            }
        }
    }
    for (id, sheet) in built_in {
        by_id.entry(id).or_insert(sheet);
    }
    let own = by_id.iter().map(|(id, sheet)| (id.as_str(), (&sheet.spec, sheet.like.as_ref()))).collect();
    let mut resolved = part::resolve_likes(files, problems, "calibre sheet", &own);
    for (id, sheet) in &mut by_id {
        if let Some(spec) = resolved.remove(id) {
            sheet.spec = spec;
        }
    }
    by_id
}

fn unique_parts(files: &Files, problems: &mut Vec<Problem>, parts: Vec<Part>) -> BTreeMap<String, Part> {
    let mut by_id: BTreeMap<String, Part> = BTreeMap::new();
    for part in parts {
        match by_id.get(&part.id.value) {
            Some(first) => problems.push(twice(files, "part", &first.id, &part.id)),
            None => {
                by_id.insert(part.id.value.clone(), part);
            }
        }
    }
    for (first, second) in names::clashes(by_id.keys().map(String::as_str)) {
        let (first, second) = (&by_id[first].id, &by_id[second].id);
        let message = format!(
            "the ids `{}` and `{}` differ only by case or Unicode form, and would share a page: rename one",
            first.value, second.value
        );
        problems.push(
            Problem::error(files.place(second.span), message).and(files.place(first.span), "the other"),
        );
    }
    let own = by_id.iter().map(|(id, part)| (id.as_str(), (&part.own, part.like.as_ref()))).collect();
    let mut resolved = part::resolve_likes(files, problems, "part", &own);
    for (id, part) in &mut by_id {
        if let Some(spec) = resolved.remove(id) {
            part.spec = spec;
        }
    }
    by_id
}

fn twice(files: &Files, what: &str, first: &Located<String>, second: &Located<String>) -> Problem {
    let message = format!("the {what} `{}` stands twice: give one another id", second.value);
    Problem::error(files.place(second.span), message).and(files.place(first.span), "the first, which is used")
}

fn check_slugs(problems: &mut Vec<Problem>, slugs: &[String]) {
    for slug in slugs {
        if let Err(fault) = names::check(slug) {
            let place = Place::file(format!("builds/{slug}"));
            problems
                .push(Problem::error(place, format!("the build's folder `{}` {fault}", slug.escape_debug())));
        }
    }
    for (first, second) in names::clashes(slugs.iter().map(String::as_str)) {
        let message =
            format!("the folders `{first}` and `{second}` differ only by case or Unicode form: rename one");
        problems.push(Problem::error(Place::file(format!("builds/{second}")), message));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn journal(texts: &[(&str, &str)]) -> Journal {
        let mut folder = Folder::default();
        folder.texts.push(("journal.yaml".into(), "title: A test\n".into()));
        for (path, text) in texts {
            folder.texts.push(((*path).into(), (*text).into()));
            if let Some(slug) = path.strip_prefix("builds/").and_then(|rest| rest.split('/').next())
                && !folder.builds.iter().any(|build| build == slug)
            {
                folder.builds.push(slug.into());
            }
        }
        read(folder)
    }

    fn said(journal: &Journal) -> Vec<String> {
        journal.problems.iter().map(|problem| format!("{} {}", problem.place, problem.message)).collect()
    }

    const DIAL: &str =
        "amber:\n  kind: dial\n  diameter: 28.50 ±0.02\n  feet: [{ at: 5h25, radius: 12.6 }]\n";

    #[test]
    fn a_typo_is_answered_with_place_and_nearest_word() {
        let journal = journal(&[
            (
                "parts/dials.yaml",
                "a: { kind: dail }\nb:\n  kind: dial\n  diametre: 28\n  thickness: 0,4\n  from: { date: 2026-02-30 }\n  centre_hole: 2.1 mn\n  diameter: 28.5\n",
            ),
            (
                "builds/x/build.md",
                "---\ntitle: X\nstate: finised\nparts:\n  dail: b\n  dial: bb\n  case: b\n---\n",
            ),
            ("builds/x/day.md", "---\ndate: 2026-01-32\n---\n"),
        ]);
        assert_eq!(
            said(&journal),
            [
                "builds/x/build.md:3:8 `state` cannot be `finised`, did you mean `finished`?",
                "builds/x/build.md:5:3 `dail` is not a slot of a build, did you mean `dial`?",
                "builds/x/build.md:6:9 there is no part `bb` in parts/, did you mean `b`?",
                "builds/x/build.md:7:9 `b` is a dial, and the slot `case` takes a case",
                "builds/x/day.md:2:7 `date`: there is no 2026-01-32 in the calendar",
                "parts/dials.yaml:1:12 `dail` is not a kind of part, did you mean `dial`?",
                "parts/dials.yaml:4:3 `diametre` is not a field of a dial, did you mean `diameter`?",
                "parts/dials.yaml:5:14 `thickness`: `0,4` has a decimal comma: write `0.4`",
                "parts/dials.yaml:6:17 `from.date`: there is no 2026-02-30 in the calendar",
                "parts/dials.yaml:7:16 `centre_hole`: `mn` is not a unit of a length, did you mean `mm`?",
            ]
        );
        let read = journal.parts["b"].spec.size("diameter").expect("the rest of the part is read");
        assert_eq!(read.value.value, 28.5);
        assert_eq!(journal.files.place(read.span).to_string(), "parts/dials.yaml:8:13");
    }

    #[test]
    fn a_fault_of_grammar_costs_only_its_own_part() {
        let journal =
            journal(&[("parts/all.yaml", &format!("{DIAL}bad:\n  kind: dial: x\nlast:\n  kind: strap\n"))]);
        assert_eq!(journal.parts.keys().collect::<Vec<_>>(), ["amber", "last"]);
        assert_eq!(said(&journal).len(), 1);
        assert!(said(&journal)[0].starts_with("parts/all.yaml:6:"), "{:?}", said(&journal));
    }

    #[test]
    fn like_takes_over_sizes_and_refuses_circles() {
        let copied = journal(&[(
            "parts/a.yaml",
            &format!("{DIAL}twin: {{ kind: dial, like: amber, thickness: 0.4 }}\n"),
        )]);
        assert_eq!(copied.parts["twin"].spec.size("diameter").map(|size| size.value.value), Some(28.5));
        assert_eq!(copied.parts["twin"].spec.size("feet.1.radius").map(|size| size.value.value), Some(12.6));
        let round = journal(&[(
            "parts/a.yaml",
            "a: { kind: dial, like: b }\nb: { kind: dial, like: a }\nc: { kind: dial, like: a }\n",
        )]);
        assert_eq!(said(&round).len(), 1, "a circle is told once");
        assert!(
            said(&round)[0].contains("`like` goes in a circle: `a` is like `b` is like `a`"),
            "{:?}",
            said(&round)
        );
    }

    #[test]
    fn ids_that_stand_twice_name_both_places() {
        let journal = journal(&[
            ("parts/a.yaml", DIAL),
            ("parts/b.yaml", "amber: { kind: strap }\nAmber: { kind: strap }\n"),
        ]);
        assert_eq!(
            said(&journal),
            [
                "parts/a.yaml:1:1 the ids `Amber` and `amber` differ only by case or Unicode form, and would share a page: rename one",
                "parts/b.yaml:1:1 the part `amber` stands twice: give one another id",
            ]
        );
        assert_eq!(journal.problems[1].also[0].0.to_string(), "parts/a.yaml:1:1");
    }

    #[test]
    fn the_built_in_sheets_have_no_problems() {
        let journal = journal(&[]);
        assert_eq!(said(&journal), Vec::<String>::new());
        assert!(journal.sheets.values().all(|sheet| sheet.spec.text("source").is_some()));
    }

    #[test]
    fn a_part_split_from_a_lot_has_its_kind() {
        let journal = journal(&[
            ("parts/a.yaml", "lot: { kind: hand, count: 5, length: 8 }\n"),
            ("builds/x/build.md", "---\ntitle: X\nparts: { hour: one }\n---\n"),
            (
                "builds/x/1.md",
                "---\ndate: 2026-01-02\naltered: [{ part: lot, how: bore opened, to: { bore: 1.49 }, as: one }]\nmeasured: { one: { length: 8.01 } }\n---\n",
            ),
        ]);
        assert_eq!(said(&journal), Vec::<String>::new());
    }
}
