//! Pages that stand already, and need not be made again because what they are made of is the same.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::digest::Digest;
use super::search::Searchable;

/// The pages of a site that were made for one build or one part each, by what they were made for.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Kept {
    pages: BTreeMap<String, Few>,
    /// By build's slug.
    briefs: BTreeMap<String, Brief>,
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

/// What the pages over many builds show of one of them, in digests: where those of all builds are the
/// same, such a page stands, and no build has to be checked or drawn for it.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Brief {
    /// What the pages of the build are made of.
    pub(super) digest: Digest,
    /// Its row in the gallery, and its outline.
    pub(super) row: Digest,
    /// What is still to be measured.
    pub(super) wanted: Digest,
    /// Its lines on the page of each check, by the check's id; a check that asks nothing of it has none.
    pub(super) checks: BTreeMap<String, Digest>,
}

impl Kept {
    /// What the pages over many builds show of a build, if it was made of the same.
    pub(super) fn brief(&self, slug: &str, digest: &Digest) -> Option<&Brief> {
        self.briefs.get(slug).filter(|brief| brief.digest == *digest)
    }

    pub(super) fn keep_brief(&mut self, slug: String, brief: Brief) {
        self.briefs.insert(slug, brief);
    }

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
