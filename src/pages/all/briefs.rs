//! What the pages over many builds show of each of them, in digests.
//!
//! A build that rests on what it rested on before is neither checked nor drawn for the sake of these
//! pages; one that does not is told as the pages would tell it, and only that is compared.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Mutex, PoisonError};

use rayon::prelude::*;
use serde::Serialize;

use crate::audit;
use crate::draw::Outline;
use crate::fit::finding::Finding;
use crate::fit::inspect::Report;
use crate::journal::Build;
use crate::pages::checked::Checked;
use crate::pages::context::{CheckFinding, GalleryRow};
use crate::pages::digest::{self, Digest};
use crate::pages::kept::Brief;
use crate::pages::{checks, gallery};

use super::maker::Maker;

/// The briefs of all builds that have a page, by slug.
pub(super) struct Briefs<'a> {
    each: BTreeMap<&'a str, Brief>,
    /// What was put together for them, until the gallery takes it.
    rows: Mutex<BTreeMap<&'a str, Row>>,
}

/// A build in the gallery and in its line-up.
pub(super) type Row = (GalleryRow, Option<Outline>);

/// What the page of one check shows of one build.
#[derive(Serialize)]
struct Lines<'a> {
    lines: Vec<CheckFinding>,
    /// The dimensions that the check asked for.
    names: BTreeSet<&'a str>,
}

impl<'a> Maker<'a> {
    /// The briefs of all builds; `digests` are those of [`Maker::digests`].
    pub(super) fn briefs(&self, digests: &[Option<Digest>]) -> Briefs<'a> {
        let each = self.builds.par_iter().zip(digests).map(|(build, digest)| {
            let kept = digest.as_ref().and_then(|digest| self.input.kept.brief(&build.slug, digest));
            let (brief, row) = match kept {
                Some(brief) => (brief.clone(), None),
                None => {
                    let row = self.row(build);
                    let digest = digest.clone().unwrap_or_default();
                    (self.brief(build, &row, digest), Some((build.slug.as_str(), row)))
                }
            };
            ((build.slug.as_str(), brief), row)
        });
        let (each, rows): (Vec<_>, Vec<_>) = each.unzip();
        Briefs { each: each.into_iter().collect(), rows: Mutex::new(rows.into_iter().flatten().collect()) }
    }

    fn row(&self, build: &Build) -> Row {
        let checked = Checked::brief(self.source, build, self.input.reports.of(&build.slug));
        (gallery::row(self.source, build, &checked, &self.source.addresses.home), checked.outline)
    }

    fn brief(&self, build: &Build, (row, outline): &Row, digest: Digest) -> Brief {
        let report = self.input.reports.of(&build.slug);
        let wanted = report.map(|report| audit::wanted(self.source.journal, self.source.ledger, report));
        Brief {
            digest,
            row: digest::digest(&format!("{} {outline:?}", digest::of_shown(row))),
            wanted: digest::digest(&format!("{wanted:?}")),
            checks: report.map(|report| self.lines(report)).unwrap_or_default(),
        }
    }

    fn lines(&self, report: &Report) -> BTreeMap<String, Digest> {
        let mut checks: BTreeMap<&str, Vec<&Finding>> = BTreeMap::new();
        for finding in &report.findings {
            checks.entry(finding.check.id).or_default().push(finding);
        }
        let digests = checks.into_iter().filter_map(|(id, findings)| {
            let page = self.source.addresses.checks.get(id)?;
            let line = |finding: &&Finding| checks::line(self.source, page, &report.slug, finding);
            let lines = Lines {
                lines: findings.iter().filter_map(line).collect(),
                names: findings.iter().flat_map(|finding| finding.names()).collect(),
            };
            Some((id.to_owned(), digest::of_shown(&lines)))
        });
        digests.collect()
    }
}

impl Briefs<'_> {
    /// What they say by `part` as one digest.
    pub(super) fn all<'b>(&'b self, part: impl Fn(&'b Brief) -> Option<&'b Digest>) -> Digest {
        let mut text = String::new();
        for (slug, brief) in &self.each {
            if let Some(part) = part(brief) {
                text.push_str(&format!("{slug} {part}\n"));
            }
        }
        digest::digest(&text)
    }

    /// The rows of the gallery in its order: those that are not there yet are put together.
    pub(super) fn rows(&self, maker: &Maker<'_>) -> Vec<Row> {
        let mut rows = std::mem::take(&mut *self.rows.lock().unwrap_or_else(PoisonError::into_inner));
        let rows: Vec<(&Build, Option<Row>)> =
            maker.builds.iter().map(|build| (*build, rows.remove(build.slug.as_str()))).collect();
        rows.into_par_iter().map(|(build, row)| row.unwrap_or_else(|| maker.row(build))).collect()
    }

    /// Those that hold until what their builds rest on changes, by slug.
    pub(super) fn kept(self) -> impl Iterator<Item = (String, Brief)> {
        let known = self.each.into_iter().filter(|(_, brief)| !brief.digest.is_empty());
        known.map(|(slug, brief)| (slug.to_owned(), brief))
    }
}
