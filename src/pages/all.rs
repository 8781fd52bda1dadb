//! Every page of a site: from a checked journal to the files that are published.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use rayon::prelude::*;

use crate::draw;
use crate::fit::bands::Bands;
use crate::fit::checks::ALL;
use crate::fit::inspect::Report;
use crate::journal::{Build, Journal};
use crate::ledger::Ledger;
use crate::problem::Problem;

use super::addresses::{Addresses, Scope, root, way};
use super::album::Album;
use super::checked::Checked;
use super::context::{Frame, Link, NavItem, PhotosOfBuild, PhotosPage, SearchPage, Sharing};
use super::digest::{Digest, Digests, digest};
use super::feed::{self, Feed, FeedEntry};
use super::kept::{Few, Kept};
use super::render::{self, FileKind, POLICY, Rendered, SiteFile};
use super::search::{self, Searchable};
use super::source::Source;
use super::structured::{self, Work};
use super::theme::{Fault, Theme};
use super::{audit, bin, build as build_page, checks, gallery, log, markdown, parts, words};

/// What the pages are made of.
pub struct Input<'a> {
    /// What was read.
    pub journal: &'a Journal,
    /// Where every part has been.
    pub ledger: &'a Ledger,
    /// The bands in force.
    pub bands: &'a Bands,
    /// The findings by build's slug; hidden builds may be among them.
    pub reports: &'a BTreeMap<String, Arc<Report>>,
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
    /// A template ran away at one page that others may have been made with before, whichever came first:
    /// all is to be made again, so that the pages of its kind look the same.
    pub unsettled: bool,
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
    let checked = BTreeMap::new();
    let maker = Maker::new(input, &source, &builds, &checked);
    let wanted = builds.iter().enumerate().filter(|(_, build)| slugs.contains(&build.slug));
    let made: anyhow::Result<Vec<Made>> = wanted.map(|(at, build)| maker.build(at, build)).collect();
    Ok(made?.into_iter().flat_map(|made| made.files).collect())
}

/// Makes every page and hands it to `put`. An error is the machine's fault; a faulty text or template is a
/// problem.
pub fn all(input: &Input<'_>, put: Put<'_>) -> anyhow::Result<Pages> {
    let stopped = input.theme.templates.stopped().len();
    let with_pages = Source::parts_with_pages(input.journal, input.ledger, input.scope);
    let ids: Vec<&str> = ALL.iter().map(|check| check.id).collect();
    let addresses = Addresses::of(input.journal, input.scope, &with_pages, &ids);
    let source = Source::new(input.journal, input.ledger, &addresses, input.album, input.scope);
    let builds = gallery::order(&source);
    let checked: BTreeMap<String, Checked> = builds
        .par_iter()
        .map(|build| (build.slug.clone(), Checked::brief(&source, build, input.reports.get(&build.slug))))
        .collect();
    let maker = Maker::new(input, &source, &builds, &checked);
    // Before a page is made: while they are, templates may be stopped.
    maker.rest();
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
    let made: Vec<Made> = [maker.builds(&put)?, maker.parts(&put)?, maker.over_many(&put)?].concat();
    let mut out = Pages { problems: input.theme.problems().to_vec(), ..Pages::default() };
    let mut found = Vec::new();
    let mut days = Vec::new();
    let mut faults = Vec::new();
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
        faults.extend(made.faults);
    }
    let search = maker.search(&found)?;
    faults.extend(search.faults);
    search.files.into_iter().chain(maker.for_others(&days)).try_for_each(put)?;
    out.problems.extend(of_templates(input.theme, faults));
    out.unsettled = input.theme.templates.stopped().len() > stopped;
    out.files = files.into_inner().unwrap_or_else(PoisonError::into_inner);
    out.files.sort();
    crate::problem::sort(&mut out.problems);
    out.addresses = addresses;
    Ok(out)
}

/// What is wrong with the theme's templates: each fault once, with the pages that have it.
fn of_templates(theme: &Theme, faults: Vec<(Fault, String)>) -> Vec<Problem> {
    let mut pages: BTreeMap<Fault, BTreeSet<String>> = BTreeMap::new();
    for (fault, page) in faults {
        pages.entry(fault).or_default().insert(page);
    }
    let some = pages.iter().map(|(fault, pages)| {
        let first = pages.first().map_or("", String::as_str);
        fault.problem(&match pages.len() {
            1 => format!("{first} is made with the built-in template"),
            2 => format!("{first} and another page are made with the built-in template"),
            many => format!("{first} and {} other pages are made with the built-in template", many - 1),
        })
    });
    let stopped = theme.templates.stopped();
    let all = stopped.iter().map(|(template, fault)| {
        fault.problem(&format!("all pages of {template} are made with the built-in templates"))
    });
    some.chain(all).collect()
}

/// One page or a few that belong together, and what is to be found on them.
#[derive(Debug, Clone, Default)]
struct Made {
    files: Vec<SiteFile>,
    /// What of the theme was set aside, for which of the pages.
    faults: Vec<(Fault, String)>,
    problems: Vec<Problem>,
    found: Vec<Searchable>,
    /// The last day of what it shows, as 2026-02-14; empty where there is none.
    day: String,
    /// In the sitemap, with or without a day.
    listed: bool,
    /// Where the pages stand in the site.
    paths: Vec<String>,
    /// They stand there already, and were not made.
    stands: bool,
    /// The name and the digest under which they are kept for the next time; `None` where they are
    /// made each time.
    keep: Option<(String, Digest)>,
}

impl Made {
    /// One page of its own, that is in the sitemap.
    fn page(page: Rendered) -> Made {
        let mut made = Made { listed: true, ..Made::default() };
        made.add(page);
        made
    }

    fn add(&mut self, page: Rendered) {
        let path = page.file.path.clone();
        self.faults.extend(page.faults.into_iter().map(|fault| (fault, path.clone())));
        self.paths.push(path);
        self.files.push(page.file);
    }

    /// To be kept under this name and digest for the next time, unless there was something wrong with it,
    /// which has to be told again.
    fn kept(mut self, keep: (String, Digest)) -> Made {
        self.keep = Some(keep).filter(|_| self.problems.is_empty() && self.faults.is_empty());
        self
    }

    /// Pages that stand.
    fn standing(few: &Few, keep: (String, Digest)) -> Made {
        Made {
            found: few.found.clone(),
            day: few.day.clone(),
            listed: true,
            paths: few.paths.clone(),
            keep: Some(keep),
            stands: true,
            ..Made::default()
        }
    }

    /// Hands its files over, and keeps only what is told of them.
    fn handed(mut self, put: Put<'_>) -> anyhow::Result<Made> {
        self.files.drain(..).try_for_each(put)?;
        self.files = Vec::new();
        Ok(self)
    }
}

struct Maker<'a> {
    input: &'a Input<'a>,
    source: &'a Source<'a>,
    builds: &'a [&'a Build],
    checked: &'a BTreeMap<String, Checked>,
    /// What pages of builds and parts rest on beside what these say; made where a page may be kept.
    rest: OnceLock<Rest<'a>>,
    /// Of all pages' places and all photos, for texts that may lead to any of them.
    far: OnceLock<Digest>,
}

/// Digests of what pages of builds and parts show of the rest of the site.
struct Rest<'a> {
    /// Of how everything looks, and where what every page leads to stands.
    looks: Digest,
    /// Of each build's photos.
    photos: BTreeMap<&'a str, Digest>,
}

/// What a frame says of its page.
#[derive(Default)]
struct About<'a> {
    title: &'a str,
    description: &'a str,
    /// The navigation's entry that it belongs to, by its address.
    belongs: &'a str,
    scripts: &'a [&'a str],
    /// The photo for previews elsewhere, by its path in the journal, and its alt text.
    photo: Option<(String, String)>,
    structured: String,
    kind: &'a str,
    /// Its foot counts what the journal holds.
    counts: bool,
}

impl<'a> Maker<'a> {
    fn new(
        input: &'a Input<'a>,
        source: &'a Source<'a>,
        builds: &'a [&'a Build],
        checked: &'a BTreeMap<String, Checked>,
    ) -> Maker<'a> {
        Maker { input, source, builds, checked, rest: OnceLock::new(), far: OnceLock::new() }
    }

    fn rest(&self) -> &Rest<'a> {
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
            let stopped: Vec<String> = self.input.theme.templates.stopped().into_keys().collect();
            let looks = format!(
                "{} {stopped:?} {:?} {home} {bin} {all_checks} {all_photos} {audit} {search}",
                self.input.theme.digest, self.input.scope
            );
            Rest { looks: digest(&looks), photos: photos.collect() }
        })
    }

    fn far(&self) -> &Digest {
        self.far.get_or_init(|| digest(&format!("{:?} {:?}", self.source.addresses, self.rest().photos)))
    }

    fn builds(&self, put: Put<'_>) -> anyhow::Result<Vec<Made>> {
        let each = self.builds.par_iter().enumerate().map(|(at, build)| {
            let name = format!("build {}", build.slug);
            let Some(digest) = self.digest_of(at, build) else { return self.build(at, build)?.handed(put) };
            if let Some(few) = self.input.kept.few(&name, &digest, self.input.stands) {
                return Ok(Made::standing(few, (name, digest)));
            }
            self.build(at, build)?.kept((name, digest)).handed(put)
        });
        each.collect()
    }

    /// Of all that the pages of a build are made of.
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

    fn build(&self, at: usize, build: &Build) -> anyhow::Result<Made> {
        let source = self.source;
        let Some(path) = source.addresses.builds.get(&build.slug) else { return Ok(Made::default()) };
        let checked = &Checked::of(source, build, self.input.reports.get(&build.slug));
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

    fn parts(&self, put: Put<'_>) -> anyhow::Result<Vec<Made>> {
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
        each.collect()
    }

    /// Findings that use one of a part's dimensions and want a second look.
    fn findings_of(&self, unit: &crate::ledger::Unit, page: &str) -> Vec<super::context::CheckFinding> {
        let mut out = Vec::new();
        for stay in self.source.stays(unit).filter(|stay| stay.to.is_none()) {
            let report = self.checked.get(&stay.build).and_then(|checked| checked.report.as_ref());
            let slot = format!("{}.", stay.slot.name());
            let uses = |finding: &&crate::fit::finding::Finding| {
                finding.used.iter().map(|used| &used.name).any(|name| name.starts_with(&slot))
                    || finding.missing.iter().any(|missing| missing.name.starts_with(&slot))
            };
            let findings = report.iter().flat_map(|report| &report.findings).filter(uses);
            let lines = findings.filter_map(|finding| checks::line(self.source, page, &stay.build, finding));
            out.extend(lines.filter(|line| line.verdict.attention));
        }
        out
    }

    /// The pages over many builds: they are made each time.
    fn over_many(&self, put: Put<'_>) -> anyhow::Result<Vec<Made>> {
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
        let lineup = super::drawings::lineup(self.builds, self.checked);
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

    fn search(&self, found: &[Searchable]) -> anyhow::Result<Made> {
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
    fn for_others(&self, days: &[(String, String)]) -> Vec<SiteFile> {
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

    fn frame(&self, path: &str, about: &About<'_>) -> Frame {
        let source = self.source;
        let settings = &source.journal.settings;
        let addresses = source.addresses;
        let theme =
            |name: &str| self.input.theme.asset(name).map(|asset| way(path, asset)).unwrap_or_default();
        let item = |label: &str, to: &str| {
            (!to.is_empty()).then(|| NavItem {
                label: label.to_owned(),
                href: way(path, to),
                current: to == about.belongs,
            })
        };
        let first = if self.input.scope.only.is_some() { "The watch" } else { "Builds" };
        let navigation = [
            item(first, &addresses.home),
            item("Photos", &addresses.photos),
            item("Parts bin", &addresses.bin),
            item("Checks", &addresses.all_checks),
            item("Audit", &addresses.audit),
            item("Search", &addresses.search),
        ];
        let only = self.input.scope.only.is_some();
        let address = settings.address.is_some() && !only;
        let sharing = address.then(|| {
            let (image, alt) = about.photo.clone().unwrap_or_default();
            let share = source.album.sizes(&image).and_then(|sizes| sizes.share.clone());
            let (image, width, height) =
                share.map(|(path, w, h)| (self.whole(&path), w, h)).unwrap_or_default();
            Sharing {
                kind: about.kind.to_owned(),
                image_alt: if image.is_empty() { String::new() } else { alt },
                image,
                image_width: width,
                image_height: height,
            }
        });
        let scripts = about.scripts.iter().map(|name| theme(&format!("scripts/{name}")));
        Frame {
            language: settings.language.clone(),
            title: about.title.to_owned(),
            journal: settings.title.clone(),
            description: about.description.to_owned(),
            root: root(path),
            home: way(path, &addresses.home),
            policy_html: POLICY.to_owned(),
            sprite_html: draw::sprite(),
            style: theme("style.css"),
            icon: theme("icon.svg"),
            faces: self.input.theme.faces().map(|face| way(path, face)).collect(),
            faces_script: theme("scripts/faces.js"),
            scripts: scripts.filter(|script| !script.is_empty()).collect(),
            navigation: navigation.into_iter().flatten().collect(),
            search: way(path, &addresses.search),
            feed: if address { way(path, "feed.xml") } else { String::new() },
            canonical: match address {
                true if path == addresses.home => self.whole(""),
                true => self.whole(path),
                false => String::new(),
            },
            sharing,
            structured_html: about.structured.clone(),
            // A count on every page would have every page made again for each new entry.
            foot: if about.counts { self.foot() } else { String::new() },
            author: settings.author.clone().unwrap_or_default(),
            private: self.input.scope.private,
        }
    }

    fn foot(&self) -> String {
        let entries = self.source.addresses.entries.len();
        let mut pieces = Vec::new();
        if self.input.scope.only.is_none() {
            pieces.push(words::count(self.builds.len(), "build", "builds"));
        }
        if !self.source.addresses.parts.is_empty() {
            pieces.push(words::count(self.source.addresses.parts.len(), "part", "parts"));
        }
        pieces.push(words::count(entries, "entry", "entries"));
        pieces.join(", ")
    }

    /// A page's whole address on the web; empty where the journal has none, or one build alone is
    /// published, which stands anywhere.
    fn whole(&self, path: &str) -> String {
        match &self.source.journal.settings.address {
            Some(address) if self.input.scope.only.is_none() => {
                format!("{}/{}", address.trim_end_matches('/'), super::markup::percent(path))
            }
            _ => String::new(),
        }
    }

    fn cover(&self, build: &Build) -> Option<(String, String)> {
        let file = build.cover.as_ref()?.value.clone();
        let alt = self.source.alt(build, &file);
        let alt = if alt.is_empty() { build.title.clone() } else { alt };
        Some((format!("builds/{}/{file}", build.slug), alt))
    }

    fn work<'w>(&'w self, url: &'w str, name: &'w str, description: &'w str) -> Work<'w> {
        let settings = &self.source.journal.settings;
        Work {
            url,
            name,
            description,
            author: settings.author.as_deref().unwrap_or_default(),
            language: &settings.language,
            ..Work::default()
        }
    }

    fn article(
        &self,
        url: &str,
        title: &str,
        description: &str,
        photo: Option<&(String, String)>,
        first: &str,
        last: &str,
    ) -> String {
        if url.is_empty() {
            return String::new();
        }
        let share =
            photo.and_then(|(path, _)| self.source.album.sizes(path)).and_then(|sizes| sizes.share.as_ref());
        let images = share.map(|(path, ..)| self.whole(path)).into_iter().collect();
        structured::article(&Work {
            images,
            published: first,
            modified: last,
            ..self.work(url, title, description)
        })
    }
}

/// The first words of a text, at most `most` characters.
fn shorten(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    let cut: String = text.chars().take(most).collect();
    let cut = cut.rsplit_once(' ').map_or(cut.as_str(), |(whole, _)| whole);
    format!("{cut}…")
}
