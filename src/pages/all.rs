//! Every page of a site: from a checked journal to the files that are published.

mod briefs;
mod for_others;
mod frame;
mod made;
mod maker;
mod over_many;

use std::collections::BTreeSet;
use std::sync::{Mutex, PoisonError};

use crate::fit::bands::Bands;
use crate::fit::checks::ALL;
use crate::fit::reports::Reports;
use crate::journal::Journal;
use crate::ledger::Ledger;
use crate::problem::Problem;

use super::addresses::{Addresses, Scope};
use super::album::Album;
use super::digest::Digests;
use super::gallery;
use super::kept::{Few, Kept};
use super::render::{FileKind, SiteFile};
use super::source::Source;
use super::theme::Theme;

use made::Made;
use maker::Maker;

/// What the pages are made of.
pub struct Input<'a> {
    /// What was read.
    pub journal: &'a Journal,
    /// Where every part has been.
    pub ledger: &'a Ledger,
    /// The bands in force.
    pub bands: &'a Bands,
    /// The findings; those of hidden builds may be asked for too.
    pub reports: Reports<'a>,
    /// What the journal's builds and parts rest on.
    pub digests: &'a Digests,
    /// The published photos.
    pub album: &'a Album,
    /// How it looks.
    pub theme: &'a Theme,
    /// What of it is published.
    pub scope: Scope<'a>,
    /// The pages that may stand already.
    pub kept: &'a Kept,
    /// Whether a page, by its path, stands as it was made.
    pub stands: &'a (dyn Fn(&str) -> bool + Sync),
}

/// Takes a file of the site once it is made, on whichever thread made it: a site is larger than what
/// should be held of it at one time.
pub type Put<'a> = &'a (dyn Fn(SiteFile) -> anyhow::Result<()> + Sync);

/// What was made of a site.
#[derive(Debug, Clone, Default)]
pub struct Pages {
    /// The files that were made, in the order of their kinds, then by path.
    pub files: Vec<(FileKind, String)>,
    /// The paths of pages that were not made, because they stand.
    pub standing: Vec<String>,
    /// The pages that need not be made next time.
    pub kept: Kept,
    /// What could not be shown as it was written.
    pub problems: Vec<Problem>,
    /// Where all of them stand.
    pub addresses: Addresses,
}

/// The page to open first.
pub const START: &str = "index.html";

/// Makes the pages of some builds alone, and of their entries, as [`all`] would: to be seen before
/// all others are made. The pages stand where they stood.
pub fn some(
    input: &Input<'_>,
    addresses: &Addresses,
    slugs: &BTreeSet<String>,
) -> anyhow::Result<Vec<SiteFile>> {
    let source = Source::new(input.journal, input.ledger, addresses, input.album, input.scope);
    let builds = gallery::order(&source);
    let maker = Maker::new(input, &source, &builds);
    let wanted = builds.iter().enumerate().filter(|(_, build)| slugs.contains(&build.slug));
    let made: anyhow::Result<Vec<Made>> = wanted.map(|(at, build)| maker.build(at, build)).collect();
    Ok(made?.into_iter().flat_map(|made| made.files).collect())
}

/// Makes every page and hands it to `put`. A faulty text is a problem; an error is a
/// [`ThemeFault`](super::theme::ThemeFault), or the machine's.
pub fn all(input: &Input<'_>, put: Put<'_>) -> anyhow::Result<Pages> {
    let with_pages = Source::parts_with_pages(input.journal, input.ledger, input.scope);
    let ids: Vec<&str> = ALL.iter().map(|check| check.id).collect();
    let addresses = Addresses::of(input.journal, input.scope, &with_pages, &ids);
    let source = Source::new(input.journal, input.ledger, &addresses, input.album, input.scope);
    let builds = gallery::order(&source);
    let maker = Maker::new(input, &source, &builds);
    let files = Mutex::new(Vec::new());
    let put = |file: SiteFile| {
        files.lock().unwrap_or_else(PoisonError::into_inner).push((file.kind, file.path.clone()));
        put(file)
    };

    let mut assets: Vec<_> = input.theme.assets().collect();
    assets.sort_by(|a, b| a.path.cmp(&b.path));
    for asset in assets {
        put(SiteFile { path: asset.path.clone(), bytes: asset.bytes.clone(), kind: FileKind::Asset })?;
    }
    let digests = maker.digests();
    let briefs = maker.briefs(&digests);
    let made: Vec<Made> =
        [maker.builds(&digests, &put)?, maker.parts(&put)?, maker.over_many(&briefs, &put)?].concat();
    let mut out =
        Pages { problems: input.theme.problem().cloned().into_iter().collect(), ..Pages::default() };
    briefs.kept().for_each(|(slug, brief)| out.kept.keep_brief(slug, brief));
    let mut found = Vec::new();
    let mut days = Vec::new();
    for made in made {
        if made.stands {
            out.standing.extend(made.paths.iter().cloned());
        }
        if !made.day.is_empty() || made.listed {
            days.extend(made.paths.iter().map(|path| (path.clone(), made.day.clone())));
        }
        if let Some((name, digest)) = made.keep {
            let few = Few { digest, paths: made.paths, found: made.found.clone(), day: made.day };
            out.kept.keep(name, few);
        }
        out.problems.extend(made.problems);
        found.extend(made.found);
    }
    let search = maker.search(&found)?;
    search.files.into_iter().chain(maker.for_others(&days)).try_for_each(put)?;
    out.files = files.into_inner().unwrap_or_else(PoisonError::into_inner);
    out.files.sort();
    crate::problem::sort(&mut out.problems);
    out.addresses = addresses;
    Ok(out)
}
