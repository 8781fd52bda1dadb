//! The steps from a journal's folder to its site: read, check, derive photos, make pages, write.
//!
//! The command takes them once, the bench again and again.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use anyhow::Context as _;

use crate::fit::bands::Bands;
use crate::fit::inspect::{self, Report};
use crate::journal::{self, Journal};
use crate::ledger::Ledger;
use crate::pages::addresses::Scope;
use crate::pages::album::{Album, Sizes};
use crate::pages::render::FileKind;
use crate::pages::theme::Theme;
use crate::pages::{self, Input};
use crate::photos;
use crate::problem::{Problem, did_you_mean};
use crate::site::{Kind, Site, Written};
use crate::text::Place;

/// The folder of the site in which photos stand.
const PHOTOS: &str = "photos";

/// What is to be published, and where.
#[derive(Debug, Clone, Default)]
pub struct Order {
    /// The journal's folder.
    pub journal: PathBuf,
    /// Where the site goes; `None`: site/ in the journal.
    pub to: Option<PathBuf>,
    /// One build's site.
    pub only: Option<String>,
    /// Make every photo again.
    pub fresh: bool,
}

/// What was published.
#[derive(Debug, Clone, Default)]
pub struct Published {
    /// The page to open first.
    pub start: PathBuf,
    /// How many pages the site has.
    pub pages: usize,
    /// What became of the files.
    pub written: Written,
    /// Everything that is wrong with the journal.
    pub problems: Vec<Problem>,
}

/// Publishes a journal; `progress` is told of photos while they are made.
pub fn publish(told: &Order, progress: &dyn photos::Progress) -> anyhow::Result<Published> {
    let journal = journal::read(journal::folder::read(&told.journal)?);
    let scope = Scope { only: only(&journal, told.only.as_deref())?, private: false };
    let ledger = Ledger::of(&journal);
    let (bands, mut problems) = Bands::of(&journal);
    let checked = inspect::all(&journal, &ledger, &bands, ledger.last_day(&journal));
    problems.extend(inspect::problems(&journal, &ledger, &checked));
    problems.extend(journal.problems.iter().cloned());
    problems.extend(ledger.problems.iter().cloned());
    let reports: BTreeMap<String, Report> =
        checked.into_iter().map(|report| (report.slug.clone(), report)).collect();

    let theme = Theme::read(&told.journal, &journal.settings.theme.value)
        .with_context(|| journal.files.place(journal.settings.theme.span).to_string())?;
    let target = told.to.clone().unwrap_or_else(|| told.journal.join("site"));
    let mut site = Site::open(&told.journal, &target)?;
    let shown = site.folder().to_owned();
    let round = site.begin();
    round.claim(PHOTOS)?;
    let (album, files) = album(told, &journal, scope, &shown, progress, &mut problems)?;
    for file in files {
        round.keep(&format!("{PHOTOS}/{file}"), Kind::Asset)?;
    }
    let input = Input {
        journal: &journal,
        ledger: &ledger,
        bands: &bands,
        reports: &reports,
        album: &album,
        theme: &theme,
        scope,
        audit: Vec::new(),
    };
    let made = pages::all(&input)?;
    problems.extend(made.problems);
    for file in &made.files {
        let kind = match file.kind {
            FileKind::Asset => Kind::Asset,
            FileKind::Data => Kind::Data,
            FileKind::Page => Kind::Page,
        };
        round.put(&file.path, kind, &file.bytes)?;
    }
    let written = round.finish()?;
    crate::problem::sort(&mut problems);
    let pages = made.files.iter().filter(|file| file.kind == FileKind::Page).count();
    Ok(Published { start: target.join(pages::START), pages, written, problems })
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

/// Derives the photos of all builds that are published, into the site.
fn album(
    told: &Order,
    journal: &Journal,
    scope: Scope<'_>,
    site: &Path,
    progress: &dyn photos::Progress,
    problems: &mut Vec<Problem>,
) -> anyhow::Result<(Album, Vec<String>)> {
    let mut sources = Vec::new();
    for build in journal.builds.iter().filter(|build| !build.hidden) {
        if scope.only.is_some_and(|only| only != build.slug) {
            continue;
        }
        for file in &build.photos {
            let name = format!("builds/{}/{file}", build.slug);
            let cover = build.cover.as_ref().is_some_and(|cover| cover.value == *file);
            let first = build
                .entries
                .iter()
                .any(|entry| entry.photos.first().is_some_and(|photo| photo.file.value == *file));
            sources.push(photos::Source {
                path: told.journal.join(&name),
                name,
                // Previews elsewhere need an address to lead to.
                share: journal.settings.address.is_some() && (cover || first),
            });
        }
    }
    let known = cache();
    let options = photos::Options {
        store: &site.join(PHOTOS),
        known: known.as_deref(),
        fresh: told.fresh,
        budget: photos::BUDGET,
        progress,
    };
    let derived = photos::derive(&sources, &options)?;
    let mut album = BTreeMap::new();
    for (source, photo) in sources.iter().zip(&derived.photos) {
        match photo {
            Ok(photo) => {
                let stands =
                    |one: &photos::Derivative| (format!("{PHOTOS}/{}", one.file), one.width, one.height);
                let sizes = Sizes {
                    files: photo.derivatives.iter().map(stands).collect(),
                    share: photo.share.as_ref().map(stands),
                    taken: photo.taken,
                };
                album.insert(source.name.clone(), sizes);
            }
            Err(fault) => problems.push(Problem::error(Place::file(&fault.name), &fault.reason)),
        }
    }
    Ok((Album::new(album), derived.files))
}

/// The folder of the person's cache in which the photos' sizes and times are kept; `None` where the
/// machine names none.
fn cache() -> Option<PathBuf> {
    let set = |name: &str| std::env::var_os(name).filter(|value| !value.is_empty()).map(PathBuf::from);
    let base = set("XDG_CACHE_HOME").filter(|path| path.is_absolute());
    base.or_else(|| Some(set("HOME")?.join(".cache"))).map(|base| base.join("endshake").join("photos"))
}
