//! The pages of one build or one part each, which are kept while what they rest on is the same.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use rayon::prelude::*;

use crate::journal::Build;
use crate::pages::addresses::Addresses;
use crate::pages::checked::Checked;
use crate::pages::context::{CheckFinding, Link};
use crate::pages::digest::{Digest, digest};
use crate::pages::search::Searchable;
use crate::pages::source::Source;
use crate::pages::{bin, build as build_page, checks, log, markdown, parts, render, words};

use super::frame::{About, shorten};
use super::made::{Made, in_order};
use super::{Input, Put};

/// Makes pages of what a checked journal says.
pub(super) struct Maker<'a> {
    pub(super) input: &'a Input<'a>,
    pub(super) source: &'a Source<'a>,
    pub(super) builds: &'a [&'a Build],
    /// What pages of builds and parts rest on beside what these say; made where a page may be kept.
    rest: OnceLock<Rest<'a>>,
    /// Of all pages' places and all photos, for texts that may lead to any of them.
    far: OnceLock<Digest>,
}

/// Digests of what pages of builds and parts show of the rest of the site.
pub(super) struct Rest<'a> {
    /// Of how everything looks, and where what every page leads to stands.
    pub(super) looks: Digest,
    /// Of each build's photos.
    photos: BTreeMap<&'a str, Digest>,
}

impl<'a> Maker<'a> {
    pub(super) fn new(input: &'a Input<'a>, source: &'a Source<'a>, builds: &'a [&'a Build]) -> Maker<'a> {
        Maker { input, source, builds, rest: OnceLock::new(), far: OnceLock::new() }
    }

    pub(super) fn rest(&self) -> &Rest<'a> {
        self.rest.get_or_init(|| {
            let photos = self.builds.iter().map(|build| {
                let sizes = build
                    .photos
                    .iter()
                    .map(|photo| self.source.album.sizes(&format!("builds/{}/{photo}", build.slug)));
                (build.slug.as_str(), digest(&format!("{:?}", sizes.collect::<Vec<_>>())))
            });
            let Addresses { home, bin, all_checks, photos: all_photos, audit, search, .. } =
                self.source.addresses;
            let looks = format!(
                "{} {:?} {home} {bin} {all_checks} {all_photos} {audit} {search}",
                self.input.theme.digest, self.input.scope
            );
            Rest { looks: digest(&looks), photos: photos.collect() }
        })
    }

    fn far(&self) -> &Digest {
        self.far.get_or_init(|| digest(&format!("{:?} {:?}", self.source.addresses, self.rest().photos)))
    }

    /// The pages of all builds; `digests` are those of [`Maker::digests`].
    pub(super) fn builds(&self, digests: &[Option<Digest>], put: Put<'_>) -> anyhow::Result<Vec<Made>> {
        let each = self.builds.par_iter().zip(digests).enumerate().map(|(at, (build, digest))| {
            let name = format!("build {}", build.slug);
            let Some(digest) = digest.clone() else { return self.build(at, build)?.handed(put) };
            if let Some(few) = self.input.kept.few(&name, &digest, self.input.stands) {
                return Ok(Made::standing(few, (name, digest)));
            }
            self.build(at, build)?.kept((name, digest)).handed(put)
        });
        in_order(each)
    }

    /// Of all that the pages of each build are made of, in the gallery's order.
    pub(super) fn digests(&self) -> Vec<Option<Digest>> {
        self.builds.par_iter().enumerate().map(|(at, build)| self.digest_of(at, build)).collect()
    }

    fn digest_of(&self, at: usize, build: &Build) -> Option<Digest> {
        let own = self.input.digests.build(&build.slug)?;
        let Rest { looks, photos } = self.rest();
        let photos = photos.get(build.slug.as_str())?;
        let mut text = format!("{looks} {own} {photos} {:?}", self.neighbours(at, build));
        for id in self
            .input
            .digests
            .parts_of(&build.slug)
            .filter(|id| self.source.addresses.parts.contains_key(*id))
        {
            text.push('\n');
            text.push_str(id);
        }
        if self.input.digests.reaches_far(&build.slug) {
            text.push_str(self.far());
        }
        Some(digest(&text))
    }

    /// The builds before and after one in the gallery's order.
    fn neighbours(&self, at: usize, build: &Build) -> (Option<Link>, Option<Link>) {
        let page = self.source.addresses.builds.get(&build.slug).map_or("", String::as_str);
        let link = |at: Option<usize>| self.source.build_link(page, &self.builds.get(at?)?.slug);
        (link(at.checked_sub(1)), link(Some(at + 1)))
    }

    pub(super) fn build(&self, at: usize, build: &Build) -> anyhow::Result<Made> {
        let source = self.source;
        let Some(path) = source.addresses.builds.get(&build.slug) else { return Ok(Made::default()) };
        let checked = &Checked::of(source, build, self.input.reports.of(&build.slug));
        let mut made = Made { day: build_page::last_day(build), listed: true, ..Made::default() };
        let neighbours = self.neighbours(at, build);
        let shown = build_page::page(source, build, checked, path, neighbours, &mut made.problems);
        let summary = build.summary.clone().unwrap_or_default();
        let url = self.whole(path);
        let cover = self.cover(build);
        let first = build.begun.as_ref().map(|day| day.value.to_string()).unwrap_or_default();
        let about = About {
            title: &build.title,
            description: &summary,
            belongs: &source.addresses.home,
            scripts: &["open.js", "lightbox.js"],
            structured: self.article(&url, &build.title, &summary, cover.as_ref(), &first, &made.day),
            photo: cover,
            kind: "article",
            counts: false,
        };
        let frame = self.frame(path, &about);
        made.add(render::page(self.input.theme, "build.html", path, &frame, "build", &shown)?);
        let part_names: Vec<&str> = shown.parts.iter().map(|part| part.name.as_str()).collect();
        let captions: Vec<&str> = shown.photos.iter().map(|photo| photo.caption.as_str()).collect();
        made.found.push(Searchable {
            path: path.clone(),
            title: build.title.clone(),
            kind: "build".to_owned(),
            of: build.state.words().to_owned(),
            names: format!(
                "{} {} {}",
                build.slug,
                summary,
                build_page::calibre(source, build).unwrap_or_default()
            ),
            text: format!(
                "{} {} {}",
                markdown::plain(source.journal.files.cut(build.story)),
                part_names.join(" "),
                captions.join(" ")
            ),
        });
        let photos = log::photos(source, build);
        for (at, entry) in build.entries.iter().enumerate() {
            let key = (build.slug.clone(), entry.name.clone());
            let Some(path) = source.addresses.entries.get(&key) else { continue };
            let Some(shown) = build_page::entry_page(source, build, at, &photos, path) else { continue };
            let text = markdown::plain(source.journal.files.cut(entry.text));
            let description = shorten(&text, 160);
            let iso = entry.date.value.to_string();
            let photo = entry.photos.first().map(|photo| {
                (format!("builds/{}/{}", build.slug, photo.file.value), photo.alt.clone().unwrap_or_default())
            });
            let title = format!("{}: {}", build.title, shown.entry.title);
            let url = self.whole(path);
            let about = About {
                title: &title,
                description: &description,
                belongs: &source.addresses.home,
                scripts: &["lightbox.js"],
                structured: self.article(&url, &title, &description, photo.as_ref(), &iso, &iso),
                photo,
                kind: "article",
                counts: false,
            };
            let frame = self.frame(path, &about);
            made.add(render::page(self.input.theme, "entry.html", path, &frame, "entry", &shown)?);
            let changes: Vec<String> = shown
                .entry
                .changes
                .iter()
                .map(|change| format!("{} {} {} {}", change.label, change.text, change.came, change.value))
                .collect();
            let captions: Vec<String> =
                shown.entry.photos.iter().map(|photo| format!("{} {}", photo.caption, photo.alt)).collect();
            made.found.push(Searchable {
                path: path.clone(),
                title: shown.entry.title.clone(),
                kind: format!("log, {}", shown.entry.date),
                of: build.title.clone(),
                names: iso,
                text: format!("{text} {} {}", changes.join(" "), captions.join(" ")),
            });
        }
        Ok(made)
    }

    pub(super) fn parts(&self, put: Put<'_>) -> anyhow::Result<Vec<Made>> {
        let units = bin::order(self.source);
        let each = units.par_iter().enumerate().map(|(at, unit)| {
            let source = self.source;
            let Some(path) = source.addresses.parts.get(&unit.id) else { return Ok(Made::default()) };
            let neighbour = |at: Option<usize>| Some(source.part_link(path, &units.get(at?)?.id));
            let neighbours = (neighbour(at.checked_sub(1)), neighbour(Some(at + 1)));
            let name = format!("part {}", unit.id);
            let Rest { looks, photos } = self.rest();
            let mut digest_of = format!("{looks} {neighbours:?}");
            digest_of.push_str(&self.input.digests.part(source.ledger, &unit.id));
            for slug in self.input.digests.builds_of(&unit.id) {
                digest_of.push_str(photos.get(slug).map_or("", String::as_str));
            }
            let digest = digest(&digest_of);
            if let Some(few) = self.input.kept.few(&name, &digest, self.input.stands) {
                return Ok(Made::standing(few, (name, digest)));
            }
            let shown = parts::page(source, unit, path, self.findings_of(unit, path), neighbours);
            let description = format!("{}, {}.", words::capital(&shown.part.kind), shown.now);
            let about = About {
                title: &shown.part.name,
                description: &description,
                belongs: &source.addresses.bin,
                scripts: &["lightbox.js"],
                kind: "website",
                ..About::default()
            };
            let frame = self.frame(path, &about);
            let page = render::page(self.input.theme, "part.html", path, &frame, "part", &shown)?;
            let history: Vec<String> =
                shown.history.iter().map(|line| format!("{} {}", line.what, line.detail)).collect();
            let found = Searchable {
                path: path.clone(),
                title: shown.part.name.clone(),
                kind: shown.part.kind.clone(),
                of: shown.now.clone(),
                names: unit.id.clone(),
                text: format!("{} {} {}", shown.part.from, shown.part.notes.join(" "), history.join(" ")),
            };
            Made { found: vec![found], ..Made::page(page) }.kept((name, digest)).handed(put)
        });
        in_order(each)
    }

    /// Findings that use one of a part's dimensions and want a second look.
    fn findings_of(&self, unit: &crate::ledger::Unit, page: &str) -> Vec<CheckFinding> {
        let mut out = Vec::new();
        for stay in self.source.stays(unit).filter(|stay| stay.to.is_none()) {
            let report = self.input.reports.of(&stay.build);
            let slot = format!("{}.", stay.slot.name());
            let uses =
                |finding: &&crate::fit::finding::Finding| finding.names().any(|name| name.starts_with(&slot));
            let findings = report.iter().flat_map(|report| &report.findings).filter(uses);
            let lines = findings.filter_map(|finding| checks::line(self.source, page, &stay.build, finding));
            out.extend(lines.filter(|line| line.verdict.attention));
        }
        out
    }
}
