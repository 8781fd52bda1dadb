//! What was made: a page or a few, and what others have to know of them.

use crate::pages::digest::Digest;
use crate::pages::kept::Few;
use crate::pages::render::{Rendered, SiteFile};
use crate::pages::search::Searchable;
use crate::pages::theme::Fault;
use crate::problem::Problem;

use super::Put;

/// One page or a few that belong together, and what is to be found on them.
#[derive(Debug, Clone, Default)]
pub(super) struct Made {
    pub(super) files: Vec<SiteFile>,
    /// What of the theme was set aside, for which of the pages.
    pub(super) faults: Vec<(Fault, String)>,
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

impl Made {
    /// One page of its own, that is in the sitemap.
    pub(super) fn page(page: Rendered) -> Made {
        let mut made = Made { listed: true, ..Made::default() };
        made.add(page);
        made
    }

    pub(super) fn add(&mut self, page: Rendered) {
        let path = page.file.path.clone();
        self.faults.extend(page.faults.into_iter().map(|fault| (fault, path.clone())));
        self.paths.push(path);
        self.files.push(page.file);
    }

    /// To be kept under this name and digest for the next time, unless there was something wrong with it,
    /// which has to be told again.
    pub(super) fn kept(mut self, keep: (String, Digest)) -> Made {
        self.keep = Some(keep).filter(|_| self.problems.is_empty() && self.faults.is_empty());
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
