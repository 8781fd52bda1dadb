//! The person's own view of the journal: each page is made from memory when a browser asks for it.

use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;
use std::sync::{Arc, PoisonError, RwLock};

use hyper::body::Bytes;

use crate::pages::Results;
use crate::pages::addresses::{Scope, file_name};
use crate::pages::album::Album;
use crate::pages::theme::{Theme, ThemeFault};
use crate::problem::Severity;
use crate::publish::{Look, make_one};
use crate::session::Session;

use super::response::{Found, Stock};

/// The journal after a save, and how it looks. A copy shares all of it.
#[derive(Clone)]
pub(super) struct Snapshot {
    pub(super) session: Session,
    pub(super) theme: Arc<Theme>,
    /// The photos as they were last derived.
    pub(super) album: Arc<Album>,
}

/// What is on show.
pub(super) struct Preview {
    /// Where photos stand: of the site, and of builds that are not published.
    photos: [PathBuf; 2],
    /// What pages were made of, for the cards of builds that no save has touched.
    results: Results,
    now: RwLock<Shown>,
}

/// The last state, and the states from which what cannot be read now is still shown.
#[derive(Clone)]
struct Shown {
    now: Snapshot,
    /// Before something that all pages rest on could not be read: journal.yaml, the bin, a sheet.
    before_all: Option<Snapshot>,
    /// Before a build could not be read, by its slug.
    before: BTreeMap<String, Snapshot>,
}

/// What cannot be read at present.
struct Unread {
    builds: BTreeSet<String>,
    rest: bool,
}

impl Preview {
    /// Shows a journal for the first time, whatever of it can be read.
    pub(super) fn new(now: Snapshot, photos: [PathBuf; 2]) -> Preview {
        let shown = Shown { now, before_all: None, before: BTreeMap::new() };
        Preview { photos, results: Results::default(), now: RwLock::new(shown) }
    }

    /// Shows what was saved. Over what was good stays what was good: a page of a build that cannot be read is
    /// shown as it was when it could.
    pub(super) fn show(&self, next: Snapshot) {
        let unread = Unread::of(&next.session);
        let mut shown = self.now.write().unwrap_or_else(PoisonError::into_inner);
        let was = Unread::of(&shown.now.session);
        let last = std::mem::replace(&mut shown.now, next);
        shown.before_all = match (unread.rest, was.rest) {
            (false, _) => None,
            (true, true) => shown.before_all.take(),
            (true, false) => Some(last.clone()),
        };
        shown.before.retain(|slug, _| unread.builds.contains(slug));
        for slug in unread.builds.into_iter().filter(|slug| !was.builds.contains(slug)) {
            shown.before.insert(slug, last.clone());
        }
        self.results.forget_unused();
    }

    /// Shows the photos as they were derived just now; answers whether that is any other view.
    pub(super) fn show_photos(&self, album: &Arc<Album>) -> bool {
        let mut shown = self.now.write().unwrap_or_else(PoisonError::into_inner);
        let other = *shown.now.album != **album;
        if other {
            shown.now.album = Arc::clone(album);
        }
        other
    }

    /// Shows all of it in another theme.
    pub(super) fn show_in(&self, theme: &Arc<Theme>) {
        let mut shown = self.now.write().unwrap_or_else(PoisonError::into_inner);
        shown.now.theme = Arc::clone(theme);
    }

    /// The state that a page is made of.
    fn snapshot(&self, path: &str) -> Snapshot {
        let shown = self.now.read().unwrap_or_else(PoisonError::into_inner);
        let is_of = |slug: &String| {
            let name = file_name(slug);
            let below = path.strip_prefix("builds/").and_then(|below| below.strip_prefix(&name));
            below.is_some_and(|rest| rest == ".html" || rest.starts_with('/'))
        };
        let good = shown.before.iter().find(|(slug, _)| is_of(slug)).map(|(_, good)| good);
        good.or(shown.before_all.as_ref()).unwrap_or(&shown.now).clone()
    }
}

impl Unread {
    fn of(session: &Session) -> Unread {
        let mut unread = Unread { builds: BTreeSet::new(), rest: false };
        for problem in session.unread().filter(|problem| problem.severity == Severity::Error) {
            match problem.place.file.strip_prefix("builds/").and_then(|below| below.split_once('/')) {
                Some((slug, _)) => drop(unread.builds.insert(slug.to_owned())),
                None => unread.rest = true,
            }
        }
        unread
    }
}

impl Stock for Preview {
    fn find(&self, path: &str) -> anyhow::Result<Option<Found>> {
        let snapshot = self.snapshot(path);
        if path.starts_with("photos/") {
            let place = self.photos.iter().map(|folder| folder.join(path)).find(|place| place.is_file());
            return Ok(place.filter(|_| snapshot.album.has(path)).map(Found::Disk));
        }
        let look = Look {
            theme: &snapshot.theme,
            scope: Scope { only: None, private: true },
            album: &snapshot.album,
        };
        let file = match make_one(&snapshot.session, look, &self.results, path) {
            // The worker finds it too, and says so.
            Err(error) if error.is::<ThemeFault>() => {
                let theme = &snapshot.theme.instead(error.downcast()?)?;
                make_one(&snapshot.session, Look { theme, ..look }, &self.results, path)?
            }
            made => made?,
        };
        Ok(file.map(|file| Found::Bytes(Bytes::from(file.bytes))))
    }
}
