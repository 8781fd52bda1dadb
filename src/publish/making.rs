//! From a checked journal to the files of its site, put into a round.

use std::collections::BTreeSet;
use std::sync::{Mutex, PoisonError};

use rayon::prelude::*;

use crate::pages::addresses::{Addresses, Scope};
use crate::pages::album::Album;
use crate::pages::render::{FileKind, SiteFile};
use crate::pages::theme::{Theme, ThemeFault};
use crate::pages::{self, Input, Kept};
use crate::problem::Problem;
use crate::site::{FileRole, Round};

use super::{Checked, Standing};

/// What was made.
#[derive(Debug, Clone, Default)]
pub struct Made {
    /// The paths of the pages.
    pub pages: Vec<String>,
    /// How many of them stood already.
    pub kept: usize,
    /// The paths of all files but photos.
    pub files: Vec<String>,
    /// What could not be shown as it was written.
    pub problems: Vec<Problem>,
    /// They are made with the theme that the journal asks for.
    pub in_theme: bool,
    /// What the pages are made of, to be noted by [`Standing::note`] once the round has finished.
    pub made_of: Kept,
    /// Where all pages stand.
    pub addresses: Addresses,
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
    checked: &Checked,
    look: Look<'_>,
    standing: &Standing,
) -> anyhow::Result<Made> {
    match make_strictly(round, checked, look, standing) {
        Err(error) if error.is::<ThemeFault>() => {
            let theme = &look.theme.instead(error.downcast()?)?;
            make_strictly(round, checked, Look { theme, ..look }, standing)
        }
        done => done,
    }
}

/// The same, but that a fault of the theme is an error, [`ThemeFault`], and nothing is put into the round.
pub fn make_strictly(
    round: &Round<'_>,
    checked: &Checked,
    look: Look<'_>,
    standing: &Standing,
) -> anyhow::Result<Made> {
    let stands = |path: &str| round.is_ours(path) && standing.stands(round.folder(), path);
    let input = input(checked, look, &standing.kept, &stands);
    let paths = Mutex::new(Vec::new());
    let put = |file: SiteFile| {
        round.put(&file.path, kind(file.kind), &file.bytes)?;
        paths.lock().unwrap_or_else(PoisonError::into_inner).push(file.path);
        Ok(())
    };
    let pages = match pages::all(&input, &put) {
        Ok(pages) => pages,
        Err(error) => {
            let paths = paths.into_inner().unwrap_or_else(PoisonError::into_inner);
            paths.iter().for_each(|path| round.take_back(path));
            return Err(error);
        }
    };
    let mut made = Made {
        kept: pages.standing.len(),
        pages: pages.standing.clone(),
        files: pages.standing,
        problems: pages.problems,
        in_theme: look.theme.problem().is_none(),
        made_of: pages.kept,
        addresses: pages.addresses,
    };
    made.pages.par_iter().try_for_each(|path| round.keep(path, FileRole::Page))?;
    for (kind, path) in pages.files {
        if kind == FileKind::Page {
            made.pages.push(path.clone());
        }
        made.files.push(path);
    }
    Ok(made)
}

fn kind(kind: FileKind) -> FileRole {
    match kind {
        FileKind::Asset => FileRole::Asset,
        FileKind::Data => FileRole::Data,
        FileKind::Page => FileRole::Page,
    }
}

/// Makes the pages of some builds alone, to be seen before all others are made; `addresses` is where
/// the pages stand.
pub fn show_glance(
    checked: &Checked,
    slugs: &BTreeSet<String>,
    look: Look<'_>,
    addresses: &Addresses,
) -> anyhow::Result<Vec<SiteFile>> {
    pages::some(&input(checked, look, &Kept::default(), &|_| false), addresses, slugs)
}

fn input<'a>(
    checked: &'a Checked,
    look: Look<'a>,
    kept: &'a Kept,
    stands: &'a (dyn Fn(&str) -> bool + Sync),
) -> Input<'a> {
    Input {
        journal: &checked.journal,
        ledger: &checked.ledger,
        bands: checked.standards.bands(),
        reports: checked.reports(),
        digests: &checked.digests,
        album: look.album,
        theme: look.theme,
        scope: look.scope,
        kept,
        stands,
    }
}
