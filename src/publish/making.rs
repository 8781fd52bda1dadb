//! From a checked journal to the files of its site, put into a round.

use std::collections::BTreeSet;

use rayon::prelude::*;

use crate::pages::addresses::{Addresses, Scope};
use crate::pages::album::Album;
use crate::pages::render::{FileKind, SiteFile};
use crate::pages::theme::Theme;
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
/// knows to be what they would be are kept.
pub fn make(
    round: &Round<'_>,
    checked: &Checked,
    look: Look<'_>,
    standing: &Standing,
) -> anyhow::Result<Made> {
    let stands = |path: &str| round.is_ours(path) && standing.stands(round.folder(), path);
    let put = |file: SiteFile| round.put(&file.path, kind(file.kind), &file.bytes);
    let input = input(checked, look, &standing.kept, &stands);
    let mut pages = pages::all(&input, &put)?;
    while pages.unsettled {
        pages.files.iter().for_each(|(_, path)| round.take_back(path));
        pages = pages::all(&input, &put)?;
    }
    let mut made = Made {
        kept: pages.standing.len(),
        pages: pages.standing.clone(),
        files: pages.standing,
        problems: pages.problems,
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
        bands: &checked.bands,
        reports: checked.reports(),
        digests: &checked.digests,
        album: look.album,
        theme: look.theme,
        scope: look.scope,
        kept,
        stands,
    }
}
