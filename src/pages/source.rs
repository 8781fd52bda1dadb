//! What all pages are made from, and the questions that each of them asks of it.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, OnceLock};

use jiff::civil::DateTime;

use crate::fit::assembly::Assembly;
use crate::fit::inspect::Report;
use crate::fit::reports::Reports;
use crate::fit::sentence::Names;
use crate::journal::{Build, Entry, Journal, Spec};
use crate::ledger::{Ledger, MovementReading, Stay, Unit, readings};
use crate::text::{FileId, Span};

use super::addresses::{Addresses, Scope, way};
use super::album::Album;
use super::context::Link;
use super::words;

/// A checked journal and where its pages stand.
pub(super) struct Source<'a> {
    pub(super) journal: &'a Journal,
    pub(super) ledger: &'a Ledger,
    pub(super) addresses: &'a Addresses,
    pub(super) album: &'a Album,
    pub(super) scope: Scope<'a>,
    /// The builds that have a page, by slug.
    shown: BTreeMap<&'a str, &'a Build>,
    /// Their entries, by file.
    logs: BTreeMap<FileId, (&'a Build, &'a Entry)>,
    /// The same by build and name.
    named: BTreeMap<(&'a str, &'a str), &'a Entry>,
    /// Readings by movement, once somebody asks.
    timed: OnceLock<BTreeMap<&'a str, Vec<MovementReading<'a>>>>,
    reports: Option<Reports<'a>>,
}

impl<'a> Source<'a> {
    /// Gets ready to be asked.
    pub(super) fn new(
        journal: &'a Journal,
        ledger: &'a Ledger,
        addresses: &'a Addresses,
        album: &'a Album,
        scope: Scope<'a>,
    ) -> Source<'a> {
        let shown: BTreeMap<&str, &Build> = journal
            .builds
            .iter()
            .filter(|build| addresses.builds.contains_key(&build.slug))
            .map(|build| (build.slug.as_str(), build))
            .collect();
        let logs = || shown.values().flat_map(|build| build.entries.iter().map(|entry| (*build, entry)));
        let named =
            logs().map(|(build, entry)| ((build.slug.as_str(), entry.name.as_str()), entry)).collect();
        let logs = logs().map(|(build, entry)| (entry.file, (build, entry))).collect();
        let timed = OnceLock::new();
        Source { journal, ledger, addresses, album, scope, shown, logs, named, timed, reports: None }
    }

    /// The same, with the findings of its builds.
    pub(super) fn with_reports(self, reports: Reports<'a>) -> Source<'a> {
        Source { reports: Some(reports), ..self }
    }

    /// A build that has a page as its checks see it; `None` where nothing was found of it.
    pub(super) fn assembly(&self, build: &Build) -> Option<Assembly> {
        Some(self.reports.filter(|_| self.build(&build.slug).is_some())?.assembly(build))
    }

    /// The findings of a build that has a page.
    pub(super) fn report(&self, slug: &str) -> Option<&'a Arc<Report>> {
        self.build(slug).and(self.reports)?.of(slug)
    }

    /// The builds that have a page, in the journal's order.
    pub(super) fn builds(&self) -> impl Iterator<Item = &'a Build> + '_ {
        self.journal.builds.iter().filter(|build| self.addresses.builds.contains_key(&build.slug))
    }

    /// A build that has a page.
    pub(super) fn build(&self, slug: &str) -> Option<&'a Build> {
        self.shown.get(slug).copied()
    }

    /// The entry that a place lies in, and its build; `None` outside the logs that have a page.
    pub(super) fn entry_of(&self, span: Span) -> Option<(&'a Build, &'a Entry)> {
        self.logs.get(&span.file).copied()
    }

    /// A link to a build from a page; `None` for a build that is not published.
    pub(super) fn build_link(&self, page: &str, slug: &str) -> Option<Link> {
        let build = self.build(slug)?;
        Some(Link { text: build.title.clone(), href: way(page, self.addresses.builds.get(slug)?) })
    }

    /// An entry of a build that has a page, by its name.
    pub(super) fn entry(&self, slug: &str, name: &str) -> Option<&'a Entry> {
        self.named.get(&(slug, name)).copied()
    }

    /// The readings of a movement in order of time, those of builds without a page included.
    pub(super) fn timed(&self, id: &str) -> &[MovementReading<'a>] {
        let (journal, ledger) = (self.journal, self.ledger);
        self.timed.get_or_init(|| readings(journal, ledger)).get(id).map_or(&[], Vec::as_slice)
    }

    /// A link to an entry from a page.
    pub(super) fn entry_link(&self, page: &str, slug: &str, name: &str) -> Option<Link> {
        let entry = self.entry(slug, name)?;
        let path = self.addresses.entries.get(&(slug.to_owned(), name.to_owned()))?;
        Some(Link { text: words::entry_title(entry), href: way(page, path) })
    }

    /// A link to a part from a page; its words alone where it has no page.
    pub(super) fn part_link(&self, page: &str, id: &str) -> Link {
        let href = self.addresses.parts.get(id).map(|path| way(page, path)).unwrap_or_default();
        Link { text: self.part_name(id), href }
    }

    /// What a part is called.
    pub(super) fn part_name(&self, id: &str) -> String {
        let unit = self.ledger.units.get(id);
        unit.map(|unit| unit.name.clone()).filter(|name| !name.is_empty()).unwrap_or_else(|| id.to_owned())
    }

    /// A part's sizes just before an entry.
    pub(super) fn before(&self, id: &str, entry: &Entry) -> Option<Spec> {
        let unit = self.ledger.units.get(id)?;
        let mut spec = unit.came.clone();
        for change in unit.changes.iter().take_while(|change| change.when.span.file != entry.file) {
            spec.merge(&change.sizes);
        }
        Some(spec)
    }

    /// Whether a build has no page here: then it is not named.
    fn is_withheld(&self, slug: &str) -> bool {
        !self.shown.contains_key(slug)
    }

    /// Prices and sums may be shown.
    pub(super) fn shows_prices(&self) -> bool {
        self.journal.settings.show.prices || self.scope.private
    }

    /// Serial numbers may be shown.
    pub(super) fn shows_serials(&self) -> bool {
        self.journal.settings.show.serials || self.scope.private
    }

    /// A sum in the journal's currency.
    pub(super) fn money(&self, sum: f64) -> String {
        let figure = format!("{sum:.2}");
        match &self.journal.settings.currency {
            Some(currency) => format!("{figure} {currency}"),
            None => figure,
        }
    }

    /// The alt text that an entry gives a photo of the build.
    pub(super) fn alt(&self, build: &Build, file: &str) -> String {
        let listed =
            build.entries.iter().flat_map(|entry| &entry.photos).find(|photo| photo.file.value == file);
        listed.and_then(|photo| photo.alt.clone()).unwrap_or_default()
    }

    /// The stays of a part in published builds.
    pub(super) fn stays<'u>(&'u self, unit: &'u Unit) -> impl Iterator<Item = &'u Stay> {
        unit.stays.iter().filter(|stay| self.addresses.builds.contains_key(&stay.build))
    }

    /// Where a part is now, in words, and the build that it is in where that one is published.
    pub(super) fn whereabouts(&self, page: &str, unit: &Unit) -> Whereabouts {
        let now = |stay: &&Stay| stay.to.is_none() && !stay.planned;
        if let Some(stay) = self.stays(unit).find(now) {
            let build = self.build_link(page, &stay.build).unwrap_or_default();
            return Whereabouts { state: "fitted", now: "in".to_owned(), build, since: stay.from };
        }
        let none = Link::default();
        if unit.stays.iter().any(|stay| now(&stay)) {
            // In a build that is not published: that it is not free is all that is said.
            return Whereabouts { state: "fitted", now: "in use".to_owned(), build: none, since: None };
        }
        if unit.left() <= 0 {
            let how = unit.gone.last().map_or("gone", |gone| gone.how.as_str());
            return Whereabouts { state: "gone", now: how.to_owned(), build: none, since: None };
        }
        let left = unit.left();
        let now = if unit.count.is_some() { format!("{left} free") } else { "free".to_owned() };
        Whereabouts { state: "free", now, build: none, since: None }
    }

    /// The ids of parts that get a page: those of the bin and of its lots, and in a site of one build
    /// those that are or were in it.
    pub(super) fn parts_with_pages(journal: &Journal, ledger: &Ledger, scope: Scope<'_>) -> BTreeSet<String> {
        let shown: BTreeMap<&str, bool> = journal
            .builds
            .iter()
            .map(|build| (build.slug.as_str(), !build.hidden || scope.private))
            .collect();
        let is_shown = |slug: &str| shown.get(slug).copied().unwrap_or(false);
        ledger
            .units
            .values()
            .filter(|unit| !unit.id.contains('/'))
            .filter(|unit| match scope.only {
                Some(only) => unit.stays.iter().any(|stay| stay.build == only),
                // Without a bin a part is shown for the build that it is or was in.
                None => {
                    journal.settings.show.bin
                        || scope.private
                        || unit.stays.iter().any(|stay| is_shown(&stay.build))
                }
            })
            .map(|unit| unit.id.clone())
            .collect()
    }
}

/// For everybody who reads the site: of a hidden build that has no page, nothing is named.
impl Names for Source<'_> {
    fn part(&self, id: &str) -> String {
        match id.split_once('/') {
            Some((slug, _)) if self.is_withheld(slug) => "a part of a build that is not shown".to_owned(),
            _ => id.to_owned(),
        }
    }

    fn build(&self, slug: &str) -> String {
        match self.is_withheld(slug) {
            true => "a build that is not shown".to_owned(),
            false => Names::build(self.journal, slug),
        }
    }
}

/// Where a part is.
pub(super) struct Whereabouts {
    /// free, fitted or gone.
    pub(super) state: &'static str,
    /// In words, without the build's name.
    pub(super) now: String,
    /// The build that it is in.
    pub(super) build: Link,
    /// Since when it is there.
    pub(super) since: Option<DateTime>,
}

impl Whereabouts {
    /// In one phrase: "in Lantern since 24 January 2026".
    pub(super) fn phrase(&self) -> String {
        let mut out = self.now.clone();
        if !self.build.text.is_empty() {
            out.push(' ');
            out.push_str(&self.build.text);
        }
        if let Some(since) = self.since {
            out.push_str(&format!(" since {}", words::day(since.date())));
        }
        out
    }
}
