//! Every page of a site: from a checked journal to the files that are published.
//!
//! Each build and each part is cut out of the journal as an excerpt; of that its card and its pages are
//! made, and remembered by the excerpt's key. The pages over many builds are made of the cards.

mod builds;
mod index_pages;
mod parts;

use std::sync::{Arc, Mutex, PoisonError};

use rayon::prelude::*;

use crate::fit::key::Key;
use crate::journal::Build;
use crate::ledger::Unit;
use crate::problem::Problem;

use super::cards::{self, BuildCard, PartCard};
use super::context::Link;
use super::excerpt::{Excerpt, Whole};
use super::frame::Frames;
use super::input::Input;
use super::render::{FileKind, SiteFile};
use super::results::Written;
use super::{bin, words};

use index_pages::{Index, IndexPage};

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
    /// What could not be shown as it was written.
    pub problems: Vec<Problem>,
}

/// The page to open first.
pub const START: &str = "index.html";

/// Files that were made together.
#[derive(Debug, Default)]
struct Made {
    files: Vec<SiteFile>,
    problems: Vec<Problem>,
}

/// What all of them make, or the first error in their order: which fault of a theme is reported must not
/// depend on threads.
fn in_order<T: Send>(each: impl IndexedParallelIterator<Item = anyhow::Result<T>>) -> anyhow::Result<Vec<T>> {
    let all: Vec<anyhow::Result<T>> = each.collect();
    all.into_iter().collect()
}

/// Makes the one file of a site that stands at `path`; `None` where the site has none there.
pub fn one(input: &Input<'_>, path: &str) -> anyhow::Result<Option<SiteFile>> {
    if let Some(asset) = input.theme.assets().find(|asset| asset.path == path) {
        let (path, bytes) = (asset.path.clone(), asset.bytes.clone());
        return Ok(Some(SiteFile { path, bytes, kind: FileKind::Asset }));
    }
    let whole = Whole::of(input);
    let site = Site::of(&whole);
    let pick = |made: Made| made.files.into_iter().find(|file| file.path == path);
    if let Some(at) = site.builds.iter().position(|build| site.is_of_build(build, path)) {
        let (build, excerpt) = (site.builds[at], site.build(at));
        return Ok(pick(builds::pages(input.theme, &excerpt.open(), &build.slug)?));
    }
    let addresses = &whole.addresses;
    if let Some(at) =
        site.units.iter().position(|unit| addresses.parts.get(&unit.id).is_some_and(|p| p == path))
    {
        let (unit, excerpt) = (site.units[at], site.part(at));
        return Ok(pick(parts::page(input.theme, &excerpt.open(), &unit.id)?));
    }
    let (cards, part_cards) = (site.build_cards()?, site.part_cards()?);
    let nothing = whole.nothing().open();
    let source = nothing.source();
    let index = site.index(&source, &cards, &part_cards);
    if let Some(page) = index.pages().into_iter().find(|page| page.path == path) {
        return Ok(pick((page.make)()?));
    }
    let listed: Vec<String> = index.pages().into_iter().map(|page| page.path).collect();
    if let Some(file) = index.for_programs(&listed).into_iter().find(|file| file.path == path) {
        return Ok(Some(file));
    }
    Ok(pick(index.search()?))
}

/// Makes every page and hands it to `put`. A faulty text is a problem; an error is a
/// [`ThemeFault`](super::theme::ThemeFault), or the machine's.
pub fn all(input: &Input<'_>, put: Put<'_>) -> anyhow::Result<Pages> {
    let whole = Whole::of(input);
    let site = Site::of(&whole);
    let out = Out { input, put, files: Mutex::default(), standing: Mutex::default() };

    let mut assets: Vec<_> = input.theme.assets().collect();
    assets.sort_by(|a, b| a.path.cmp(&b.path));
    for asset in assets {
        out.put(SiteFile { path: asset.path.clone(), bytes: asset.bytes.clone(), kind: FileKind::Asset })?;
    }
    let of_builds = (0..site.builds.len()).into_par_iter().map(|at| {
        let (build, excerpt) = (site.builds[at], site.build(at));
        let make = || builds::pages(input.theme, &excerpt.open(), &build.slug);
        let key = Key::of(&excerpt);
        Ok((site.build_card(build, &excerpt, key)?, out.once(&Key::of(&("build", key)), make)?))
    });
    let (cards, mut written): (Vec<_>, Vec<_>) = in_order(of_builds)?.into_iter().unzip();
    let of_parts = (0..site.units.len()).into_par_iter().map(|at| {
        let (unit, excerpt) = (site.units[at], site.part(at));
        let make = || parts::page(input.theme, &excerpt.open(), &unit.id);
        let key = Key::of(&(&unit.id, &excerpt));
        let card = site.part_card(unit, &excerpt, key)?;
        Ok(((unit, card), out.once(&Key::of(&("part", key)), make)?))
    });
    let (part_cards, pages): (Vec<_>, Vec<_>) = in_order(of_parts)?.into_iter().unzip();
    written.extend(pages);
    let nothing = whole.nothing().open();
    let source = nothing.source();
    let index = site.index(&source, &cards, &part_cards);
    let pages = index.pages();
    let listed: Vec<String> = pages.iter().map(|page| page.path.clone()).collect();
    let made = pages.into_par_iter().map(|IndexPage { key, make, .. }| out.once(&key, make));
    written.extend(in_order(made)?);
    let search = index.search()?;
    search.files.into_iter().try_for_each(|file| out.put(file))?;
    index.for_programs(&listed).into_iter().try_for_each(|file| out.put(file))?;

    let mut problems: Vec<Problem> = input.theme.problem().cloned().into_iter().collect();
    problems.extend(written.iter().flat_map(|written| written.problems.iter().cloned()));
    crate::problem::sort(&mut problems);
    let mut files = unlocked(out.files);
    files.sort();
    Ok(Pages { files, standing: unlocked(out.standing), problems })
}

/// Builds and parts that have pages, in the order in which pages show them.
struct Site<'a> {
    whole: &'a Whole<'a>,
    builds: Vec<&'a Build>,
    units: Vec<&'a Unit>,
}

impl<'a> Site<'a> {
    fn of(whole: &'a Whole<'a>) -> Site<'a> {
        let ids = whole.addresses.parts.keys();
        let mut units: Vec<&Unit> = ids.filter_map(|id| whole.input.ledger.units.get(id)).collect();
        bin::sort(&mut units);
        Site { whole, builds: whole.order(), units }
    }

    fn is_of_build(&self, build: &Build, path: &str) -> bool {
        let addresses = &self.whole.addresses;
        addresses.builds.get(&build.slug).is_some_and(|own| own == path)
            || addresses.entries_of(build).any(|own| own == path)
    }

    /// The excerpt of a build's pages, with the builds before and after it in the gallery.
    fn build(&'a self, at: usize) -> Excerpt<'a> {
        let addresses = &self.whole.addresses;
        let page = |build: &Build| addresses.builds.get(&build.slug).map_or("", String::as_str);
        let link = |other: Option<usize>| {
            let other = *self.builds.get(other?)?;
            let href = super::addresses::way(page(self.builds[at]), page(other));
            Some(Link { text: other.title.clone(), href })
        };
        self.whole.build(&self.builds[at].slug, (link(at.checked_sub(1)), link(Some(at + 1))))
    }

    /// The excerpt of a part's page, with the parts before and after it in the bin.
    fn part(&'a self, at: usize) -> Excerpt<'a> {
        let source = self.whole.input;
        let addresses = &self.whole.addresses;
        let path = |unit: &Unit| addresses.parts.get(&unit.id).map_or("", String::as_str);
        let link = |other: Option<usize>| {
            let other = *self.units.get(other?)?;
            let name = source.ledger.units.get(&other.id).map(|unit| unit.name.clone());
            let text = name.filter(|name| !name.is_empty()).unwrap_or_else(|| other.id.clone());
            Some(Link { text, href: super::addresses::way(path(self.units[at]), path(other)) })
        };
        self.whole.part(&self.units[at].id, (link(at.checked_sub(1)), link(Some(at + 1))))
    }

    fn build_card(&self, build: &Build, excerpt: &Excerpt<'_>, key: Key) -> anyhow::Result<Arc<BuildCard>> {
        let make = || {
            let opened = excerpt.open();
            let source = opened.source();
            let build = source.build(&build.slug).unwrap_or(build);
            Ok(cards::of_build(&Frames { theme: self.whole.input.theme, source: &source }, build))
        };
        self.whole.input.results.once(&Key::of(&("build card", key)), |_| true, make)
    }

    fn part_card(&self, unit: &Unit, excerpt: &Excerpt<'_>, key: Key) -> anyhow::Result<Arc<PartCard>> {
        let make = || {
            let opened = excerpt.open();
            let source = opened.source();
            let path = source.addresses.parts.get(&unit.id).map_or("", String::as_str);
            let unit = source.ledger.units.get(&unit.id).unwrap_or(unit);
            Ok(cards::of_part(&source, unit, path))
        };
        self.whole.input.results.once(&Key::of(&("part card", key)), |_| true, make)
    }

    fn build_cards(&'a self) -> anyhow::Result<Vec<Arc<BuildCard>>> {
        let all = 0..self.builds.len();
        let card = |at: usize| {
            let excerpt = self.build(at);
            self.build_card(self.builds[at], &excerpt, Key::of(&excerpt))
        };
        all.into_par_iter().map(card).collect()
    }

    fn part_cards(&'a self) -> anyhow::Result<Vec<(&'a Unit, Arc<PartCard>)>> {
        let all = 0..self.units.len();
        all.into_par_iter()
            .map(|at| {
                let (unit, excerpt) = (self.units[at], self.part(at));
                Ok((unit, self.part_card(unit, &excerpt, Key::of(&(&unit.id, &excerpt)))?))
            })
            .collect()
    }

    fn index(
        &self,
        source: &'a super::source::Source<'a>,
        builds: &'a [Arc<BuildCard>],
        parts: &'a [(&'a Unit, Arc<PartCard>)],
    ) -> Index<'a> {
        Index { whole: self.whole, source, builds, parts, foot: self.foot() }
    }

    fn foot(&self) -> String {
        let addresses = &self.whole.addresses;
        let mut pieces = Vec::new();
        if self.whole.input.scope.only.is_none() {
            pieces.push(words::count(self.builds.len(), "build", "builds"));
        }
        if !addresses.parts.is_empty() {
            pieces.push(words::count(addresses.parts.len(), "part", "parts"));
        }
        pieces.push(words::count(addresses.entries.len(), "entry", "entries"));
        pieces.join(", ")
    }
}

/// Where pages go to.
struct Out<'a> {
    input: &'a Input<'a>,
    put: Put<'a>,
    files: Mutex<Vec<(FileKind, String)>>,
    standing: Mutex<Vec<String>>,
}

impl Out<'_> {
    fn put(&self, file: SiteFile) -> anyhow::Result<()> {
        locked(&self.files).push((file.kind, file.path.clone()));
        (self.put)(file)
    }

    /// Makes pages and puts them, unless pages of this key stand already.
    fn once(&self, key: &Key, make: impl FnOnce() -> anyhow::Result<Made>) -> anyhow::Result<Arc<Written>> {
        let stands = |written: &Written| {
            let all = written.paths.iter().all(|path| (self.input.stands)(path));
            if all {
                locked(&self.standing).extend(written.paths.iter().cloned());
            }
            all
        };
        self.input.results.once(key, stands, || {
            let made = make()?;
            let paths = made.files.iter().map(|file| file.path.clone()).collect();
            made.files.into_iter().try_for_each(|file| self.put(file))?;
            Ok(Written { paths, problems: made.problems })
        })
    }
}

fn locked<T>(it: &Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    it.lock().unwrap_or_else(PoisonError::into_inner)
}

fn unlocked<T>(it: Mutex<T>) -> T {
    it.into_inner().unwrap_or_else(PoisonError::into_inner)
}
