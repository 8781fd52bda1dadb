//! Pages that stand already, and need not be made again because what they are made of is the same.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::digest::Digest;
use super::search::Searchable;

/// The pages of a site that were made for one build or one part each, by what they were made for.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Kept {
    pages: BTreeMap<String, Few>,
}

/// Pages that are made together, and what other pages take from them.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Few {
    /// What they were made of.
    pub(super) digest: Digest,
    /// Their paths in the site.
    pub(super) paths: Vec<String>,
    /// What is to be found on them.
    pub(super) found: Vec<Searchable>,
    /// The last day of what they show; empty where there is none.
    pub(super) day: String,
}

impl Kept {
    /// The pages for `name`, if they were made of the same and `stands` holds for each.
    pub(super) fn few(
        &self,
        name: &str,
        digest: &Digest,
        stands: &(dyn Fn(&str) -> bool + Sync),
    ) -> Option<&Few> {
        let few = self.pages.get(name).filter(|few| few.digest == *digest)?;
        few.paths.iter().all(|path| stands(path)).then_some(few)
    }

    pub(super) fn keep(&mut self, name: String, few: Few) {
        self.pages.insert(name, few);
    }

    /// The paths of all these pages.
    pub fn paths(&self) -> impl Iterator<Item = &str> {
        self.pages.values().flat_map(|few| &few.paths).map(String::as_str)
    }
}
