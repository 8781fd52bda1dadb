//! What a build's log says of its timing and of its tests in water or air.

use jiff::ToSpan as _;
use jiff::civil::{Date, DateTime};
use serde::{Deserialize, Serialize};

use crate::journal::entry::{LoggedReading, PressureTest};
use crate::journal::{Build, BuildState, Entry, Journal, Slot, Subject};
use crate::ledger::Ledger;
use crate::problem::Problem;
use crate::text::Span;
use crate::timing::{Position, Reading, Wound};

/// All readings of a build's log, in order of time; a row that names no position is left out, for
/// the journal's reader has told of it.
pub fn readings(build: &Build) -> Vec<Reading> {
    let rows = build.entries.iter().flat_map(|entry| &entry.timing);
    let mut out: Vec<Reading> = rows.filter_map(reading).collect();
    out.sort_by_key(|reading| reading.at);
    out
}

/// A row of a log as a reading; `None` where it names no position.
pub fn reading(row: &LoggedReading) -> Option<Reading> {
    Some(Reading {
        at: row.at,
        position: Position::parse(&row.position).ok()?,
        rate: row.rate,
        amplitude: row.amplitude,
        beat_error: row.beat_error,
        wound: row.wound.as_deref().and_then(|wound| Wound::parse(wound).ok()),
        lift_angle: row.lift_angle,
        temperature: row.temperature,
    })
}

/// A pressure that a watch held, and how and when: all that may be said of its water resistance.
#[derive(Clone, Copy, PartialEq, Debug, Serialize, Deserialize)]
pub struct Held {
    /// Overpressure, bar.
    pub bar: f64,
    /// In water; else dry, in air.
    pub wet: bool,
    /// The day.
    pub on: Date,
}

/// What the log leaves standing of the pressure tests.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub enum PressureRecord {
    /// None was logged.
    Untested,
    /// The last one failed, at so many bar.
    Failed(Held),
    /// It held, and the case was opened since.
    Opened {
        /// The greatest pressure that it held before.
        held: Held,
        /// The day it was opened.
        on: Date,
        /// What was done, in words.
        how: String,
    },
    /// It holds: the greatest pressure since the case was last opened.
    Holds(Held),
}

/// A test older than this is told as old.
const FRESH_MONTHS: i32 = 12;

impl Held {
    /// The only words in which it may be stated: "held 3 bar, dry, on 2026-02-14".
    pub fn words(&self) -> String {
        format!("held {} bar, {}, on {}", self.bar, self.method(), self.on)
    }

    /// dry or wet.
    pub fn method(&self) -> &'static str {
        if self.wet { "wet" } else { "dry" }
    }

    /// Whether it is more than twelve months old on a day.
    pub fn is_old(&self, today: Date) -> bool {
        self.on.checked_add(FRESH_MONTHS.months()).is_ok_and(|until| until < today)
    }
}

/// What stands of a build's pressure tests. A test of the day on which the case was opened counts
/// as done after it.
pub fn pressure_record(build: &Build) -> PressureRecord {
    let opened = last_opening(build).map(|opening| (opening.on, opening.how));
    let mut tests: Vec<(DateTime, &PressureTest)> = Vec::new();
    for entry in &build.entries {
        let at = entry.date.value.to_datetime(entry.time.unwrap_or(jiff::civil::Time::midnight()));
        tests.extend(entry.pressure.iter().map(|test| (at, test)));
    }
    tests.sort_by_key(|(at, _)| *at);
    let held = |(at, test): &(DateTime, &PressureTest)| Held {
        bar: test.bar,
        wet: test.method == "wet",
        on: at.date(),
    };
    let Some(last) = tests.last() else { return PressureRecord::Untested };
    if !last.1.held {
        return PressureRecord::Failed(held(last));
    }
    let since_failure = tests.iter().rposition(|(_, test)| !test.held).map_or(0, |at| at + 1);
    let whole: Vec<Held> = tests[since_failure..].iter().map(held).collect();
    let best = |of: &[Held]| of.iter().copied().max_by(|a, b| a.bar.total_cmp(&b.bar).then(a.on.cmp(&b.on)));
    let since: Vec<Held> =
        whole.iter().filter(|held| opened.as_ref().is_none_or(|(on, _)| *on <= held.on)).copied().collect();
    match (best(&since), best(&whole), opened) {
        (Some(held), ..) => PressureRecord::Holds(held),
        (None, Some(held), Some((on, how))) => PressureRecord::Opened { held, on, how },
        _ => PressureRecord::Untested,
    }
}

/// When a case was opened.
struct Opening {
    on: Date,
    /// What was done, in words.
    how: String,
    span: Span,
}

fn last_opening(build: &Build) -> Option<Opening> {
    let all = build.entries.iter().filter_map(|entry| {
        let (how, span) = opening(build, entry)?;
        Some(Opening { on: entry.date.value, how, span })
    });
    all.max_by_key(|opening| opening.on)
}

/// What an entry did that opened the case, and where; `None` where it stayed closed. Whatever sits inside
/// cannot be reached through a closed case, unless the entry says that it was not opened.
fn opening(build: &Build, entry: &Entry) -> Option<(String, Span)> {
    let said = entry.opened.as_ref().map(|opened| opened.value);
    let counts = |slot: Slot| match slot {
        Slot::Case | Slot::Crystal | Slot::CrystalGasket | Slot::Crown | Slot::Back | Slot::BackGasket => {
            true
        }
        Slot::Strap | Slot::Bezel | Slot::Insert => false,
        _ => said != Some(false),
    };
    let slot_of = |subject: &Subject| match subject {
        Subject::Slot(slot) => Some(*slot),
        Subject::Part(id) => {
            Slot::ALL.into_iter().find(|slot| Ledger::occupant(build, *slot).as_ref() == Some(id))
        }
    };
    let fitted = entry.fitted.iter().map(|(slot, _)| (slot.value, "fitted", slot.span));
    let removed = entry.removed.iter().map(|slot| (slot.value, "taken out", slot.span));
    let altered =
        entry.altered.iter().filter_map(|one| Some((slot_of(&one.part.value)?, "altered", one.part.span)));
    let touched = fitted.chain(removed).chain(altered).find(|(slot, ..)| counts(*slot));
    match (touched, &entry.opened) {
        (Some((slot, how, span)), _) => Some((format!("its {} was {how}", slot.words()), span)),
        (None, Some(opened)) if opened.value => Some(("it was opened".to_owned(), opened.span)),
        _ => None,
    }
}

/// States of wind that cannot be read, and pressure tests that no longer say anything.
pub fn check(journal: &Journal) -> Vec<Problem> {
    let mut problems = unread_winds(journal);
    problems.extend(journal.builds.iter().filter_map(|build| voided(journal, build)));
    problems
}

/// A test made void because the case was opened afterwards; `None` where a later one stands, or the
/// watch is no more.
fn voided(journal: &Journal, build: &Build) -> Option<Problem> {
    let PressureRecord::Opened { held, on, how } = pressure_record(build) else { return None };
    if build.state == BuildState::TakenApart {
        return None;
    }
    let opening = last_opening(build)?;
    let entry =
        build.entries.iter().rfind(|entry| entry.date.value == held.on && !entry.pressure.is_empty())?;
    let test = entry.pressure.iter().find(|test| test.held && test.bar == held.bar)?;
    let message = format!(
        "{} {}, and {how} on {on}: the test is void: do not claim a water resistance; test it again, dry first",
        build.title,
        held.words()
    );
    let problem = Problem::warning(journal.files.place(test.span), message);
    Some(problem.and(journal.files.place(opening.span), format!("{how} here")))
}

fn unread_winds(journal: &Journal) -> Vec<Problem> {
    let rows = journal.builds.iter().flat_map(|build| &build.entries).flat_map(|entry| &entry.timing);
    let faults = rows.filter_map(|row| {
        let fault = Wound::parse(row.wound.as_deref()?).err()?;
        Some(Problem::error(journal.files.place(row.span), format!("`wound`: {fault}")))
    });
    faults.collect()
}
