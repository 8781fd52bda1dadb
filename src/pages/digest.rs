//! Digests of what pages are made of: where a build's is the same, so are its findings and pages.
//!
//! A page of one build or one part rests on the texts of that build, on the parts that it ever had
//! to do with or names, on what other builds of these parts are called, and on what all pages share:
//! settings, sheets, bands. What belongs to a page is taken too large rather than too small: too
//! large costs time, too small would show what is no longer true.

mod unit;

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

use rayon::prelude::*;
use rustc_hash::FxHashSet;
use serde::Serialize;

use crate::fit::bands::Bands;
use crate::journal::{Build, BuildState, Journal, PartSource, Slot};
use crate::ledger::{Ledger, Unit};

/// A digest: 128 bits of BLAKE3 in hexadecimal.
pub type Digest = String;

/// The digests of a journal.
#[derive(Clone, Debug, Default)]
pub struct Digests {
    /// What every page rests on.
    shared: Digest,
    units: BTreeMap<String, Digest>,
    builds: BTreeMap<String, Digest>,
    /// The builds that a part was in, or in whose log something was done to it.
    met: BTreeMap<String, BTreeSet<String>>,
    /// The parts that a build has, had or names.
    named: BTreeMap<String, BTreeSet<String>>,
    /// The builds whose texts may lead to any page and any photo.
    far: BTreeSet<String>,
}

impl Digests {
    /// Works them out.
    #[must_use]
    pub fn of(journal: &Journal, ledger: &Ledger, bands: &Bands) -> Digests {
        let slugs: BTreeMap<&str, &str> = logs(journal).map(|(path, build)| (path, &*build.slug)).collect();
        let mut met: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
        for (id, unit) in &ledger.units {
            let places = unit.had.iter().chain(unit.gone.iter().map(|gone| &gone.when));
            let places = places.filter_map(|when| slugs.get(journal.files.path(when.span.file)).copied());
            let stays = unit.stays.iter().map(|stay| stay.build.as_str());
            let changes = unit.changes.iter().map(|change| change.build.as_str());
            let slugs = stays.chain(changes).chain(places).map(str::to_owned);
            met.entry(id.clone()).or_default().extend(slugs);
        }
        let units: Vec<(&String, &Unit)> = ledger.units.iter().collect();
        let units: BTreeMap<String, Digest> = units
            .par_iter()
            .map(|(id, unit)| ((*id).clone(), of_unit(journal, ledger, &met, unit)))
            .collect();

        // Every word of every log is looked up.
        let ids: FxHashSet<&str> = ledger.units.keys().map(String::as_str).collect();
        let mut named: BTreeMap<String, BTreeSet<String>> = journal
            .builds
            .par_iter()
            .map(|build| (build.slug.clone(), named_in(journal, &ids, build)))
            .collect();
        for (id, slugs) in &met {
            for slug in slugs {
                if let Some(named) = named.get_mut(slug) {
                    named.insert(id.clone());
                }
            }
        }
        let spares = spares(ledger, &units);
        let today = ledger.last_said(journal).map(|said| said.value);
        let builds = journal.builds.par_iter().map(|build| {
            let mut text = build.slug.clone();
            for (path, content) in texts(journal, build) {
                let _ = write!(text, "\n{path} {}\n{content}", content.len());
            }
            let _ = write!(text, "{:?}", build.photos);
            for id in named.get(&build.slug).into_iter().flatten() {
                for id in lineage(ledger, id) {
                    let _ = write!(text, "\n{id} {}", units.get(id).map_or("", String::as_str));
                }
            }
            // Only how old a test of its water resistance is goes by the day.
            if build.entries.iter().any(|entry| !entry.pressure.is_empty()) {
                let _ = write!(text, "\n{today:?}");
            }
            // What would go into a watch may be any part that is free.
            if !matches!(build.state, BuildState::Finished | BuildState::TakenApart) {
                text.push_str(&spares);
            }
            (build.slug.clone(), digest(&text))
        });
        let builds = builds.collect();
        let far = journal.builds.iter().filter(|build| reaches_far(journal, build));
        let far = far.map(|build| build.slug.clone()).collect();
        Digests { shared: shared(journal, ledger, bands, &units), units, builds, met, named, far }
    }

    /// What every page rests on beside builds and parts: settings, sheets, bands.
    #[must_use]
    pub fn shared(&self) -> &Digest {
        &self.shared
    }

    /// What the findings of a build rest on, and its pages but for where everything stands and how
    /// it looks; `None` where there is no such build.
    #[must_use]
    pub fn build(&self, slug: &str) -> Option<Digest> {
        Some(digest(&format!("{} {}", self.shared, self.builds.get(slug)?)))
    }

    /// What a part's page rests on in the same way.
    #[must_use]
    pub fn part(&self, ledger: &Ledger, id: &str) -> Digest {
        let mut text = self.shared.clone();
        self.lines(ledger, id, &mut text);
        for slug in self.builds_of(id) {
            let _ = write!(text, "\n{slug} {}", self.builds.get(slug).map_or("", String::as_str));
        }
        digest(&text)
    }

    /// What a line about a part alone rests on in the same way: not on the texts of the builds that it was in.
    #[must_use]
    pub fn unit(&self, ledger: &Ledger, id: &str) -> Digest {
        let mut text = self.shared.clone();
        self.lines(ledger, id, &mut text);
        digest(&text)
    }

    /// A part and the lots that it came from.
    fn lines(&self, ledger: &Ledger, id: &str, text: &mut String) {
        for id in lineage(ledger, id) {
            let _ = write!(text, "\n{id} {}", self.units.get(id).map_or("", String::as_str));
        }
    }

    /// The builds that a part had to do with.
    pub fn builds_of(&self, id: &str) -> impl Iterator<Item = &str> {
        self.met.get(id).into_iter().flatten().map(String::as_str)
    }

    /// The parts that a build's pages may name.
    pub fn parts_of(&self, slug: &str) -> impl Iterator<Item = &str> {
        self.named.get(slug).into_iter().flatten().map(String::as_str)
    }

    /// Whether a build's texts may lead to any page and any photo of the journal.
    #[must_use]
    pub fn reaches_far(&self, slug: &str) -> bool {
        self.far.contains(slug)
    }
}

/// The digest of a text.
#[must_use]
pub fn digest(text: &(impl AsRef<[u8]> + ?Sized)) -> Digest {
    short(&blake3::hash(text.as_ref()))
}

/// The digest of what a template is told.
#[must_use]
pub fn of_shown(shown: &impl Serialize) -> Digest {
    let mut hasher = blake3::Hasher::new();
    // What templates are told are structures of texts and numbers: nothing of them cannot be written.
    let _ = serde_json::to_writer(&mut hasher, shown);
    short(&hasher.finalize())
}

fn short(hash: &blake3::Hash) -> Digest {
    hash.to_hex()[..32].to_owned()
}

/// A part and the lots that it came from.
fn lineage<'a>(ledger: &'a Ledger, id: &'a str) -> impl Iterator<Item = &'a str> {
    let lot = |id: &&'a str| -> Option<&'a str> { ledger.units.get(*id)?.split_from.as_deref() };
    // No lot is older than itself, but a log may say so.
    std::iter::successors(Some(id), lot).take(64)
}

/// The files of all builds' folders that were read, each with its build.
fn logs(journal: &Journal) -> impl Iterator<Item = (&str, &Build)> {
    journal
        .builds
        .iter()
        .flat_map(move |build| build.files().map(move |file| (journal.files.path(file), build)))
}

fn texts<'a>(journal: &'a Journal, build: &'a Build) -> impl Iterator<Item = (&'a str, &'a str)> {
    build.files().map(|file| (journal.files.path(file), journal.files.text(file)))
}

/// Of a part, of the builds that it was in as far as others show them, and of whom it was taken from.
fn of_unit(
    journal: &Journal,
    ledger: &Ledger,
    met: &BTreeMap<String, BTreeSet<String>>,
    unit: &Unit,
) -> Digest {
    let part = journal.parts.get(&unit.id);
    let mut text = String::new();
    for build in met.get(&unit.id).into_iter().flatten().filter_map(|slug| journal.build(slug)) {
        let Build { slug, title, state, hidden, begun, ended, .. } = build;
        let [begun, ended] = [begun, ended].map(|day| day.as_ref().map(|day| day.value));
        let _ = write!(text, "\n{slug} {title} {state:?} {hidden} {begun:?} {ended:?}");
    }
    if let Some(PartSource::Donor(donor)) = part.and_then(|part| part.from.source.as_ref()) {
        let _ = write!(text, "\n{:?}", ledger.units.get(&donor.value).map(|unit| &unit.name));
    }
    digest(&[unit::written(&journal.files, unit, part), text.into_bytes()].concat())
}

/// The parts in a build's slots, and those whose id stands in its texts.
fn named_in(journal: &Journal, ids: &FxHashSet<&str>, build: &Build) -> BTreeSet<String> {
    let known = |id: &str| ids.get(id).map(|id| (*id).to_owned());
    let there = Slot::ALL.into_iter().filter_map(|slot| Ledger::occupant(build, slot));
    let mut named: BTreeSet<String> = there.filter_map(|id| known(&id)).collect();
    for (_, text) in texts(journal, build) {
        named.extend(text.split(|c: char| !is_of_id(c)).filter_map(known));
    }
    named
}

/// Whether a letter may stand in an id that is found in a text; ids with others count for all builds.
fn is_of_id(letter: char) -> bool {
    letter.is_ascii_alphanumeric() || matches!(letter, '-' | '_')
}

/// Whether a text of the build names a way out of its folder, also one whose dots are written as %2E.
fn reaches_far(journal: &Journal, build: &Build) -> bool {
    texts(journal, build).any(|(_, text)| ["..", "%2e", "%2E"].iter().any(|way| text.contains(way)))
}

/// Of every part that may be free.
fn spares(ledger: &Ledger, units: &BTreeMap<String, Digest>) -> Digest {
    let mut text = String::new();
    for (id, unit) in ledger.units.iter().filter(|(_, unit)| is_free(unit)) {
        let _ = write!(text, "\n{id} {} {}", unit.name, units.get(id).map_or("", String::as_str));
    }
    digest(&text)
}

fn shared(journal: &Journal, ledger: &Ledger, bands: &Bands, units: &BTreeMap<String, Digest>) -> Digest {
    let mut text = format!("{:?}{:?}{:?}", journal.settings, journal.sheets, bands);
    // Their names are taken out of what other pages say.
    for build in journal.builds.iter().filter(|build| build.hidden) {
        let _ = write!(text, "\n{} {}", build.slug, build.title);
    }
    for id in ledger.units.keys() {
        if !id.chars().all(|letter| is_of_id(letter) || letter == '/') {
            let _ = write!(text, "\n{id} {}", units.get(id).map_or("", String::as_str));
        }
    }
    digest(&text)
}

fn is_free(unit: &Unit) -> bool {
    unit.count.is_some() || !unit.stays.iter().any(|stay| stay.to.is_none() && !stay.planned)
}
