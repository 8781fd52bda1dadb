//! The pages over many builds or parts: each a function of their cards.

use std::sync::{Arc, OnceLock};

use serde::Serialize;

use crate::draw;
use crate::fit::checks::ALL;
use crate::fit::inspect::Report;
use crate::fit::key::Key;
use crate::ledger::Unit;
use crate::pages::cards::{BuildCard, PartCard};
use crate::pages::context::{Link, PhotosOfBuild, PhotosPage, SearchPage};
use crate::pages::excerpt::Whole;
use crate::pages::feed::{self, Feed, FeedEntry};
use crate::pages::frame::{About, Frames};
use crate::pages::render::{self, FileKind, SiteFile};
use crate::pages::search::{self, Searchable};
use crate::pages::source::Source;
use crate::pages::{audit, bin, checks, gallery, structured, words};

use super::Made;

/// So many entries are in the feed, the latest.
const NEWS: usize = 50;

/// All cards, and what these pages need beside them.
pub(super) struct Index<'a> {
    pub(super) whole: &'a Whole<'a>,
    /// Of settings and addresses alone: no build and no part can be reached from it.
    pub(super) source: &'a Source<'a>,
    /// In the gallery's order.
    pub(super) builds: &'a [Arc<BuildCard>],
    /// In the bin's order.
    pub(super) parts: &'a [(&'a Unit, Arc<PartCard>)],
    pub(super) foot: String,
}

/// A page over many builds or parts, not yet made.
pub(super) struct IndexPage<'a> {
    pub(super) path: String,
    /// Of everything that it shows.
    pub(super) key: Key,
    pub(super) make: Box<dyn FnOnce() -> anyhow::Result<Made> + Send + 'a>,
}

impl<'a> Index<'a> {
    /// All of them that the site has, but for the search.
    pub(super) fn pages(&'a self) -> Vec<IndexPage<'a>> {
        let one = [self.gallery(), self.bin(), self.photos(), self.audit()];
        let mut pages: Vec<IndexPage<'a>> = one.into_iter().flatten().collect();
        pages.extend(self.checks());
        pages
    }

    fn frames(&self) -> Frames<'a> {
        Frames { theme: self.whole.input.theme, source: self.source }
    }

    /// A page of what `shown` puts together out of `of`.
    fn page<T: Serialize>(
        &'a self,
        path: &str,
        (template, name): (&'static str, &'static str),
        about: &About<'_>,
        of: &impl Serialize,
        shown: impl FnOnce() -> T + Send + 'a,
    ) -> IndexPage<'a> {
        let frames = self.frames();
        let frame = frames.frame(path, about);
        let key = Key::of(&("index", path, self.whole.shared(), &frame, of));
        let own = path.to_owned();
        let make = move || {
            let mut made = Made::default();
            made.files.push(render::page(frames.theme, template, &own, &frame, name, &shown())?);
            Ok(made)
        };
        IndexPage { path: path.to_owned(), key, make: Box::new(make) }
    }

    fn gallery(&'a self) -> Option<IndexPage<'a>> {
        let (source, frames) = (self.source, self.frames());
        let path = &source.addresses.home;
        if source.scope.only.is_some() {
            return None;
        }
        let description = gallery::description(source, self.builds.len());
        let settings = &source.journal.settings;
        let url = frames.whole("");
        let structured = if url.is_empty() {
            String::new()
        } else {
            let listed = self
                .builds
                .iter()
                .filter_map(|card| Some((card.row.title.clone(), frames.whole(&card.found.first()?.path))));
            let listed: Vec<(String, String)> = listed.collect();
            structured::collection(&frames.work(&url, &settings.title, &description), &listed)
        };
        let about = About {
            title: "Builds",
            description: &description,
            belongs: path,
            scripts: &["gallery.js"],
            photo: self.builds.iter().find_map(|card| card.cover.clone()),
            structured,
            kind: "website",
            foot: self.foot.clone(),
        };
        let of: Vec<_> = self.builds.iter().map(|card| (&card.row, &card.outline)).collect();
        Some(self.page(path, ("gallery.html", "gallery"), &about, &of, move || {
            let rows = self.builds.iter().map(|card| card.row.clone()).collect();
            let outlines: Vec<_> = self.builds.iter().filter_map(|card| card.outline.clone()).collect();
            gallery::page(source, rows, draw::line_up(&outlines))
        }))
    }

    fn bin(&'a self) -> Option<IndexPage<'a>> {
        let path = Some(&self.source.addresses.bin).filter(|path| !path.is_empty())?;
        let description =
            format!("{}, and where each of them is.", words::count(self.parts.len(), "part", "parts"));
        let about = About {
            title: "Parts bin",
            description: &description,
            belongs: path,
            scripts: &["gallery.js"],
            kind: "website",
            foot: self.foot.clone(),
            ..About::default()
        };
        let of: Vec<_> = self.parts.iter().map(|(unit, card)| (unit.kind, &card.row)).collect();
        Some(self.page(path, ("bin.html", "bin"), &about, &of, || {
            let rows: Vec<_> = self.parts.iter().map(|(unit, card)| (*unit, card.row.clone())).collect();
            bin::page(&rows)
        }))
    }

    fn photos(&'a self) -> Option<IndexPage<'a>> {
        let path = Some(&self.source.addresses.photos).filter(|path| !path.is_empty())?;
        let builds = self.builds.iter().filter(|card| !card.photos.is_empty());
        let builds: Vec<PhotosOfBuild> = builds
            .map(|card| {
                // The gallery stands beside this page: the way to a build is the same from both.
                let build = Link { text: card.row.title.clone(), href: card.row.href.clone() };
                PhotosOfBuild { build, photos: card.photos.clone() }
            })
            .collect();
        let total = builds.iter().map(|build| build.photos.len()).sum();
        let shown = PhotosPage { builds, total };
        let description = format!("All photos of the builds, {total} in all.");
        let about = About {
            title: "Photos",
            description: &description,
            belongs: path,
            scripts: &["lightbox.js"],
            kind: "website",
            foot: self.foot.clone(),
            ..About::default()
        };
        let of = Key::of(&shown);
        Some(self.page(path, ("photos.html", "photos"), &about, &of, || shown))
    }

    fn audit(&'a self) -> Option<IndexPage<'a>> {
        let path = Some(&self.source.addresses.audit).filter(|path| !path.is_empty())?;
        let about = About {
            title: "Audit",
            description: "Where each part is, what is left over and what is still to be measured.",
            belongs: path,
            kind: "website",
            foot: self.foot.clone(),
            ..About::default()
        };
        // All but what is to be measured follows from the ledger, at little cost.
        let without = audit::page(&self.whole.source(), &[], path);
        let wanted: Vec<_> = self.builds.iter().map(|card| &card.wanted).collect();
        Some(self.page(path, ("audit.html", "audit"), &about, &(without, wanted), move || {
            let source = self.whole.source().with_reports(self.whole.input.reports);
            let builds: Vec<_> = source.builds().collect();
            let reports: Vec<&Report> =
                builds.iter().filter_map(|build| Some(&**source.report(&build.slug)?)).collect();
            audit::page(&source, &reports, path)
        }))
    }

    fn checks(&'a self) -> Vec<IndexPage<'a>> {
        let (source, bands) = (self.source, self.whole.input.reports.standards.bands());
        let path = &source.addresses.all_checks;
        // Here builds stand in the order of the journal.
        let mut builds: Vec<&BuildCard> = self.builds.iter().map(Arc::as_ref).collect();
        builds.sort_by(|a, b| a.row.slug.cmp(&b.row.slug));
        let by_check = checks::ByCheck::of(builds.into_iter().map(|card| &card.checks));
        let keys: Vec<Key> = ALL.iter().map(|check| Key::of(by_check.all(check))).collect();
        let sorted: Arc<OnceLock<checks::ByCheck<'a>>> = Arc::new(OnceLock::from(by_check));
        let findings = Arc::clone(&sorted);
        let about = About {
            title: "Checks",
            description: "What is checked on every watch, and where the limits come from.",
            belongs: path,
            kind: "website",
            ..About::default()
        };
        let list = self.page(path, ("checks.html", "checks"), &about, &keys, move || {
            findings.get().map(|findings| checks::list(source, bands, findings, path))
        });
        let each = ALL.iter().zip(&keys).enumerate().filter_map(|(at, (check, key))| {
            let path = source.addresses.checks.get(check.id)?;
            let title = words::capital(check.title);
            let about = About {
                title: &title,
                description: check.asks,
                belongs: &source.addresses.all_checks,
                kind: "website",
                ..About::default()
            };
            let findings = Arc::clone(&sorted);
            Some(self.page(path, ("check.html", "check"), &about, key, move || {
                findings.get().map(|findings| checks::page(source, bands, findings, at, path))
            }))
        });
        std::iter::once(list).chain(each).collect()
    }

    /// The search page and its index.
    pub(super) fn search(&self) -> anyhow::Result<Made> {
        let path = &self.source.addresses.search;
        let found = self.found();
        let shown = SearchPage { index: "search/".to_owned(), pages: found.len() };
        let about = About {
            title: "Search",
            description: "Search over builds, log, parts and checks.",
            belongs: path,
            scripts: &["search.js"],
            kind: "website",
            foot: self.foot.clone(),
            ..About::default()
        };
        let frames = self.frames();
        let frame = frames.frame(path, &about);
        let mut made = Made::default();
        made.files.push(render::page(frames.theme, "search.html", path, &frame, "search", &shown)?);
        made.files.extend(search::index(&found));
        Ok(made)
    }

    fn found(&self) -> Vec<Searchable> {
        let checks = ALL.iter().filter_map(|check| {
            Some(Searchable {
                path: self.source.addresses.checks.get(check.id)?.clone(),
                title: words::capital(check.title),
                kind: "check".to_owned(),
                names: check.id.to_owned(),
                text: format!("{} {}", check.asks, checks::formula(check)),
                ..Searchable::default()
            })
        });
        let builds = self.builds.iter().flat_map(|card| card.found.iter().cloned());
        let parts = self.parts.iter().map(|(_, card)| card.found.clone());
        builds.chain(parts).chain(checks).collect()
    }

    /// Feed and sitemap, where the journal has an address.
    pub(super) fn for_programs(&self, index_pages: &[String]) -> Vec<SiteFile> {
        let settings = &self.source.journal.settings;
        if settings.address.is_none() || self.source.scope.only.is_some() {
            return Vec::new();
        }
        let frames = self.frames();
        let data = |path: &str, text: String| SiteFile {
            path: path.to_owned(),
            bytes: text.into_bytes(),
            kind: FileKind::Data,
        };
        let home = &self.source.addresses.home;
        let url = |path: &str| if path == home { frames.whole("") } else { frames.whole(path) };
        let day = |day: &str| Some(day.to_owned()).filter(|day| !day.is_empty());
        let mut pages: Vec<(String, Option<String>)> = Vec::new();
        for card in self.builds {
            pages.extend(card.found.iter().map(|page| (url(&page.path), day(&card.day))));
        }
        pages.extend(self.parts.iter().map(|(_, card)| (url(&card.found.path), None)));
        let first = self.builds.first().map(|card| card.day.as_str()).unwrap_or_default();
        pages.extend(index_pages.iter().map(|path| (url(path), day(first).filter(|_| path == home))));
        let feed = Feed {
            title: settings.title.clone(),
            home: frames.whole(""),
            url: frames.whole("feed.xml"),
            author: settings.author.clone().unwrap_or_default(),
            language: settings.language.clone(),
            entries: self.news(),
        };
        vec![data("feed.xml", feed::atom(&feed)), data("sitemap.xml", feed::sitemap(&pages))]
    }

    fn news(&self) -> Vec<FeedEntry> {
        let mut entries: Vec<&FeedEntry> = self.builds.iter().flat_map(|card| &card.news).collect();
        entries.sort_by(|a, b| b.date.cmp(&a.date).then_with(|| a.url.cmp(&b.url)));
        entries.truncate(NEWS);
        entries.into_iter().cloned().collect()
    }
}
