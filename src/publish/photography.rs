//! The photos of a journal's builds, derived into the site.

use std::collections::{BTreeMap, BTreeSet};

use crate::journal::{Build, Journal};
use crate::pages::album::{Album, Sizes};
use crate::photos;
use crate::problem::Problem;
use crate::site::{FileRole, Round};
use crate::text::Place;

use super::{Order, cached};

/// The folder of the site in which photos stand.
const PHOTOS: &str = "photos";

/// What stands in the place of a photo that could not be read, 800 x 600 px: it is seen on light and dark.
const LOST: &str = include_str!("lost.svg");

/// What became of the photos.
#[derive(Debug, Clone, Default)]
pub struct Photography {
    sizes: BTreeMap<String, Sizes>,
    album: Album,
    /// Photos that could not be read.
    pub problems: Vec<Problem>,
}

impl Photography {
    /// The photos as pages show them.
    pub fn album(&self) -> &Album {
        &self.album
    }

    /// The photos' paths in the site.
    pub fn files(&self) -> impl Iterator<Item = String> + '_ {
        self.sizes
            .values()
            .flat_map(|sizes| sizes.files.iter().chain(&sizes.share))
            .map(|(path, ..)| path.clone())
    }

    /// Keeps these photos, which were derived just now, in another round of the same site.
    pub fn keep(&self, round: &Round<'_>) -> anyhow::Result<()> {
        round.claim(PHOTOS)?;
        let lost = lost_path();
        for path in self.files().collect::<BTreeSet<_>>() {
            if path == lost {
                round.put(&path, FileRole::Asset, LOST.as_bytes())?;
            } else {
                round.keep(&path, FileRole::Asset)?;
            }
        }
        Ok(())
    }

    /// These photos and those of another part of the journal.
    #[must_use]
    pub fn and(mut self, other: &Photography) -> Photography {
        self.sizes.extend(other.sizes.iter().map(|(path, sizes)| (path.clone(), sizes.clone())));
        self.album = Album::new(self.sizes.clone());
        self.problems.extend(other.problems.iter().cloned());
        self
    }
}

/// Derives the photos of the builds for which `wanted` holds into the site of `round`.
pub fn photograph(
    round: &Round<'_>,
    told: &Order,
    journal: &Journal,
    wanted: &dyn Fn(&Build) -> bool,
    progress: &dyn photos::Progress,
) -> anyhow::Result<Photography> {
    round.claim(PHOTOS)?;
    let sources = sources(told, journal, wanted);
    let cache = cached("photos", round.folder()).map(|place| place.with_extension("json"));
    let options = photos::Options {
        store: &round.folder().join(PHOTOS),
        cache: cache.as_deref(),
        fresh: told.fresh,
        budget: photos::BUDGET,
        progress,
    };
    let derived = photos::derive(&sources, &options)?;
    for file in &derived.files {
        round.keep(&format!("{PHOTOS}/{file}"), FileRole::Asset)?;
    }
    let mut out = Photography::default();
    // Those that the log names and the folder does not have: that has been said where they are named.
    let mut lost: Vec<String> =
        journal.builds.iter().filter(|build| wanted(build)).flat_map(missing).collect();
    for (source, photo) in sources.iter().zip(&derived.photos) {
        match photo {
            Ok(photo) => {
                let stands =
                    |one: &photos::Derivative| (format!("{PHOTOS}/{}", one.file), one.width, one.height);
                let sizes = Sizes {
                    files: photo.derivatives.iter().map(stands).collect(),
                    share: photo.share.as_ref().map(stands),
                    taken: photo.taken,
                    soft: photo.placeholder.clone(),
                    lost: false,
                };
                out.sizes.insert(source.name.clone(), sizes);
            }
            Err(fault) => {
                out.problems.push(Problem::error(Place::file(&fault.name), fault.reason.to_string()));
                lost.push(source.name.clone());
            }
        }
    }
    if !lost.is_empty() {
        let path = lost_path();
        round.put(&path, FileRole::Asset, LOST.as_bytes())?;
        let frame = Sizes { files: vec![(path, 800, 600)], lost: true, ..Sizes::default() };
        out.sizes.extend(lost.into_iter().map(|name| (name, frame.clone())));
    }
    out.album = Album::new(out.sizes.clone());
    Ok(out)
}

fn lost_path() -> String {
    format!("{PHOTOS}/lost-{}.svg", &blake3::hash(LOST.as_bytes()).to_hex()[..16])
}

/// The photos that a build names and its folder does not have.
fn missing(build: &Build) -> Vec<String> {
    let named = build.entries.iter().flat_map(|entry| &entry.photos).map(|photo| &photo.file);
    let named = named.chain(&build.cover).map(|file| &file.value);
    let gone = named.filter(|file| !build.photos.contains(file));
    gone.map(|file| format!("builds/{}/{file}", build.slug)).collect()
}

fn sources(told: &Order, journal: &Journal, wanted: &dyn Fn(&Build) -> bool) -> Vec<photos::Source> {
    let mut sources = Vec::new();
    for build in journal.builds.iter().filter(|build| wanted(build)) {
        for file in &build.photos {
            let name = format!("builds/{}/{file}", build.slug);
            let cover = build.cover.as_ref().is_some_and(|cover| cover.value == *file);
            let first = build
                .entries
                .iter()
                .any(|entry| entry.photos.first().is_some_and(|photo| photo.file.value == *file));
            sources.push(photos::Source {
                path: told.journal.join(&name),
                name,
                // Previews elsewhere need an address to lead to.
                share: journal.settings.address.is_some() && (cover || first),
            });
        }
    }
    sources
}
