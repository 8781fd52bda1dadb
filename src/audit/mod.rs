//! The audit: where each part is and was, what it cost, what is still to be measured.
//!
//! Everything here is data with places; `report` tells it in a terminal and as JSON, `pages` on the
//! site. Rows stand in the order of the bin: by kind, then by name, then by id.

mod money;
mod parts;
mod to_measure;

use std::collections::BTreeSet;

use jiff::civil::Date;

use crate::fit::inspect::Report;
use crate::journal::fields::KINDS;
use crate::journal::{Build, Content, Entry, Journal, Kind};
use crate::ledger::{Ledger, Stay, Unit, end_of};
use crate::measure::{Quantity, clock, figure};
use crate::text::{Place, Span};

pub use money::{Hours, Spent, SpentOn};
pub use parts::{AlterationRow, Booked, Departed, Donor, Free, Given, InUse, Reused, SizeChange, Worked};
pub use to_measure::{AwaitingFinding, ToMeasure};

/// What one build asks to be measured: what [`Audit::to_measure`] takes from its findings.
pub fn wanted(journal: &Journal, ledger: &Ledger, report: &Report) -> Vec<ToMeasure> {
    let books = Books { journal, ledger, scope: &AuditScope::default(), units: Vec::new() };
    to_measure::to_measure(&books, [report])
}

/// The audit of a journal.
#[derive(Clone, Debug)]
pub struct Audit {
    /// The last day that the journal speaks of, or the day that was asked about: "now".
    pub today: Date,
    /// It tells how things stood on a day that was asked about; what is to be measured is not told.
    pub then: bool,
    /// The currency of every sum, where the journal names one.
    pub currency: Option<String>,
    /// The kinds that it is kept to; empty: all.
    pub kinds: Vec<&'static str>,
    /// Parts in builds that stand.
    pub in_use: Vec<InUse>,
    /// Parts that are there and in no build that stands; a plan may count on them.
    pub free: Vec<Free>,
    /// Parts that two builds have or count on at one time.
    pub booked_twice: Vec<Booked>,
    /// Parts that went from one build into another.
    pub reused: Vec<Reused>,
    /// Parts that were altered and cannot be as they came again.
    pub altered: Vec<Worked>,
    /// Free parts whose last build was taken apart.
    pub left_over: Vec<Free>,
    /// Free parts that were never in a build; donors are told apart.
    pub never_used: Vec<Free>,
    /// Parts that left.
    pub gone: Vec<Departed>,
    /// What to measure next, what settles most findings first.
    pub to_measure: Vec<ToMeasure>,
    /// Money.
    pub spent: Spent,
    /// Time at the bench, by build; empty where the audit is kept to some kinds.
    pub hours: Vec<Hours>,
    /// What donors gave, and what is left on them.
    pub donors: Vec<Donor>,
}

/// What an audit is kept to.
#[derive(Clone, Debug, Default)]
pub struct AuditScope {
    /// Kinds by name; empty: all.
    pub kinds: BTreeSet<String>,
    /// As it was at the end of this day; `None`: as it is.
    pub on: Option<Date>,
}

impl AuditScope {
    fn has(&self, kind: &Kind) -> bool {
        self.kinds.is_empty() || self.kinds.contains(kind.name)
    }
}

/// A part in a row.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Item {
    /// Its id; `slug/slot` for one written in a build.
    pub id: String,
    /// What it is called.
    pub name: String,
    /// Its kind.
    pub kind: &'static str,
    /// Where it is written.
    pub place: Place,
}

/// A part in a build, from a day to a day.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Spell {
    /// The build's slug.
    pub build: String,
    /// What the build is called.
    pub title: String,
    /// The slot's name.
    pub slot: &'static str,
    /// Since when; `None`: not known.
    pub from: Option<Date>,
    /// Until when; `None`: still.
    pub to: Option<Date>,
    /// Only planned.
    pub planned: bool,
    /// Where it is written.
    pub place: Place,
}

impl Audit {
    /// Audits a journal; `reports` are the findings of its builds, as far as they were worked out.
    pub fn of<'r>(
        journal: &Journal,
        ledger: &Ledger,
        reports: impl IntoIterator<Item = &'r Report>,
        scope: &AuditScope,
    ) -> Audit {
        let whole = scope.kinds.is_empty();
        let then = scope.on.map(|day| ledger.as_of(end_of(day)));
        let ledger = then.as_ref().unwrap_or(ledger);
        let kinds = KINDS.iter().map(|kind| kind.name).filter(|kind| scope.kinds.contains(*kind)).collect();
        let books = Books { journal, ledger, scope, units: units(ledger, scope) };
        Audit {
            today: scope.on.unwrap_or_else(|| ledger.last_day(journal)),
            then: scope.on.is_some(),
            currency: journal.settings.currency.clone(),
            kinds,
            in_use: parts::in_use(&books),
            free: parts::free(&books, |_| true),
            booked_twice: parts::booked_twice(&books),
            reused: parts::reused(&books),
            altered: parts::altered(&books),
            left_over: parts::left_over(&books),
            never_used: parts::free(&books, |unit| {
                unit.kind.name != "watch" && unit.stays.iter().all(|stay| stay.planned)
            }),
            gone: parts::gone(&books),
            to_measure: match scope.on {
                None => to_measure::to_measure(&books, reports),
                Some(_) => Vec::new(),
            },
            spent: money::spent(&books, whole),
            hours: if whole { money::hours(&books) } else { Vec::new() },
            donors: parts::donors(&books),
        }
    }
}

/// What the sections are made from.
struct Books<'a> {
    journal: &'a Journal,
    ledger: &'a Ledger,
    scope: &'a AuditScope,
    /// The units looked at, in the order of the bin.
    units: Vec<&'a Unit>,
}

/// Parts written in a plan are not there yet, and stand in no row.
fn is_there(unit: &Unit) -> bool {
    !unit.id.contains('/') || unit.stays.iter().any(|stay| !stay.planned)
}

fn units<'a>(ledger: &'a Ledger, scope: &AuditScope) -> Vec<&'a Unit> {
    let mut units: Vec<&Unit> =
        ledger.units.values().filter(|unit| is_there(unit) && scope.has(unit.kind)).collect();
    units.sort_by_key(|unit| (rank(unit.kind), &unit.name, &unit.id));
    units
}

fn rank(kind: &Kind) -> usize {
    KINDS.iter().position(|known| known.name == kind.name).unwrap_or(usize::MAX)
}

impl Books<'_> {
    /// The entries of a build, up to the day that was asked about.
    fn entries<'b>(&self, build: &'b Build) -> impl Iterator<Item = &'b Entry> {
        let on = self.scope.on;
        build.entries.iter().filter(move |entry| on.is_none_or(|on| entry.date.value <= on))
    }

    /// Whether a unit is one of those looked at.
    fn has(&self, unit: &Unit) -> bool {
        is_there(unit) && self.scope.has(unit.kind)
    }

    fn place(&self, span: Span) -> Place {
        self.journal.files.place(span)
    }

    fn title(&self, slug: &str) -> String {
        self.journal.build(slug).map_or_else(|| slug.to_owned(), |build| build.title.clone())
    }

    fn item(&self, unit: &Unit) -> Item {
        Item {
            id: unit.id.clone(),
            name: unit.name.clone(),
            kind: unit.kind.name,
            place: self.place(unit.span),
        }
    }

    fn spell(&self, stay: &Stay) -> Spell {
        Spell {
            build: stay.build.clone(),
            title: self.title(&stay.build),
            slot: stay.slot.name(),
            from: stay.from.map(jiff::civil::DateTime::date),
            to: stay.to.map(jiff::civil::DateTime::date),
            planned: stay.planned,
            place: self.place(stay.span),
        }
    }
}

/// A field's content in a word or a figure: "27.10", "5h25", "none" for an empty list. A length is
/// told without its unit.
pub fn words(content: &Content) -> String {
    match content {
        Content::Size(size) => match size.quantity {
            Quantity::Clock => {
                clock::print(size.value).unwrap_or_else(|| format!("{} deg", figure(size.value)))
            }
            quantity if quantity.is_length() => size.figure(),
            quantity => {
                format!("{} {}", crate::measure::round(size.value), quantity.unit()).trim_end().to_owned()
            }
        },
        Content::Text(text) => text.clone(),
        Content::Flag(true) => "yes".to_owned(),
        Content::Flag(false) => "no".to_owned(),
        Content::Date(date) => date.to_string(),
        Content::Items(items) if items.is_empty() => "none".to_owned(),
        Content::Items(items) => items.len().to_string(),
        Content::Texts(texts) if texts.is_empty() => "none".to_owned(),
        Content::Texts(texts) => texts.iter().map(|text| text.value.as_str()).collect::<Vec<_>>().join(", "),
        Content::Raw(_) => String::new(),
    }
}
