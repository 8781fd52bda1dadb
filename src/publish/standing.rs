//! Which pages of a site stand as they were made, from one run to the next.

use std::collections::BTreeMap;
use std::path::Path;

use rayon::prelude::*;
use serde::{Deserialize, Serialize};

use crate::pages::Kept;

use super::memory::{self, Stamp};

/// The pages of one site's folder that were made of known things, and how their files stood.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Standing {
    pub(super) kept: Kept,
    stamps: BTreeMap<String, Stamp>,
}

/// What it is remembered as.
const KIND: &str = "pages";

impl Standing {
    /// What is remembered of the site in `folder`; nothing where it cannot be believed.
    #[must_use]
    pub fn load(folder: &Path) -> Standing {
        memory::recall(KIND, folder).unwrap_or_default()
    }

    /// Remembers it for the next run.
    pub fn store(&self, folder: &Path) {
        memory::remember(KIND, folder, self);
    }

    /// Notes what the pages in `folder` are made of and how they stand, once the round that kept or
    /// wrote them has finished; a round that did not leaves everything as it was noted before.
    pub fn note(&mut self, folder: &Path, made_of: Kept) {
        self.kept = made_of;
        let paths: Vec<&str> = self.kept.paths().collect();
        let stamps = paths.par_iter().filter_map(|path| {
            let stamp = Stamp::of(&folder.join(path))?;
            Some(((*path).to_owned(), stamp))
        });
        self.stamps = stamps.collect();
    }

    /// Whether the file at `path` stands in `folder` as it did.
    pub(super) fn stands(&self, folder: &Path, path: &str) -> bool {
        self.stamps.get(path).is_some_and(|stamp| Stamp::of(&folder.join(path)).as_ref() == Some(stamp))
    }
}
