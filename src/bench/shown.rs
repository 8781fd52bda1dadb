//! What the browser can ask for.

use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;
use std::sync::Arc;

use hyper::body::Bytes;

use super::answer::{Found, Stock};

/// What is on show: files of the person's own view, and for its photos those of the site.
#[derive(Clone, Debug, Default)]
pub(super) struct Shown {
    pub(super) private: PathBuf,
    pub(super) public: PathBuf,
    pub(super) files: Arc<BTreeSet<String>>,
    /// Pages of builds that cannot be read now, as they were when they could.
    pub(super) kept: Arc<BTreeMap<String, Bytes>>,
    /// Pages that were made ahead of all others, each with the number of the save that it shows.
    pub(super) ahead: BTreeMap<String, (usize, Bytes)>,
}

impl Stock for Shown {
    fn find(&self, path: &str) -> Option<Found> {
        if let Some(page) = self.kept.get(path).or_else(|| Some(&self.ahead.get(path)?.1)) {
            return Some(Found::Bytes(page.clone()));
        }
        if !self.files.contains(path) {
            return None;
        }
        let own = self.private.join(path);
        Some(Found::Disk(if own.is_file() { own } else { self.public.join(path) }))
    }
}
