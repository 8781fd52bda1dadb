//! The pages over many builds, and what other programs read: they are made each time.

use rayon::prelude::*;

use crate::fit::checks::ALL;
use crate::pages::context::{PhotosOfBuild, PhotosPage, SearchPage};
use crate::pages::feed::{self, Feed, FeedEntry};
use crate::pages::render::{self, FileKind, SiteFile};
use crate::pages::search::{self, Searchable};
use crate::pages::{
    audit, bin, build as build_page, checks, drawings, gallery, log, markdown, structured, words,
};

use super::Put;
use super::frame::{About, shorten};
use super::made::Made;
use super::maker::Maker;

impl Maker<'_> {
    /// The pages over many builds: they are made each time.
    pub(super) fn over_many(&self, put: Put<'_>) -> anyhow::Result<Vec<Made>> {
        let one: [&(dyn Fn() -> anyhow::Result<Vec<Made>> + Sync); 5] = [
            &|| Ok(vec![self.gallery()?]),
            &|| Ok(vec![self.bin()?]),
            &|| Ok(vec![self.photos()?]),
            &|| Ok(vec![self.audit()?]),
            &|| self.checks(),
        ];
        let made: anyhow::Result<Vec<Vec<Made>>> =
            one.par_iter().map(|make| make()?.into_iter().map(|made| made.handed(put)).collect()).collect();
        Ok(made?.concat())
    }

    fn gallery(&self) -> anyhow::Result<Made> {
        let path = &self.source.addresses.home;
        if self.input.scope.only.is_some() {
            return Ok(Made::default());
        }
        let lineup = drawings::lineup(self.builds, self.checked);
        let shown = gallery::page(self.source, self.builds, self.checked, lineup, path);
        let description = gallery::description(self.source, self.builds.len());
        let listed: Vec<(String, String)> = self
            .builds
            .iter()
            .filter_map(|build| {
                let path = self.source.addresses.builds.get(&build.slug)?;
                Some((build.title.clone(), self.whole(path)))
            })
            .collect();
        let settings = &self.source.journal.settings;
        let url = self.whole("");
        let structured = if url.is_empty() {
            String::new()
        } else {
            structured::collection(&self.work(&url, &settings.title, &description), &listed)
        };
        let about = About {
            title: "Builds",
            description: &description,
            belongs: path,
            scripts: &["gallery.js"],
            photo: self.builds.iter().find_map(|build| self.cover(build)),
            structured,
            kind: "website",
            counts: true,
        };
        let frame = self.frame(path, &about);
        let day = self.builds.first().map(|build| build_page::last_day(build)).unwrap_or_default();
        let page = render::page(self.input.theme, "gallery.html", path, &frame, "gallery", &shown)?;
        Ok(Made { day, ..Made::page(page) })
    }

    fn bin(&self) -> anyhow::Result<Made> {
        let path = &self.source.addresses.bin;
        if path.is_empty() {
            return Ok(Made::default());
        }
        let shown = bin::page(self.source, &bin::order(self.source), path);
        let description =
            format!("{}, and where each of them is.", words::count(shown.total, "part", "parts"));
        let about = About {
            title: "Parts bin",
            description: &description,
            belongs: path,
            scripts: &["gallery.js"],
            kind: "website",
            counts: true,
            ..About::default()
        };
        let page =
            render::page(self.input.theme, "bin.html", path, &self.frame(path, &about), "bin", &shown)?;
        Ok(Made::page(page))
    }

    fn photos(&self) -> anyhow::Result<Made> {
        let path = &self.source.addresses.photos;
        if path.is_empty() {
            return Ok(Made::default());
        }
        let mut builds = Vec::new();
        for build in self.builds {
            let photos = build_page::photos(self.source, build, path);
            if !photos.is_empty() {
                let build = self.source.build_link(path, &build.slug).unwrap_or_default();
                builds.push(PhotosOfBuild { build, photos });
            }
        }
        let total = builds.iter().map(|build| build.photos.len()).sum();
        let shown = PhotosPage { builds, total };
        let description = format!("All photos of the builds, {total} in all.");
        let about = About {
            title: "Photos",
            description: &description,
            belongs: path,
            scripts: &["lightbox.js"],
            kind: "website",
            counts: true,
            ..About::default()
        };
        let page =
            render::page(self.input.theme, "photos.html", path, &self.frame(path, &about), "photos", &shown)?;
        Ok(Made::page(page))
    }

    fn audit(&self) -> anyhow::Result<Made> {
        let path = &self.source.addresses.audit;
        if path.is_empty() {
            return Ok(Made::default());
        }
        let shown = audit::page(self.source, self.checked, path);
        let about = About {
            title: "Audit",
            description: "Where each part is, what is left over and what is still to be measured.",
            belongs: path,
            kind: "website",
            counts: true,
            ..About::default()
        };
        let page =
            render::page(self.input.theme, "audit.html", path, &self.frame(path, &about), "audit", &shown)?;
        Ok(Made::page(page))
    }

    fn checks(&self) -> anyhow::Result<Vec<Made>> {
        let source = self.source;
        let path = &source.addresses.all_checks;
        let findings = checks::ByCheck::of(self.checked);
        let shown = checks::list(source, self.input.bands, &findings, path);
        let about = About {
            title: "Checks",
            description: "What is checked on every watch, and where the limits come from.",
            belongs: path,
            kind: "website",
            ..About::default()
        };
        let page =
            render::page(self.input.theme, "checks.html", path, &self.frame(path, &about), "checks", &shown)?;
        let each = (0..ALL.len()).into_par_iter().map(|at| {
            let Some(path) = ALL.get(at).and_then(|check| source.addresses.checks.get(check.id)) else {
                return Ok(Made::default());
            };
            let Some(shown) = checks::page(source, self.input.bands, &findings, at, path) else {
                return Ok(Made::default());
            };
            let asks = ALL.get(at).map(|check| check.asks).unwrap_or_default();
            let about = About {
                title: &shown.title,
                description: asks,
                belongs: &source.addresses.all_checks,
                kind: "website",
                ..About::default()
            };
            let page = render::page(
                self.input.theme,
                "check.html",
                path,
                &self.frame(path, &about),
                "check",
                &shown,
            )?;
            let found = Searchable {
                path: path.clone(),
                title: shown.title.clone(),
                kind: "check".to_owned(),
                names: shown.id.clone(),
                text: format!("{asks} {}", shown.formula),
                ..Searchable::default()
            };
            Ok(Made { found: vec![found], ..Made::page(page) })
        });
        let each: anyhow::Result<Vec<Made>> = each.collect();
        let mut out = vec![Made::page(page)];
        out.extend(each?);
        Ok(out)
    }

    pub(super) fn search(&self, found: &[Searchable]) -> anyhow::Result<Made> {
        let path = &self.source.addresses.search;
        let shown = SearchPage { index: "search/".to_owned(), pages: found.len() };
        let about = About {
            title: "Search",
            description: "Search over builds, log, parts and checks.",
            belongs: path,
            scripts: &["search.js"],
            kind: "website",
            counts: true,
            ..About::default()
        };
        let page =
            render::page(self.input.theme, "search.html", path, &self.frame(path, &about), "search", &shown)?;
        let mut made = Made::page(page);
        made.files.extend(search::index(found));
        Ok(made)
    }

    /// Feed and sitemap, where the journal has an address.
    pub(super) fn for_others(&self, days: &[(String, String)]) -> Vec<SiteFile> {
        let settings = &self.source.journal.settings;
        if settings.address.is_none() || self.input.scope.only.is_some() {
            return Vec::new();
        }
        let data = |path: &str, text: String| SiteFile {
            path: path.to_owned(),
            bytes: text.into_bytes(),
            kind: FileKind::Data,
        };
        let pages: Vec<(String, Option<String>)> = days
            .iter()
            .map(|(path, day)| {
                let url = if *path == self.source.addresses.home { self.whole("") } else { self.whole(path) };
                (url, Some(day.clone()).filter(|day| !day.is_empty()))
            })
            .collect();
        let mut entries = Vec::new();
        for build in self.builds {
            for entry in &build.entries {
                let key = (build.slug.clone(), entry.name.clone());
                let Some(path) = self.source.addresses.entries.get(&key) else { continue };
                let text = markdown::plain(self.source.journal.files.cut(entry.text));
                entries.push(FeedEntry {
                    url: self.whole(path),
                    title: format!("{}: {}", build.title, log::title(entry)),
                    date: entry.date.value.to_string(),
                    summary: shorten(&text, 300),
                    html: String::new(),
                });
            }
        }
        entries.sort_by(|a, b| b.date.cmp(&a.date).then_with(|| a.url.cmp(&b.url)));
        entries.truncate(50);
        let feed = Feed {
            title: settings.title.clone(),
            home: self.whole(""),
            url: self.whole("feed.xml"),
            author: settings.author.clone().unwrap_or_default(),
            language: settings.language.clone(),
            entries,
        };
        vec![data("feed.xml", feed::atom(&feed)), data("sitemap.xml", feed::sitemap(&pages))]
    }
}
