//! Where every part has been and what was done to it, replayed from the entries by date.
//!
//! build.md's parts are the latest state. A slot that no entry mentions counts as filled from the
//! day the build was begun to the day it ended; entries refine that. Within a day the order is the
//! entry's time, then had, removed, measured, altered, fitted, left, then the entry's path.
//!
//! `contradictions` tells where the log contradicts itself, each time with both places.

pub mod booking;
pub mod contradictions;

mod events;
mod excerpt;
mod history;
mod movement_readings;
mod replay;

use std::collections::BTreeMap;

use jiff::civil::{Date, DateTime};
use serde::Serialize;

use crate::journal::{Journal, Kind, Slot, Spec};
use crate::problem::Problem;
use crate::text::{Located, Span};

pub use history::{ChangeRecord, FieldChange};
pub use movement_readings::{MovementReading, readings};

/// What is known of every part through time.
#[derive(Clone, Debug, Default)]
pub struct Ledger {
    /// Every part by id: those of the bin, those split off a lot, and those written in a build,
    /// which are called `slug/slot`.
    pub units: BTreeMap<String, Unit>,
    /// What could not be replayed as it is written; [`contradictions::of`] tells the rest.
    pub problems: Vec<Problem>,
    /// The part that each measurement and alteration is of, by where it is named.
    subjects: BTreeMap<Span, String>,
}

/// One part, or one lot, through time.
#[derive(Clone, Debug, Serialize)]
pub struct Unit {
    /// Its id.
    pub id: String,
    /// What it is called.
    pub name: String,
    /// What it is.
    pub kind: &'static Kind,
    /// Its fields as written when it came.
    pub came: Spec,
    /// Where it is written.
    pub span: Span,
    /// The day it came; `None` where nothing says so, and it is taken to have been there always.
    pub had: Option<When>,
    /// The lot it was split off, if it was.
    pub split_from: Option<String>,
    /// When that was; `None` for what was never one of a lot.
    pub split: Option<When>,
    /// How many there were, for a lot.
    pub count: Option<u32>,
    /// What was measured and altered, by date.
    pub changes: Vec<Change>,
    /// Where it was fitted, by date.
    pub stays: Vec<Stay>,
    /// How and when it left.
    pub gone: Vec<Departure>,
    /// The places of the stays, by build and slot: a lot may have thousands.
    #[serde(skip)]
    by_build: Vec<usize>,
    /// At some moment more pieces are fitted or planned than there ever were.
    #[serde(skip)]
    overbooked: bool,
}

/// A moment in the log and the place that says so.
#[derive(Clone, Copy, PartialEq, Debug, Serialize)]
pub struct When {
    /// The day, with the time where the order within it matters.
    pub at: DateTime,
    /// Where it is written.
    pub span: Span,
}

/// A part was measured or altered.
#[derive(Clone, Debug, Serialize)]
pub struct Change {
    /// When and where.
    pub when: When,
    /// In which build's log.
    pub build: String,
    /// The entry's name.
    pub entry: String,
    /// The sizes since.
    pub sizes: Spec,
    /// How it was altered; `None` where it was only measured.
    pub altered: Option<Altered>,
}

/// How a part was altered.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Altered {
    /// In the words of the table.
    pub how: String,
    /// With what.
    pub by: Option<String>,
}

impl Altered {
    /// "turned down"; what the log calls other is told as "altered".
    pub fn words(&self) -> &str {
        if self.how == "other" { "altered" } else { &self.how }
    }
}

/// A part in a slot of a build, from a day to a day.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Stay {
    /// The build's slug.
    pub build: String,
    /// The slot.
    pub slot: Slot,
    /// Since when; `None`: since ever.
    pub from: Option<DateTime>,
    /// Until when; `None`: still.
    pub to: Option<DateTime>,
    /// Where it is written.
    pub span: Span,
    /// Only planned: it keeps nobody else from using the part.
    pub planned: bool,
}

/// A part, or some of a lot, left.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Departure {
    /// When and where.
    pub when: When,
    /// sold, lost, broken, given, used up; or `split` for one of a lot that became a part.
    pub how: String,
    /// How many.
    pub count: u32,
}

impl Ledger {
    /// Replays a journal.
    pub fn of(journal: &Journal) -> Ledger {
        replay::replay(journal, journal.builds.iter().collect(), None)
    }

    /// The part that a measurement or an alteration is of, by where the log names it: for a slot, what
    /// sat in it then; for one of a lot, the part that it became.
    pub fn subject(&self, named: Span) -> Option<&Unit> {
        self.units.get(self.subjects.get(&named)?)
    }

    /// The ledger as it was at a moment: without what came, was done, was fitted or left after it.
    /// Which builds are planned is said for today alone, and stays as it is.
    #[must_use]
    pub fn as_of(&self, at: DateTime) -> Ledger {
        let there = self.units.values().filter(|unit| unit.came_on().is_none_or(|came| came.at <= at));
        let units = there.map(|unit| (unit.id.clone(), unit.as_of(at))).collect();
        Ledger { units, problems: Vec::new(), subjects: self.subjects.clone() }
    }

    /// The last day that the journal speaks of: "today" to whatever asks how old something is, so
    /// that the same journal gives the same answers on any day.
    pub fn last_day(&self, journal: &Journal) -> Date {
        self.last_said(journal).map_or(Date::constant(2000, 1, 1), |said| said.value)
    }

    /// The last day that the journal speaks of, and where; `None` where it names no day at all.
    pub fn last_said(&self, journal: &Journal) -> Option<Located<Date>> {
        let entries = journal.builds.iter().flat_map(|build| build.entries.iter().map(|entry| &entry.date));
        let builds = journal.builds.iter().flat_map(|build| [&build.begun, &build.ended]).flatten();
        let had = self.units.values().filter_map(|unit| unit.had);
        let had = had.map(|had| Located::new(had.at.date(), had.span));
        // Of one day the place that is read first, so that the order of the files is no matter.
        entries
            .chain(builds)
            .cloned()
            .chain(had)
            .max_by_key(|said| (said.value, std::cmp::Reverse(said.span)))
    }

    /// The id under which the part in a build's slot stands, if the slot is filled.
    pub fn occupant(build: &crate::journal::Build, slot: Slot) -> Option<String> {
        match build.slots.get(&slot)? {
            crate::journal::Filling::None(_) => None,
            crate::journal::Filling::Part(id) => Some(id.value.clone()),
            crate::journal::Filling::Written { .. } => Some(format!("{}/{}", build.slug, slot.name())),
        }
    }
}

impl Unit {
    /// Its sizes as it came: what was measured before anything was altered belongs to it.
    pub fn as_came(&self) -> Spec {
        let mut spec = self.came.clone();
        for change in self.changes.iter().take_while(|change| change.altered.is_none()) {
            spec.merge(&change.sizes);
        }
        spec
    }

    /// Its sizes in a stay: after everything done to it before `until` (`None`: everything).
    ///
    /// How high a hand is seated was measured on one movement, and says nothing on another.
    pub fn spec_in(&self, build: &str, until: Option<DateTime>) -> Spec {
        let mut spec = self.came.clone();
        for change in self.changes.iter().filter(|change| until.is_none_or(|until| change.when.at < until)) {
            if self.kind.name == "hand" && change.build != build && change.sizes.get("seated").is_some() {
                let kept = change.sizes.iter().filter(|(path, _)| *path != "seated");
                kept.for_each(|(path, content)| spec.set(path.to_owned(), content.clone()));
            } else {
                spec.merge(&change.sizes);
            }
        }
        spec
    }

    fn as_of(&self, at: DateTime) -> Unit {
        let mut then = self.clone();
        then.changes.retain(|change| change.when.at <= at);
        then.gone.retain(|gone| gone.when.at <= at);
        then.stays.retain(|stay| stay.from <= Some(at));
        for stay in &mut then.stays {
            stay.to = stay.to.filter(|to| *to <= at);
        }
        then.settle();
        then
    }

    /// The alterations made before `until` (`None`: all).
    pub fn alterations(&self, until: Option<DateTime>) -> impl Iterator<Item = &Change> {
        self.changes.iter().filter(move |change| {
            change.altered.is_some() && until.is_none_or(|until| change.when.at < until)
        })
    }

    /// The last stay in a build's slot.
    pub fn stay(&self, build: &str, slot: Slot) -> Option<&Stay> {
        let of = |at: &usize| self.stays.get(*at).map(|stay| (stay.build.as_str(), stay.slot));
        let after = self.by_build.partition_point(|at| of(at) <= Some((build, slot)));
        let last = self.stays.get(*self.by_build.get(after.checked_sub(1)?)?)?;
        (last.build == build && last.slot == slot).then_some(last)
    }

    /// Whether at some moment more pieces are fitted or planned than there ever were; where not, no
    /// two stays are in each other's way.
    pub fn is_overbooked(&self) -> bool {
        self.overbooked
    }

    /// Puts its stays in order, once all are known.
    fn settle(&mut self) {
        self.stays.sort_by(|a, b| (a.from, a.to, &a.build, a.slot).cmp(&(b.from, b.to, &b.build, b.slot)));
        self.by_build = (0..self.stays.len()).collect();
        let stays = &self.stays;
        self.by_build.sort_by_key(|at| stays.get(*at).map(|stay| (&stay.build, stay.slot)));
        self.overbooked = self.more_than_there_are();
    }

    /// When it came, or was split off its lot; `None` where nothing says so.
    pub fn came_on(&self) -> Option<When> {
        self.split.or(self.had)
    }

    /// What was paid for it, or for all of a lot, in the journal's currency; `None` where nothing
    /// says so, and for one split off a lot, which was paid for with the lot.
    pub fn price(&self) -> Option<f64> {
        let price = self.came.size("from.price").map(|price| price.value.value);
        price.filter(|_| self.split_from.is_none())
    }

    /// How the last of it left: a single part, or all of a lot; `None` while one is there.
    pub fn gone_for_good(&self) -> Option<&Departure> {
        let mut left = self.count.unwrap_or(1);
        self.gone.iter().find(|gone| {
            left = left.saturating_sub(gone.count);
            left == 0
        })
    }

    /// How many of a lot are left, or whether a single part is still there (1 or 0).
    pub fn left(&self) -> i64 {
        let gone: i64 = self.gone.iter().map(|gone| i64::from(gone.count)).sum();
        i64::from(self.count.unwrap_or(1)) - gone
    }
}

/// The first moment of a day.
pub fn midnight(date: Date) -> DateTime {
    date.to_datetime(jiff::civil::Time::midnight())
}

/// The last moment of a day: what is dated by the day lies before it.
pub fn end_of(date: Date) -> DateTime {
    date.to_datetime(jiff::civil::Time::constant(23, 59, 59, 0))
}
