//! From a checked journal to the files of its site, put into a round.

use std::sync::{Mutex, PoisonError};

use rayon::prelude::*;

use crate::pages::addresses::Scope;
use crate::pages::album::Album;
use crate::pages::render::{FileKind, SiteFile};
use crate::pages::theme::{Theme, ThemeFault};
use crate::pages::{self, Input, Results};
use crate::problem::Problem;
use crate::session::Session;
use crate::site::{FileRole, Round};

use super::Standing;

/// What was made.
#[derive(Debug, Clone, Default)]
pub struct Made {
    /// The paths of the pages.
    pub pages: Vec<String>,
    /// How many of them stood already.
    pub kept: usize,
    /// What could not be shown as it was written.
    pub problems: Vec<Problem>,
}

/// How a journal is shown.
#[derive(Clone, Copy)]
pub struct Look<'a> {
    /// In which theme.
    pub theme: &'a Theme,
    /// How much of it.
    pub scope: Scope<'a>,
    /// With which photos.
    pub album: &'a Album,
}

/// Makes the files of the site but its photos, and puts them into the round. Pages that `standing`
/// knows to be what they would be are kept. Where the theme has a fault, all of them are made with the
/// built-in theme.
pub fn make(
    round: &Round<'_>,
    session: &Session,
    look: Look<'_>,
    standing: &Standing,
) -> anyhow::Result<Made> {
    match make_strictly(round, session, look, standing) {
        Err(error) if error.is::<ThemeFault>() => {
            let theme = &look.theme.instead(error.downcast()?)?;
            make_strictly(round, session, Look { theme, ..look }, standing)
        }
        done => done,
    }
}

/// The same, but that a fault of the theme is an error, [`ThemeFault`], and nothing is put into the round.
pub fn make_strictly(
    round: &Round<'_>,
    session: &Session,
    look: Look<'_>,
    standing: &Standing,
) -> anyhow::Result<Made> {
    let stands = |path: &str| round.is_ours(path) && standing.stands(round.folder(), path);
    let paths = Mutex::new(Vec::new());
    let put = |file: SiteFile| {
        round.put(&file.path, role(file.kind), &file.bytes)?;
        paths.lock().unwrap_or_else(PoisonError::into_inner).push(file.path);
        Ok(())
    };
    let pages = match pages::all(&input(session, look, &standing.results, &stands), &put) {
        Ok(pages) => pages,
        Err(error) => {
            let paths = paths.into_inner().unwrap_or_else(PoisonError::into_inner);
            paths.iter().for_each(|path| round.take_back(path));
            standing.results.forget_used();
            return Err(error);
        }
    };
    let mut made = Made { kept: pages.standing.len(), pages: pages.standing, problems: pages.problems };
    made.pages.par_iter().try_for_each(|path| round.keep(path, FileRole::Page))?;
    let new = pages.files.into_iter().filter(|(kind, _)| *kind == FileKind::Page);
    made.pages.extend(new.map(|(_, path)| path));
    Ok(made)
}

/// Makes the one file of the site at `path`, photos aside; `None` where the site has none there.
pub fn make_one(
    session: &Session,
    look: Look<'_>,
    results: &Results,
    path: &str,
) -> anyhow::Result<Option<SiteFile>> {
    pages::one(&input(session, look, results, &|_| false), path)
}

fn role(kind: FileKind) -> FileRole {
    match kind {
        FileKind::Asset => FileRole::Asset,
        FileKind::Data => FileRole::Data,
        FileKind::Page => FileRole::Page,
    }
}

fn input<'a>(
    session: &'a Session,
    look: Look<'a>,
    results: &'a Results,
    stands: &'a (dyn Fn(&str) -> bool + Sync),
) -> Input<'a> {
    Input {
        journal: session.journal(),
        ledger: session.ledger(),
        reports: session.reports(),
        album: look.album,
        theme: look.theme,
        scope: look.scope,
        results,
        stands,
    }
}
