//! What is wrong with a log: where two places of it, or the log and build.md, contradict each other.
//!
//! A wrong is told at the place where it would be mended, with the other place beside it. All of
//! them are warnings: whatever can be replayed is used.

mod after_it_was_gone;
mod before_it_was_had;
mod booked_twice;
mod dates_out_of_order;
mod finished_with_an_open_slot;
mod lot_below_nothing;
mod movement_whose_readings_stop;
mod other_part_in_the_log;
mod part_of_another_build;

use std::sync::LazyLock;

use jiff::civil::{Date, DateTime};
use rayon::prelude::*;
use serde::Deserialize;

use crate::journal::Journal;
use crate::problem::{self, Problem};
use crate::text::{Place, Span};

use super::{Change, Ledger, Stay};

/// One way in which a log can contradict itself.
#[derive(Debug)]
pub struct Contradiction {
    /// Its name, kebab-case.
    pub id: &'static str,
    /// What is contradicted, one sentence.
    pub about: &'static str,
    look: fn(&Log<'_>) -> Vec<Problem>,
}

/// All of them, in the order of a part's life.
pub const ALL: &[Contradiction] = &[
    before_it_was_had::CONTRADICTION,
    booked_twice::CONTRADICTION,
    other_part_in_the_log::CONTRADICTION,
    part_of_another_build::CONTRADICTION,
    after_it_was_gone::CONTRADICTION,
    lot_below_nothing::CONTRADICTION,
    finished_with_an_open_slot::CONTRADICTION,
    movement_whose_readings_stop::CONTRADICTION,
    dates_out_of_order::CONTRADICTION,
];

/// Everything that is wrong with a log.
pub fn of(journal: &Journal, ledger: &Ledger) -> Vec<Problem> {
    let log = Log { journal, ledger };
    let mut out: Vec<Problem> = ALL.par_iter().flat_map_iter(|wrong| (wrong.look)(&log)).collect();
    problem::sort(&mut out);
    out
}

/// A journal and its replay, as the looks need them.
struct Log<'a> {
    journal: &'a Journal,
    ledger: &'a Ledger,
}

impl Log<'_> {
    fn place(&self, span: Span) -> Place {
        self.journal.files.place(span)
    }

    /// What a build is called.
    fn title<'s>(&'s self, slug: &'s str) -> &'s str {
        self.journal.build(slug).map_or(slug, |build| build.title.as_str())
    }

    /// "the dial of Lantern".
    fn slot_of(&self, stay: &Stay) -> String {
        format!("the {} of {}", stay.slot.words(), self.title(&stay.build))
    }
}

/// "since 2026-02-01", or "always".
fn since(stay: &Stay) -> String {
    stay.from.map_or_else(|| "always".to_owned(), |from| format!("since {}", from.date()))
}

/// "measured", or "altered (turned down)".
fn what(change: &Change) -> String {
    change
        .altered
        .as_ref()
        .map_or_else(|| "measured".to_owned(), |altered| format!("altered ({})", altered.how))
}

/// Whether a moment lies on an earlier day.
fn earlier(at: DateTime, than: DateTime) -> bool {
    at.date() < than.date()
}

/// Whole days from one day to another.
fn days(from: Date, to: Date) -> i32 {
    from.until(to).map_or(0, |span| span.get_days())
}

/// What the looks go by beyond plain order.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Practice {
    essential: Vec<String>,
    silence: Silence,
    reading_after_entry_days: i32,
    #[cfg_attr(
        not(test),
        expect(dead_code, reason = "said for whoever reads the data; a test holds that it is")
    )]
    source: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Silence {
    sittings: usize,
    days_apart: i32,
    months: i32,
}

static PRACTICE: LazyLock<Practice> = LazyLock::new(|| {
    serde_yaml::from_str(include_str!("../data/practice.yaml"))
        .expect("the built-in data is read by every test")
});

#[cfg(test)]
mod tests {
    use super::*;
    use crate::journal::Slot;

    #[test]
    fn the_data_speaks_of_slots_and_says_its_source() {
        assert!(PRACTICE.essential.iter().all(|slot| Slot::of(slot).is_some()));
        assert!(!PRACTICE.source.is_empty());
        assert!(PRACTICE.silence.sittings > 1 && PRACTICE.silence.months > 0);
    }
}
