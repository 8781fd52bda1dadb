//! What was made: a page or a few, and what others have to know of them.

use rayon::prelude::*;

use crate::pages::digest::Digest;
use crate::pages::kept::Few;
use crate::pages::render::SiteFile;
use crate::pages::search::Searchable;
use crate::problem::Problem;

use super::Put;

/// One page or a few that belong together, and what is to be found on them.
#[derive(Debug, Clone, Default)]
pub(super) struct Made {
    pub(super) files: Vec<SiteFile>,
    pub(super) problems: Vec<Problem>,
    pub(super) found: Vec<Searchable>,
    /// The last day of what it shows, as 2026-02-14; empty where there is none.
    pub(super) day: String,
    /// In the sitemap, with or without a day.
    pub(super) listed: bool,
    /// Where the pages stand in the site.
    pub(super) paths: Vec<String>,
    /// They stand there already, and were not made.
    pub(super) stands: bool,
    /// The name and the digest under which they are kept for the next time; `None` where they are
    /// made each time.
    pub(super) keep: Option<(String, Digest)>,
}

/// What all of them make, or the first error in their order: which fault of a theme is told must not depend on
/// threads.
pub(super) fn in_order<T: Send>(
    each: impl IndexedParallelIterator<Item = anyhow::Result<T>>,
) -> anyhow::Result<Vec<T>> {
    let all: Vec<anyhow::Result<T>> = each.collect();
    all.into_iter().collect()
}

impl Made {
    /// One page of its own, that is in the sitemap.
    pub(super) fn page(page: SiteFile) -> Made {
        let mut made = Made { listed: true, ..Made::default() };
        made.add(page);
        made
    }

    pub(super) fn add(&mut self, page: SiteFile) {
        self.paths.push(page.path.clone());
        self.files.push(page);
    }

    /// To be kept under this name and digest for the next time, unless there was something wrong with it,
    /// which has to be told again.
    pub(super) fn kept(mut self, keep: (String, Digest)) -> Made {
        self.keep = Some(keep).filter(|_| self.problems.is_empty());
        self
    }

    /// Pages that stand.
    pub(super) fn standing(few: &Few, keep: (String, Digest)) -> Made {
        Made {
            found: few.found.clone(),
            day: few.day.clone(),
            listed: true,
            paths: few.paths.clone(),
            keep: Some(keep),
            stands: true,
            ..Made::default()
        }
    }

    /// Hands its files over, and keeps only what is told of them.
    pub(super) fn handed(mut self, put: Put<'_>) -> anyhow::Result<Made> {
        self.files.drain(..).try_for_each(put)?;
        self.files = Vec::new();
        Ok(self)
    }
}
