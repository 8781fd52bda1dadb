//! The steps from a journal's folder to its site: read, check, derive photos, make pages, write.
//!
//! The command takes them once, the bench again and again.

mod making;
mod memory;
mod photography;
mod standing;
mod unchanged;

use std::path::{Path, PathBuf};

use crate::journal::Journal;
use crate::pages;
use crate::pages::addresses::Scope;
use crate::pages::theme::Theme;
use crate::photos;
use crate::problem::{Problem, did_you_mean};
use crate::session::Session;
use crate::site::{Site, Written};

pub use making::{Look, make, make_one, make_strictly};
pub use photography::{Photography, photograph};
pub use standing::Standing;

use unchanged::Begun;

/// What is to be published, and where.
#[derive(Debug, Clone, Default)]
pub struct Order {
    /// The journal's folder.
    pub journal: PathBuf,
    /// Where the site goes; `None`: site/ in the journal.
    pub to: Option<PathBuf>,
    /// One build's site.
    pub only: Option<String>,
    /// Make every photo and every page again.
    pub fresh: bool,
    /// The program that makes the pages of a theme with templates of its own; `None`: this one.
    pub program: Option<PathBuf>,
}

/// What was published.
#[derive(Debug, Clone, Default)]
pub struct Published {
    /// The page to open first.
    pub start: PathBuf,
    /// How many pages the site has.
    pub pages: usize,
    /// How many of them stood already and were not made again.
    pub kept: usize,
    /// What became of the files.
    pub written: Written,
    /// Everything that is wrong with the journal.
    pub problems: Vec<Problem>,
}

impl Order {
    /// The folder that the site goes to.
    pub fn target(&self) -> PathBuf {
        self.to.clone().unwrap_or_else(|| self.journal.join("site"))
    }
}

/// Publishes a journal; `progress` is told of photos while they are made.
pub fn publish(told: &Order, progress: &dyn photos::Progress) -> anyhow::Result<Published> {
    let begun = Begun::look(told);
    if let Some(last) = begun.as_ref().and_then(Begun::recall) {
        return Ok(last);
    }
    let target = told.target();
    // The site of one build is seldom made twice in a row from the same journal.
    let remember = !told.fresh && told.only.is_none();
    let recall = || if remember { Standing::load(&target) } else { Standing::default() };
    let (session, mut standing) = rayon::join(|| Session::open(&told.journal), recall);
    let session = session?;
    let scope = Scope { only: only(session.journal(), told.only.as_deref())?, private: false };
    let theme = theme(&session, told)?;
    let mut site = Site::open(&told.journal, &target)?;
    let round = site.begin();
    let wanted =
        |build: &crate::journal::Build| !build.hidden && scope.only.is_none_or(|only| only == build.slug);
    let photography = photograph(&round, told, session.journal(), &wanted, progress)?;
    let mut problems = session.problems();
    problems.extend(photography.problems.iter().cloned());
    let look = Look { theme: &theme, scope, album: photography.album() };
    let made = make(&round, &session, look, &standing)?;
    problems.extend(made.problems);
    let folder = round.folder().to_owned();
    let written = round.finish()?;
    standing.note(&folder);
    crate::problem::sort(&mut problems);
    let published = Published {
        start: target.join(pages::START),
        pages: made.pages.len(),
        kept: made.kept,
        written,
        problems,
    };
    let note = || {
        if let Some(begun) = begun {
            begun.remember(session.journal(), &published);
        }
    };
    rayon::join(|| standing.store(&folder), note);
    // A whole journal takes its time to be given back; a command ends without waiting for it.
    rayon::spawn(move || drop((session, standing)));
    Ok(published)
}

/// The theme that a journal asks for.
pub fn theme(session: &Session, order: &Order) -> anyhow::Result<Theme> {
    let asked = &session.journal().settings.theme;
    let named = session.journal().files.place(asked.span);
    Theme::read(&order.journal, &asked.value, &named, order.program.as_deref())
}

/// The build that alone is published; one that is not there is a fault of the command.
fn only<'a>(journal: &Journal, slug: Option<&'a str>) -> anyhow::Result<Option<&'a str>> {
    let Some(slug) = slug else { return Ok(None) };
    match journal.build(slug) {
        None => {
            let known = journal.builds.iter().map(|build| build.slug.as_str());
            anyhow::bail!("there is no build `{slug}`{}", did_you_mean(slug, known))
        }
        Some(build) if build.hidden => {
            anyhow::bail!(
                "the build `{slug}` is hidden: take `hidden: true` out of its build.md to publish it"
            )
        }
        Some(_) => Ok(Some(slug)),
    }
}

/// What is kept as `kind` of a folder that is there, in the person's cache: each folder has a name of its own
/// there. `None` where the machine names no cache.
pub fn cached(kind: &str, folder: &Path) -> Option<PathBuf> {
    let folder = folder.canonicalize().ok()?;
    let name = blake3::hash(folder.as_os_str().as_encoded_bytes()).to_hex();
    Some(cache(kind)?.join(&name[..16]))
}

/// A folder in the person's cache; `None` where the machine names none.
fn cache(name: &str) -> Option<PathBuf> {
    let set = |name: &str| std::env::var_os(name).filter(|value| !value.is_empty()).map(PathBuf::from);
    let base = set("XDG_CACHE_HOME").filter(|path| path.is_absolute());
    base.or_else(|| Some(set("HOME")?.join(".cache"))).map(|base| base.join("endshake").join(name))
}
