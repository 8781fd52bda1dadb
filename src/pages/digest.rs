//! Digests of what pages are made of: where a build's is the same, so are its findings and pages.
//!
//! A page of one build or one part rests on the texts of that build, on the parts that it ever had
//! to do with, and on what all pages share: settings, sheets, bands, the titles that links show. What
//! belongs to a page is taken too large rather than too small: too large costs time, too small
//! would show what is no longer true.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

use rayon::prelude::*;

use crate::fit::bands::Bands;
use crate::journal::{Build, Journal, Slot};
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
}

impl Digests {
    /// Works them out.
    #[must_use]
    pub fn of(journal: &Journal, ledger: &Ledger, bands: &Bands) -> Digests {
        let slugs: BTreeMap<&str, &str> = logs(journal).map(|(path, build)| (path, &*build.slug)).collect();
        let units: BTreeMap<String, Digest> = ledger
            .units
            .par_iter()
            .map(|(id, unit)| (id.clone(), digest(&format!("{unit:?}{:?}", journal.parts.get(id)))))
            .collect();
        let mut met: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
        let mut of_build: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
        for build in &journal.builds {
            let there = Slot::ALL.into_iter().filter_map(|slot| Ledger::occupant(build, slot));
            let there = there.filter_map(|id| ledger.units.get_key_value(&id));
            of_build.entry(&build.slug).or_default().extend(there.map(|(id, _)| id.as_str()));
        }
        for (id, unit) in &ledger.units {
            let places = unit.had.iter().chain(unit.gone.iter().map(|gone| &gone.when));
            let places = places.filter_map(|when| slugs.get(journal.files.path(when.span.file)).copied());
            let stays = unit.stays.iter().map(|stay| stay.build.as_str());
            let changes = unit.changes.iter().map(|change| change.build.as_str());
            for slug in stays.chain(changes).chain(places) {
                of_build.entry(slug).or_default().insert(id);
                met.entry(id.clone()).or_default().insert(slug.to_owned());
            }
        }
        let builds = journal
            .builds
            .par_iter()
            .map(|build| {
                let mut text = build.slug.clone();
                for (path, content) in texts(journal, build) {
                    let _ = write!(text, "\n{path} {}\n{content}", content.len());
                }
                let _ = write!(text, "{:?}", build.photos);
                for id in of_build.get(build.slug.as_str()).into_iter().flatten() {
                    for id in lineage(ledger, id) {
                        let _ = write!(text, "\n{id} {}", units.get(id).map_or("", String::as_str));
                    }
                }
                (build.slug.clone(), digest(&text))
            })
            .collect();
        Digests { shared: shared(journal, ledger, bands, &units), units, builds, met }
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
        for id in lineage(ledger, id) {
            let _ = write!(text, "\n{id} {}", self.units.get(id).map_or("", String::as_str));
        }
        for slug in self.builds_of(id) {
            let _ = write!(text, "\n{slug} {}", self.builds.get(slug).map_or("", String::as_str));
        }
        digest(&text)
    }

    /// The builds that a part had to do with.
    pub fn builds_of(&self, id: &str) -> impl Iterator<Item = &str> {
        self.met.get(id).into_iter().flatten().map(String::as_str)
    }
}

/// The digest of a text.
#[must_use]
pub fn digest(text: &str) -> Digest {
    blake3::hash(text.as_bytes()).to_hex()[..32].to_owned()
}

/// A part and the lots that it came from.
fn lineage<'a>(ledger: &'a Ledger, id: &'a str) -> impl Iterator<Item = &'a str> {
    let lot = |id: &&'a str| -> Option<&'a str> { ledger.units.get(*id)?.split_from.as_deref() };
    // No lot is older than itself, but a log may say so.
    std::iter::successors(Some(id), lot).take(64)
}

/// The files of all builds' folders that were read, each with its build.
fn logs(journal: &Journal) -> impl Iterator<Item = (&str, &Build)> {
    journal.builds.iter().flat_map(move |build| {
        let files = std::iter::once(build.file).chain(build.entries.iter().map(|entry| entry.file));
        files.map(move |file| (journal.files.path(file), build))
    })
}

fn texts<'a>(journal: &'a Journal, build: &'a Build) -> impl Iterator<Item = (&'a str, &'a str)> {
    let files = std::iter::once(build.file).chain(build.entries.iter().map(|entry| entry.file));
    files.map(|file| (journal.files.path(file), journal.files.text(file)))
}

fn shared(journal: &Journal, ledger: &Ledger, bands: &Bands, units: &BTreeMap<String, Digest>) -> Digest {
    let mut text = format!("{:?}{:?}{:?}", journal.settings, journal.sheets, bands);
    let _ = write!(text, "{:?}", ledger.last_said(journal));
    for build in &journal.builds {
        let Build { slug, title, state, hidden, begun, ended, cover, .. } = build;
        let _ = write!(text, "\n{slug} {title} {state:?} {hidden} {begun:?} {ended:?} {cover:?}");
        for entry in &build.entries {
            let _ = write!(text, "\n {} {:?} {}", entry.name, entry.title, entry.date.value);
        }
    }
    for (id, unit) in &ledger.units {
        let _ = write!(text, "\n{id} {} {}", unit.name, unit.kind.name);
        // What would go into a watch may be any part that is free.
        if is_free(unit) {
            let _ = write!(text, " {}", units.get(id).map_or("", String::as_str));
        }
    }
    digest(&text)
}

fn is_free(unit: &Unit) -> bool {
    unit.count.is_some() || !unit.stays.iter().any(|stay| stay.to.is_none() && !stay.planned)
}
