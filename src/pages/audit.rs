//! The audit as a page: what `audit` prints, with links, and without what the site withholds.

use crate::audit::{AlterationRow, Audit, AuditScope, Free, Item, Reused, Spell, SpentOn, ToMeasure};
use crate::fit::inspect::Report;

use super::addresses::way;
use super::context::{AuditPage, AuditSection, Link};
use super::source::Source;
use super::words;

/// The audit at `page`; what is to be measured is taken from `reports`.
pub(super) fn page(source: &Source<'_>, reports: &[&Report], page: &str) -> AuditPage {
    let audit = Audit::of(source.journal, source.ledger, reports.iter().copied(), &AuditScope::default());
    let teller = Teller { source, page };
    let mut sections = vec![
        teller.booked_twice(&audit),
        teller.to_measure(&audit),
        teller.free(
            "Left over",
            "Free parts whose last watch was taken apart.",
            "Nothing.",
            &audit.left_over,
        ),
        teller.free(
            "Never used",
            "Parts that were in no watch yet.",
            "Every part was in a watch.",
            &audit.never_used,
        ),
        teller.reused(&audit),
        teller.altered(&audit),
        teller.donors(&audit),
        teller.gone(&audit),
        teller.hours(&audit),
    ];
    if source.shows_prices() {
        sections.push(teller.spent("Spent by build", "build", &audit.spent.by_build));
        sections.push(teller.spent("Spent by year", "year", &audit.spent.by_year));
    }
    AuditPage { sections }
}

/// What stands in a cell: words and links, one after the other.
type Cell = Vec<Link>;

struct Teller<'t, 'a> {
    source: &'t Source<'a>,
    page: &'t str,
}

fn said(text: impl Into<String>) -> Cell {
    vec![Link { text: text.into(), href: String::new() }]
}

fn section(title: &str, about: &str, none: &str, columns: &[&str], rows: Vec<Vec<Cell>>) -> AuditSection {
    AuditSection {
        title: title.to_owned(),
        about: if rows.is_empty() { none } else { about }.to_owned(),
        columns: columns.iter().map(|column| (*column).to_owned()).collect(),
        rows,
    }
}

impl Teller<'_, '_> {
    /// A part; `None` for one that was written in a build which is not shown.
    fn part(&self, item: &Item) -> Option<Cell> {
        let shown = item.id.split_once('/').is_none_or(|(slug, _)| self.shows(slug));
        shown.then(|| vec![self.source.part_link(self.page, &item.id)])
    }

    fn shows(&self, slug: &str) -> bool {
        self.source.addresses.builds.contains_key(slug)
    }

    /// The builds of some stays, those that are not shown left out.
    fn stays<'s>(&self, spells: impl IntoIterator<Item = &'s Spell>) -> Cell {
        let link = |spell: &Spell| {
            let mut link = self.build(&spell.build, &spell.title)?;
            link.text = match (spell.planned, spell.from, spell.to) {
                (true, ..) => format!("planned for {}", spell.title),
                (_, Some(from), None) => format!("{} since {}", spell.title, words::day(from)),
                (_, _, Some(to)) => format!("{} until {}", spell.title, words::day(to)),
                _ => spell.title.clone(),
            };
            Some(link)
        };
        spells.into_iter().filter_map(link).collect()
    }

    fn build(&self, slug: &str, title: &str) -> Option<Link> {
        let path = self.source.addresses.builds.get(slug)?;
        Some(Link { text: title.to_owned(), href: way(self.page, path) })
    }

    fn booked_twice(&self, audit: &Audit) -> AuditSection {
        let rows = audit.booked_twice.iter().filter_map(|row| {
            let stays = self.stays([&row.late, &row.early]);
            Some(vec![self.part(&row.part)?, stays]).filter(|row| row[1].len() == 2)
        });
        let about = "Parts that two watches have, or count on, at one time.";
        let none = "No part is in two watches at one time.";
        section("Booked twice", about, none, &["part", "watches"], rows.collect())
    }

    fn to_measure(&self, audit: &Audit) -> AuditSection {
        let row = |row: &ToMeasure| {
            let part = match &row.part {
                Some(part) => self.part(part)?,
                None => self
                    .build(&row.findings.first()?.build, &row.findings.first()?.title)
                    .into_iter()
                    .collect(),
            };
            let range = row.must_be().unwrap_or_default();
            let settles = match (row.settles, row.asked) {
                (settles, asked) if settles == asked => settles.to_string(),
                (settles, asked) => format!("{settles} of {asked}"),
            };
            Some(vec![part, said(row.name.replace('_', " ")), said(range), said(settles)])
        };
        let rows = audit.to_measure.iter().filter_map(row).collect();
        let about = "What settles the most findings comes first.";
        let none = "Every check has what it needs.";
        section("To be measured", about, none, &["of", "dimension", "must be", "findings it settles"], rows)
    }

    fn free(&self, title: &str, about: &str, none: &str, rows: &[Free]) -> AuditSection {
        let row = |row: &Free| {
            let count = row.count.map(|count| format!("{count} of them")).unwrap_or_default();
            let kind = words::label(row.part.kind);
            Some(vec![
                self.part(&row.part)?,
                said(kind),
                self.stays(&row.last),
                said(count),
                self.stays(&row.planned),
            ])
        };
        let rows = rows.iter().filter_map(row).collect();
        section(title, about, none, &["part", "kind", "was in", "how many", "planned"], rows)
    }

    fn reused(&self, audit: &Audit) -> AuditSection {
        let row = |row: &Reused| {
            let chain = self.stays(&row.chain);
            Some(vec![self.part(&row.part)?, chain, work(&row.alterations)]).filter(|row| row[1].len() > 1)
        };
        let rows = audit.reused.iter().filter_map(row).collect();
        let about = "Parts that went from one watch into another, with what was done to them.";
        section(
            "Reused",
            about,
            "No part went from one watch into another.",
            &["part", "watches", "altered"],
            rows,
        )
    }

    fn altered(&self, audit: &Audit) -> AuditSection {
        let rows =
            audit.altered.iter().filter_map(|row| Some(vec![self.part(&row.part)?, work(&row.alterations)]));
        let none = "Every part could be as it came.";
        section(
            "Altered beyond return",
            "Parts that cannot be as they came again.",
            none,
            &["part", "how"],
            rows.collect(),
        )
    }

    fn donors(&self, audit: &Audit) -> AuditSection {
        let rows = audit.donors.iter().filter_map(|row| {
            let gave = row.gave.iter().filter_map(|given| self.part(&given.part)).flatten().collect();
            let left = if row.gone.is_empty() { row.left.join(", ") } else { row.gone.clone() };
            Some(vec![self.part(&row.part)?, gave, said(left)])
        });
        section(
            "Donors",
            "What they gave, and what is left on them.",
            "None.",
            &["donor", "gave", "left on it"],
            rows.collect(),
        )
    }

    fn gone(&self, audit: &Audit) -> AuditSection {
        let rows = audit.gone.iter().filter_map(|row| {
            let number = if row.count > 1 { format!("{} of them, ", row.count) } else { String::new() };
            Some(vec![self.part(&row.part)?, said(format!("{number}{}", row.how)), said(words::day(row.on))])
        });
        let about = "Parts that were sold, lost, broken, given or used up.";
        section("Gone", about, "Nothing has left.", &["part", "how", "when"], rows.collect())
    }

    fn hours(&self, audit: &Audit) -> AuditSection {
        let rows = audit.hours.iter().filter_map(|row| {
            let link = self.build(&row.build, &row.title)?;
            Some(vec![vec![link], said(words::duration(row.minutes)), said(row.entries.to_string())])
        });
        let none = "No entry says how long it took.";
        section(
            "Time at the bench",
            "As far as the log says.",
            none,
            &["watch", "time", "entries"],
            rows.collect(),
        )
    }

    fn spent(&self, title: &str, column: &str, rows: &[SpentOn]) -> AuditSection {
        let row = |row: &SpentOn| {
            let what = match self.build(&row.key, &row.title) {
                Some(link) => vec![link],
                None if column == "year" || row.key.is_empty() => said(&row.title),
                None => return None,
            };
            Some(vec![what, said(self.source.money(row.parts)), said(self.source.money(row.bench))])
        };
        let about = "Prices of parts, each where it was fitted first, and what was spent at the bench.";
        let columns = [column, "parts", "at the bench"];
        section(title, about, "No price is written.", &columns, rows.iter().filter_map(row).collect())
    }
}

/// "turned down on 3 May 2025 (diameter 28.50 to 27.10 mm)".
fn work(alterations: &[AlterationRow]) -> Cell {
    let one = |alteration: &AlterationRow| {
        let (what, sizes) = (&alteration.what, alteration.sizes());
        format!("{what} on {} {sizes}", words::day(alteration.on)).trim_end().to_owned()
    };
    alterations.iter().flat_map(|alteration| said(one(alteration))).collect()
}
