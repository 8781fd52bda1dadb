//! What was made of a site before, and which of its pages stand as they were made, from one run to the next.

use std::collections::BTreeMap;
use std::path::Path;

use rayon::prelude::*;
use serde::{Deserialize, Serialize};

use crate::pages::Results;

use super::memory::{self, Stamp};

/// The results that one site's folder was made of, and how the files of its pages stood.
#[derive(Debug, Default, Serialize, Deserialize)]
pub struct Standing {
    pub(super) results: Results,
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

    /// Notes how the pages in `folder` stand, once the round that kept or wrote them has finished; a round that
    /// did not leaves everything as it was noted before. What no page was made of is forgotten.
    pub fn note(&mut self, folder: &Path) {
        self.results.forget_unused();
        let stamps = self.results.paths().into_par_iter().filter_map(|path| {
            let stamp = Stamp::of(&folder.join(&path))?;
            Some((path, stamp))
        });
        self.stamps = stamps.collect();
    }

    /// Whether the file at `path` stands in `folder` as it did.
    pub(super) fn stands(&self, folder: &Path, path: &str) -> bool {
        self.stamps.get(path).is_some_and(|stamp| Stamp::of(&folder.join(path)).as_ref() == Some(stamp))
    }
}
