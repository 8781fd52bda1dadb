//! Showing a saved log before all the rest is read: only its build is read and checked again.
//!
//! What is found so is not relied on: a whole round follows each save, and its pages take the place
//! of these.

use std::collections::BTreeSet;
use std::path::PathBuf;

use anyhow::Result;

use super::follow::Change;
use super::keeping::Basis;
use crate::pages::addresses::Scope;
use crate::pages::render::SiteFile;
use crate::publish::{Look, show_glance};

/// The journal as it was last read in a round, kept up with the logs that were saved since.
pub(super) struct Glancing {
    journal: PathBuf,
    /// `None` until a round has come to its end, and where it takes a round to go on.
    basis: Option<Box<Basis>>,
    /// What was saved since the basis was read, with the number of the save.
    since: Vec<(usize, Change)>,
}

impl Glancing {
    pub(super) fn new(journal: PathBuf) -> Glancing {
        Glancing { journal, basis: None, since: Vec::new() }
    }

    /// Takes what a round read in the place of what was known before.
    pub(super) fn take(&mut self, basis: Box<Basis>) {
        self.since.retain(|(number, _)| basis.upto < *number);
        let old = self.basis.replace(basis);
        // A whole journal takes its time to be given back.
        rayon::spawn(move || drop(old));
    }

    /// The pages of the builds whose logs were saved; none where it takes more than a glance to tell.
    pub(super) fn glance(&mut self, number: usize, change: Change) -> Result<Vec<SiteFile>> {
        self.since.push((number, change));
        if self.since.iter().any(|(_, change)| change.all || !change.files.iter().all(|path| is_log(path))) {
            return Ok(Vec::new());
        }
        let paths: BTreeSet<String> =
            self.since.iter().flat_map(|(_, change)| change.files.iter().cloned()).collect();
        let Some(basis) = self.basis.as_mut().filter(|basis| basis.is_sound) else { return Ok(Vec::new()) };
        let Some(slugs) = basis.checked.glance(&self.journal, &paths) else {
            // What was taken in of it does not hang together any more.
            self.basis = None;
            return Ok(Vec::new());
        };
        let scope = Scope { only: None, private: true };
        let look = Look { theme: &basis.theme, scope, album: basis.photography.album() };
        show_glance(&basis.checked, &slugs, look, &basis.addresses)
    }
}

/// Whether a path is that of a build's text.
fn is_log(path: &str) -> bool {
    let below = path.strip_prefix("builds/").and_then(|below| below.split_once('/'));
    below.is_some_and(|(_, name)| name.ends_with(".md") && !name.contains('/'))
}
