//! The work list: what to measure next.

use std::collections::BTreeMap;

use crate::fit::assembly::parted;
use crate::fit::inspect::{Report, range_words};
use crate::fit::verdict::Verdict;
use crate::journal::entry::TIMING;
use crate::journal::fields::{Field, FieldShape};
use crate::journal::{Build, BuildState, Kind};
use crate::ledger::Ledger;
use crate::text::Place;

use super::{Books, Item, rank};

/// One measurement that findings wait for.
#[derive(Clone, Debug)]
pub struct ToMeasure {
    /// The part to be measured; `None` for what is of the whole watch, such as a pressure test.
    pub part: Option<Item>,
    /// The field's path, or what is to be done.
    pub name: String,
    /// What it is and where it is measured; empty for what is no field.
    pub doc: String,
    /// The unit that it is kept in; empty for none.
    pub unit: &'static str,
    /// How many findings it alone would settle.
    pub settles: usize,
    /// How many findings ask for it, those that lack more besides included.
    pub asked: usize,
    /// Where its nominal value must lie for every finding that tells a range; `None` where none does
    /// or no value would do for all.
    pub range: Option<(Option<f64>, Option<f64>)>,
    /// The findings.
    pub findings: Vec<AwaitingFinding>,
    /// Where the part, or the build, is written.
    pub place: Place,
}

impl ToMeasure {
    /// With what the table says of its field.
    fn described(self, field: Option<&Field>) -> ToMeasure {
        let Some(field) = field else { return self };
        let unit = match field.shape {
            FieldShape::Size(quantity) => quantity.unit(),
            _ => "",
        };
        ToMeasure { doc: field.doc.to_owned(), unit, ..self }
    }

    /// Where its value must lie, in words: "between 2.28 and 2.52 mm".
    pub fn must_be(&self) -> Option<String> {
        let (low, high) = self.range?;
        Some(format!("{} {}", range_words(low, high), self.unit).trim_end().to_owned())
    }
}

/// A finding that waits for a measurement.
#[derive(Clone, PartialEq, Debug)]
pub struct AwaitingFinding {
    /// The build's slug.
    pub build: String,
    /// What the build is called.
    pub title: String,
    /// The check's id.
    pub check: &'static str,
    /// What tells its findings apart.
    pub about: String,
    /// Nothing else is missing.
    pub alone: bool,
    /// The range that would make it clear, where one was worked out.
    pub range: Option<(Option<f64>, Option<f64>)>,
}

/// A watch that was taken apart waits for nothing.
pub(super) fn to_measure<'r>(
    books: &Books<'_>,
    reports: impl IntoIterator<Item = &'r Report>,
) -> Vec<ToMeasure> {
    let mut rows: BTreeMap<(String, String), ToMeasure> = BTreeMap::new();
    for report in reports {
        let Some(build) = books.journal.build(&report.slug) else { continue };
        if build.state == BuildState::TakenApart {
            continue;
        }
        for finding in report.findings.iter().filter(|one| one.verdict == Some(Verdict::Unmeasured)) {
            let mut names: Vec<&str> = finding.missing.iter().map(|wanted| wanted.name.as_str()).collect();
            names.sort_unstable();
            names.dedup();
            for name in &names {
                let Some((key, row)) = row(books, build, name) else { continue };
                let missing = finding.missing.iter().find(|wanted| wanted.name == *name);
                let asking = AwaitingFinding {
                    build: build.slug.clone(),
                    title: build.title.clone(),
                    check: finding.check.id,
                    about: finding.about.clone(),
                    alone: names.len() == 1,
                    range: missing.and_then(|missing| missing.range),
                };
                rows.entry(key).or_insert(row).findings.push(asking);
            }
        }
    }
    let mut out: Vec<ToMeasure> = rows.into_values().map(counted).collect();
    let order =
        |row: &ToMeasure| row.part.as_ref().and_then(|part| Kind::of(part.kind)).map_or(usize::MAX, rank);
    // The map's order, by part and field, stays among equals.
    out.sort_by_key(|row| (std::cmp::Reverse((row.settles, row.asked)), order(row)));
    out
}

type GroupKey = (String, String);

/// The row of a dimension's name, `case.shelf`, still without its findings; `None` where the audit
/// is kept to other kinds.
fn row(books: &Books<'_>, build: &Build, name: &str) -> Option<(GroupKey, ToMeasure)> {
    let blank = |part, name: &str, place| ToMeasure {
        part,
        name: name.to_owned(),
        doc: String::new(),
        unit: "",
        settles: 0,
        asked: 0,
        range: None,
        findings: Vec::new(),
        place,
    };
    let found = parted(name).and_then(|(slot, path)| Some((Ledger::occupant(build, slot)?, path)));
    let Some((id, path)) = found else {
        let place = Place::file(books.journal.files.path(build.file));
        let row = blank(None, name, place).described(of_no_part(name));
        let key = (format!("builds/{}", build.slug), name.to_owned());
        return books.scope.kinds.is_empty().then_some((key, row));
    };
    // A part that is written in a plan is there too: its seller can be asked.
    let unit = books.ledger.units.get(&id).filter(|unit| books.scope.has(unit.kind))?;
    let row = blank(Some(books.item(unit)), path, books.place(unit.span)).described(unit.kind.field(path));
    Some(((id, path.to_owned()), row))
}

/// The field of what no part of the build has: of a slot that is open, or of the timing machine.
fn of_no_part(name: &str) -> Option<&'static Field> {
    if let Some(figure) = name.strip_prefix("timing.") {
        return TIMING.iter().find(|field| figure.ends_with(field.name));
    }
    let (slot, path) = parted(name)?;
    Kind::of(slot.kind())?.field(path)
}

fn counted(mut row: ToMeasure) -> ToMeasure {
    row.asked = row.findings.len();
    row.settles = row.findings.iter().filter(|asking| asking.alone).count();
    let mut ranges = row.findings.iter().filter_map(|asking| asking.range);
    if let Some(first) = ranges.next() {
        let both = ranges.fold(first, |(low, high), (more, less)| {
            let low = match (low, more) {
                (Some(low), Some(more)) => Some(low.max(more)),
                (low, more) => low.or(more),
            };
            let high = match (high, less) {
                (Some(high), Some(less)) => Some(high.min(less)),
                (high, less) => high.or(less),
            };
            (low, high)
        });
        let empty = matches!(both, (Some(low), Some(high)) if high < low);
        row.range = Some(both).filter(|both| !empty && *both != (None, None));
    }
    row
}
