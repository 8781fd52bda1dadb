//! Keeping the browser and the site up to date, one save after the other.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use anyhow::{Context, Result};
use hyper::body::Bytes;

use crate::pages::addresses::{Addresses, Scope, file_name};
use crate::pages::theme::Theme;
use crate::problem::{Problem, Severity};
use crate::publish::{
    Checked, Judged, Look, Order, Photography, Standing, cached, make, make_strictly, photograph,
};
use crate::site::{Site, Written};

use super::changes::State;
use super::shown::Shown;

/// The two sites of a journal at work: the person's own view, and the one that is published.
pub(super) struct Keeping {
    order: Order,
    /// All that publishing withholds is in it, so it stands in the person's cache.
    private: Site,
    public: Site,
    /// Gone with the bench, where the machine names no cache.
    _temporary: Option<tempfile::TempDir>,
    /// Those of the photos that are published.
    public_photography: Photography,
    /// As last read; `None` once it was handed over.
    last: Option<Basis>,
    /// What was found then, and what of it holds as long as its build is the same.
    judged: Option<Judged>,
    /// What of either site stands.
    standing: Standing,
    public_standing: Standing,
    broken: Broken,
    shown: Shown,
}

/// The journal as a round read it, and how it looks.
pub(super) struct Basis {
    pub(super) checked: Checked,
    pub(super) theme: Theme,
    pub(super) photography: Photography,
    /// Where the pages of the person's own view stand.
    pub(super) addresses: Addresses,
    /// The number of the last save that is in it.
    pub(super) upto: usize,
    /// All of it could be read.
    pub(super) is_sound: bool,
    /// The theme that the journal asks for could be taken.
    pub(super) in_theme: bool,
}

/// What cannot be read at present.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Broken {
    builds: BTreeSet<String>,
    /// Something that all pages rest on: journal.yaml, the bin, a sheet.
    rest: bool,
}

/// One round's work on what the browser shows.
pub(super) struct Seen {
    /// The number of the last save that it shows.
    pub(super) upto: usize,
    pub(super) shown: Shown,
    pub(super) problems: Vec<Problem>,
    /// What was found, to be compared with what is found next.
    pub(super) state: State,
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
            public_photography: Photography::default(),
            last: None,
            judged: None,
            standing: Standing::default(),
            public_standing: Standing::default(),
            broken: Broken::default(),
            shown: Shown::default(),
        })
    }

    /// Reads the journal, and checks what a change could reach.
    pub(super) fn read(&self) -> Result<Checked> {
        match &self.judged {
            Some(before) => Checked::again(&self.order.journal, before),
            None => Checked::read(&self.order.journal),
        }
    }

    /// Brings the person's own view of a journal up to date; it holds the saves up to number `upto`.
    pub(super) fn see(&mut self, checked: Checked, upto: usize) -> Result<Seen> {
        let theme = checked.theme(&self.order)?;
        let photos = {
            let round = self.public.begin();
            photograph(&round, &self.order, &checked.journal, &|build| !build.hidden, &())?
        };
        let round = self.private.begin();
        let hidden = photograph(&round, &self.order, &checked.journal, &|build| build.hidden, &())?;
        let photography = photos.clone().and(&hidden);
        self.public_photography = photos;

        let mut problems = checked.problems.clone();
        problems.extend(photography.problems.iter().cloned());
        let broken = Broken::of(&problems);
        let is_sound = broken == Broken::default();
        let first = self.shown.files.is_empty();
        // Over what was good stays what was good; what never was is shown as it is.
        let (mut changed, mut addresses) = (false, Addresses::default());
        let in_theme;
        if first || !broken.rest || self.broken.rest {
            let kept = kept(&self.shown, &broken, if first { None } else { Some(&self.broken) });
            let scope = Scope { only: None, private: true };
            let look = Look { theme: &theme, scope, album: photography.album() };
            let made = make(&round, &checked, look, &self.standing)?;
            let written = round.finish()?;
            self.standing.note(self.private.folder(), made.made_of);
            problems.extend(made.problems);
            changed = written != Written { unchanged: written.unchanged, ..Written::default() }
                || kept.keys().ne(self.shown.kept.keys());
            addresses = made.addresses;
            in_theme = made.in_theme;
            self.broken = broken;
            self.shown = Shown {
                ahead: BTreeMap::new(),
                private: self.private.folder().to_owned(),
                public: self.public.folder().to_owned(),
                files: Arc::new(made.files.into_iter().chain(photography.files()).collect()),
                kept: Arc::new(kept),
            };
        } else {
            problems.extend(theme.problem().cloned());
            in_theme = theme.problem().is_none();
        }
        crate::problem::sort(&mut problems);
        let state = State::of(&checked, &problems);
        self.judged = Some(checked.judged());
        self.last = Some(Basis {
            checked,
            theme,
            photography,
            addresses,
            upto,
            is_sound: is_sound && in_theme,
            in_theme,
        });
        Ok(Seen { upto, shown: self.shown.clone(), problems, state, changed })
    }

    /// Brings the site up to date: what `publish` would write; while the theme has a fault, the site stays as
    /// it is.
    pub(super) fn publish(&mut self) -> Result<Written> {
        let Some(Basis { checked, theme, in_theme: true, .. }) = &self.last else {
            return Ok(Written::default());
        };
        let round = self.public.begin();
        self.public_photography.keep(&round)?;
        let scope = Scope { only: None, private: false };
        let look = Look { theme, scope, album: self.public_photography.album() };
        let made = make_strictly(&round, checked, look, &self.public_standing)?;
        let written = round.finish()?;
        self.public_standing.note(self.public.folder(), made.made_of);
        Ok(written)
    }

    /// Hands over what was read, once all is done with it.
    pub(super) fn hand_over(&mut self) -> Option<Basis> {
        self.last.take()
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
fn kept(shown: &Shown, broken: &Broken, before: Option<&Broken>) -> BTreeMap<String, Bytes> {
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
                fs::read(shown.private.join(path)).ok().map(Bytes::from)
            };
            kept.extend(page.map(|page| (path.clone(), page)));
        }
    }
    kept
}

/// A folder that only this person can look into.
fn private_folder(journal: &Path) -> Result<(PathBuf, Option<tempfile::TempDir>)> {
    let Some(folder) = cached("bench", journal) else {
        let temporary = tempfile::tempdir().context("cannot make a temporary folder")?;
        return Ok((temporary.path().join("site"), Some(temporary)));
    };
    let doing = || format!("cannot make {}", folder.display());
    fs::create_dir_all(&folder).with_context(doing)?;
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        fs::set_permissions(&folder, fs::Permissions::from_mode(0o700)).with_context(doing)?;
    }
    Ok((folder, None))
}
