//! Keeping the browser and the site up to date, one save after the other.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use anyhow::{Context, Result};

use crate::pages::addresses::{Scope, file_name};
use crate::pages::theme::Theme;
use crate::problem::{Problem, Severity};
use crate::publish::{Checked, Look, Order, Photography, Standing, cache, make, photograph, show_glance};
use crate::site::{Site, Written};

use super::answer::{Found, Stock};
use super::changes::State;
use super::follow::Change;

/// The two sites of a journal at work: the person's own view, and the one that is published.
pub(super) struct Keeping {
    order: Order,
    /// All that publishing withholds is in it, so it stands in the person's cache.
    private: Site,
    public: Site,
    /// Gone with the bench, where the machine names no cache.
    _temporary: Option<tempfile::TempDir>,
    photography: Photography,
    /// Those of them that are published.
    public_photography: Photography,
    /// As last read, and how it looks; `None` until then.
    last: Option<(Checked, Theme)>,
    /// What of either site stands.
    standing: Standing,
    public_standing: Standing,
    broken: Broken,
    shown: Arc<Shown>,
}

/// What cannot be read at present.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Broken {
    builds: BTreeSet<String>,
    /// Something that all pages rest on: journal.yaml, the bin, a sheet.
    rest: bool,
}

/// What is on show: files of the private site, and for its photos those of the public one.
#[derive(Clone, Debug, Default)]
pub(super) struct Shown {
    private: PathBuf,
    public: PathBuf,
    files: Arc<BTreeSet<String>>,
    /// Pages of builds that cannot be read now, as they were when they could.
    kept: BTreeMap<String, Arc<[u8]>>,
    /// Pages that were made ahead of all others.
    ahead: BTreeMap<String, Arc<[u8]>>,
}

/// One save's work on what the browser shows.
pub(super) struct Seen {
    pub(super) problems: Vec<Problem>,
    /// Whether what the browser shows is other than before.
    pub(super) changed: bool,
}

impl Keeping {
    /// Opens both sites.
    pub(super) fn open(order: &Order) -> Result<Keeping> {
        // Asked first, because what is no journal must get no site.
        crate::journal::folder::read(&order.journal)?;
        let public = Site::open(&order.journal, &order.target())?;
        let (folder, temporary) = private_folder(&order.journal)?;
        let private = Site::open(&order.journal, &folder)?;
        Ok(Keeping {
            order: order.clone(),
            private,
            public,
            _temporary: temporary,
            photography: Photography::default(),
            public_photography: Photography::default(),
            last: None,
            standing: Standing::default(),
            public_standing: Standing::default(),
            broken: Broken::default(),
            shown: Arc::default(),
        })
    }

    /// What is on show.
    pub(super) fn shown(&self) -> Arc<Shown> {
        Arc::clone(&self.shown)
    }

    /// Reads the journal, and checks what a change could reach.
    pub(super) fn read(&self) -> Result<Checked> {
        match &self.last {
            Some((before, _)) => Checked::again(&self.order.journal, before),
            None => Checked::read(&self.order.journal),
        }
    }

    /// What was found, to be compared with what is found next.
    pub(super) fn state(&self, problems: &[Problem]) -> State {
        self.last.as_ref().map(|(checked, _)| State::of(checked, problems)).unwrap_or_default()
    }

    /// Where only logs changed that were there before: shows the pages of their builds before
    /// anything else is done, and tells whether there is anything new on them. What cannot be read
    /// waits for [`Keeping::see`].
    pub(super) fn glance(&mut self, change: &Change) -> Result<bool> {
        if change.all || !change.files.iter().all(|path| is_log(path)) || self.broken != Broken::default() {
            return Ok(false);
        }
        let Some((last, theme)) = self.last.take() else { return Ok(false) };
        let glance = match last.glance(&self.order.journal, &change.files) {
            Ok(glance) => glance,
            // It takes more than a glance.
            Err(last) => {
                self.last = Some((*last, theme));
                return Ok(false);
            }
        };
        let scope = Scope { only: None, private: true };
        let look = Look { theme: &theme, scope, album: self.photography.album() };
        let mut shown = Shown::clone(&self.shown);
        for page in show_glance(&glance, look)? {
            shown.ahead.insert(page.path, page.bytes.into());
        }
        let changed = shown.ahead != self.shown.ahead;
        self.shown = Arc::new(shown);
        self.last = Some((glance.settle(), theme));
        Ok(changed)
    }

    /// Brings the person's own view of a journal up to date.
    pub(super) fn see(&mut self, checked: Checked) -> Result<Seen> {
        let theme = checked.theme(&self.order.journal)?;
        let photos = {
            let round = self.public.begin();
            photograph(&round, &self.order, &checked.journal, &|build| !build.hidden, &())?
        };
        let round = self.private.begin();
        let hidden = photograph(&round, &self.order, &checked.journal, &|build| build.hidden, &())?;
        self.photography = photos.clone().and(&hidden);
        self.public_photography = photos;

        let mut problems = checked.problems.clone();
        problems.extend(self.photography.problems.iter().cloned());
        let broken = Broken::of(&problems);
        let first = self.shown.files.is_empty();
        // Over what was good stays what was good; what never was is shown as it is.
        if !first && broken.rest && !self.broken.rest {
            drop(round);
            crate::problem::sort(&mut problems);
            self.last = Some((checked, theme));
            return Ok(Seen { problems, changed: false });
        }
        let kept = kept(&self.shown, &broken, if first { None } else { Some(&self.broken) });
        let scope = Scope { only: None, private: true };
        let look = Look { theme: &theme, scope, album: self.photography.album() };
        let made = make(&round, &checked, look, &self.standing)?;
        let written = round.finish()?;
        self.standing.note(self.private.folder(), made.made_of);
        problems.extend(made.problems);
        crate::problem::sort(&mut problems);
        let changed = written != Written { unchanged: written.unchanged, ..Written::default() }
            || kept.keys().ne(self.shown.kept.keys());
        self.broken = broken;
        self.last = Some((checked, theme));
        self.shown = Arc::new(Shown {
            ahead: BTreeMap::new(),
            private: self.private.folder().to_owned(),
            public: self.public.folder().to_owned(),
            files: Arc::new(made.files.into_iter().chain(self.photography.files()).collect()),
            kept,
        });
        Ok(Seen { problems, changed })
    }

    /// Brings the site up to date: what `publish` would write.
    pub(super) fn publish(&mut self) -> Result<Written> {
        let Some((checked, theme)) = &self.last else { return Ok(Written::default()) };
        let round = self.public.begin();
        self.public_photography.keep(&round)?;
        let scope = Scope { only: None, private: false };
        let look = Look { theme, scope, album: self.public_photography.album() };
        let made = make(&round, checked, look, &self.public_standing)?;
        let written = round.finish()?;
        self.public_standing.note(self.public.folder(), made.made_of);
        Ok(written)
    }
}

/// Whether a path is that of a build's text.
fn is_log(path: &str) -> bool {
    let below = path.strip_prefix("builds/").and_then(|below| below.split_once('/'));
    below.is_some_and(|(_, name)| name.ends_with(".md") && !name.contains('/'))
}

impl Stock for Shown {
    fn find(&self, path: &str) -> Option<Found> {
        if let Some(page) = self.kept.get(path).or_else(|| self.ahead.get(path)) {
            return Some(Found::Bytes(page.to_vec().into()));
        }
        if !self.files.contains(path) {
            return None;
        }
        let own = self.private.join(path);
        Some(Found::Disk(if own.is_file() { own } else { self.public.join(path) }))
    }
}

impl Broken {
    fn of(problems: &[Problem]) -> Broken {
        let mut broken = Broken::default();
        for problem in problems.iter().filter(|problem| problem.severity == Severity::Error) {
            match problem.place.file.strip_prefix("builds/").and_then(|below| below.split_once('/')) {
                Some((slug, _)) => drop(broken.builds.insert(slug.to_owned())),
                None => broken.rest = true,
            }
        }
        broken
    }
}

/// The pages of builds that were good and are not now.
fn kept(shown: &Shown, broken: &Broken, before: Option<&Broken>) -> BTreeMap<String, Arc<[u8]>> {
    let mut kept = BTreeMap::new();
    let Some(before) = before else { return kept };
    for slug in &broken.builds {
        let name = file_name(slug);
        let own = [format!("builds/{name}.html")];
        let log = format!("builds/{name}/");
        let pages = shown.files.iter().filter(|path| own.contains(path) || path.starts_with(&log));
        for path in pages.chain(shown.kept.keys().filter(|path| path.starts_with(&log) || own.contains(path)))
        {
            let page = if before.builds.contains(slug) {
                shown.kept.get(path).cloned()
            } else {
                fs::read(shown.private.join(path)).ok().map(Arc::from)
            };
            kept.extend(page.map(|page| (path.clone(), page)));
        }
    }
    kept
}

/// A folder that only this person can look into.
fn private_folder(journal: &Path) -> Result<(PathBuf, Option<tempfile::TempDir>)> {
    let Some(cache) = cache("bench") else {
        let temporary = tempfile::tempdir().context("cannot make a temporary folder")?;
        return Ok((temporary.path().join("site"), Some(temporary)));
    };
    let place = journal.canonicalize()?;
    let name = &blake3::hash(place.as_os_str().as_encoded_bytes()).to_hex()[..16];
    let folder = cache.join(name);
    let doing = || format!("cannot make {}", folder.display());
    fs::create_dir_all(&folder).with_context(doing)?;
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        fs::set_permissions(&folder, fs::Permissions::from_mode(0o700)).with_context(doing)?;
    }
    Ok((folder, None))
}
