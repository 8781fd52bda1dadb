//! The pages over many builds, each kept while what it shows of them is the same, and the search over all.

use std::sync::OnceLock;

use rayon::prelude::*;
use serde::Serialize;

use crate::draw;
use crate::fit::check::Check;
use crate::fit::checks::ALL;
use crate::fit::inspect::Report;
use crate::journal::Build;
use crate::pages::context::{PhotosOfBuild, PhotosPage, SearchPage};
use crate::pages::digest::{Digest, digest, of_shown};
use crate::pages::render;
use crate::pages::search::{self, Searchable};
use crate::pages::{audit, bin, build as build_page, checks, gallery, structured, words};

use super::Put;
use super::briefs::Briefs;
use super::frame::About;
use super::made::{Made, in_order};
use super::maker::Maker;

/// A page over many builds.
struct Over<'a> {
    path: &'a str,
    template: &'static str,
    /// The name under which the template finds what is shown.
    name: &'static str,
    about: About<'a>,
    /// Of all that is shown, but for what every page rests on.
    digest: Digest,
}

impl Maker<'_> {
    /// The pages over many builds.
    pub(super) fn over_many(&self, briefs: &Briefs<'_>, put: Put<'_>) -> anyhow::Result<Vec<Made>> {
        let one: [&(dyn Fn() -> anyhow::Result<Vec<Made>> + Sync); 5] = [
            &|| Ok(vec![self.gallery(briefs)?]),
            &|| Ok(vec![self.bin()?]),
            &|| Ok(vec![self.photos()?]),
            &|| Ok(vec![self.audit(briefs)?]),
            &|| self.checks(briefs),
        ];
        let made = one.par_iter().map(|make| {
            let made: anyhow::Result<Vec<Made>> = make()?.into_iter().map(|made| made.handed(put)).collect();
            made
        });
        Ok(in_order(made)?.concat())
    }

    /// Makes a page of what `shown` puts together, unless it stands.
    fn over<T: Serialize>(&self, page: Over<'_>, shown: impl FnOnce() -> T) -> anyhow::Result<Made> {
        let Over { path, template, name, about, digest: of } = page;
        let frame = self.frame(path, &about);
        let rests = [&self.rest().looks, self.input.digests.shared(), &of_shown(&frame), &of];
        let keep = (format!("page {path}"), digest(&format!("{rests:?}")));
        if let Some(few) = self.input.kept.few(&keep.0, &keep.1, self.input.stands) {
            return Ok(Made::standing(few, keep));
        }
        let page = render::page(self.input.theme, template, path, &frame, name, &shown())?;
        Ok(Made::page(page).kept(keep))
    }

    fn gallery(&self, briefs: &Briefs<'_>) -> anyhow::Result<Made> {
        let path = &self.source.addresses.home;
        if self.input.scope.only.is_some() {
            return Ok(Made::default());
        }
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
        let order: Vec<&str> = self.builds.iter().map(|build| build.slug.as_str()).collect();
        let digest = digest(&format!("{order:?} {}", briefs.all(|brief| Some(&brief.row))));
        let page = Over { path, template: "gallery.html", name: "gallery", about, digest };
        let made = self.over(page, || {
            let (rows, outlines): (Vec<_>, Vec<_>) = briefs.rows(self).into_iter().unzip();
            let outlines: Vec<_> = outlines.into_iter().flatten().collect();
            gallery::page(self.source, rows, draw::line_up(&outlines))
        })?;
        let day = self.builds.first().map(|build| build_page::last_day(build)).unwrap_or_default();
        Ok(Made { day, ..made })
    }

    fn bin(&self) -> anyhow::Result<Made> {
        let path = &self.source.addresses.bin;
        if path.is_empty() {
            return Ok(Made::default());
        }
        let units = bin::order(self.source);
        let description =
            format!("{}, and where each of them is.", words::count(units.len(), "part", "parts"));
        let about = About {
            title: "Parts bin",
            description: &description,
            belongs: path,
            scripts: &["gallery.js"],
            kind: "website",
            counts: true,
            ..About::default()
        };
        let mut of = String::new();
        for unit in &units {
            let page = self.source.addresses.parts.get(&unit.id).map_or("", String::as_str);
            let unit = self.input.digests.unit(self.source.ledger, &unit.id);
            of.push_str(&format!("{page} {unit}\n"));
        }
        let page = Over { path, template: "bin.html", name: "bin", about, digest: digest(&of) };
        self.over(page, || bin::page(self.source, &units, path))
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
        let page = Over { path, template: "photos.html", name: "photos", about, digest: of_shown(&shown) };
        self.over(page, || shown)
    }

    fn audit(&self, briefs: &Briefs<'_>) -> anyhow::Result<Made> {
        let path = &self.source.addresses.audit;
        if path.is_empty() {
            return Ok(Made::default());
        }
        let about = About {
            title: "Audit",
            description: "Where each part is, what is left over and what is still to be measured.",
            belongs: path,
            kind: "website",
            counts: true,
            ..About::default()
        };
        // All but what is to be measured follows from the ledger, at little cost.
        let without = of_shown(&audit::page(self.source, &[], path));
        let digest = digest(&format!("{without} {}", briefs.all(|brief| Some(&brief.wanted))));
        let page = Over { path, template: "audit.html", name: "audit", about, digest };
        self.over(page, || audit::page(self.source, &self.reports(), path))
    }

    fn checks(&self, briefs: &Briefs<'_>) -> anyhow::Result<Vec<Made>> {
        let source = self.source;
        let path = &source.addresses.all_checks;
        let findings = OnceLock::new();
        let findings = || findings.get_or_init(|| checks::ByCheck::of(&self.reports()));
        let told = |check: &Check| briefs.all(|brief| brief.checks.get(check.id));
        let told: Vec<Digest> = ALL.iter().map(|check| told(check)).collect();
        let about = About {
            title: "Checks",
            description: "What is checked on every watch, and where the limits come from.",
            belongs: path,
            kind: "website",
            ..About::default()
        };
        let digest = digest(&told.concat());
        let page = Over { path, template: "checks.html", name: "checks", about, digest };
        let list = self.over(page, || checks::list(source, self.input.bands, findings(), path))?;
        let each = ALL.par_iter().zip(told).enumerate().map(|(at, (check, digest))| {
            let Some(path) = source.addresses.checks.get(check.id) else { return Ok(Made::default()) };
            let title = words::capital(check.title);
            let found = Searchable {
                path: path.clone(),
                title: title.clone(),
                kind: "check".to_owned(),
                names: check.id.to_owned(),
                text: format!("{} {}", check.asks, checks::formula(check)),
                ..Searchable::default()
            };
            let about = About {
                title: &title,
                description: check.asks,
                belongs: &source.addresses.all_checks,
                kind: "website",
                ..About::default()
            };
            let page = Over { path, template: "check.html", name: "check", about, digest };
            let made = self.over(page, || checks::page(source, self.input.bands, findings(), at, path))?;
            Ok(Made { found: vec![found], ..made })
        });
        let mut out = vec![list];
        out.extend(in_order(each)?);
        Ok(out)
    }

    /// The findings of all builds that have a page.
    fn reports(&self) -> Vec<&Report> {
        let builds: Vec<&Build> = self.source.builds().collect();
        builds.par_iter().filter_map(|build| Some(&**self.input.reports.of(&build.slug)?)).collect()
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
}
