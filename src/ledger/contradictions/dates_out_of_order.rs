//! Dates that are out of order. That a build ended before it was begun, its own reader says.

use std::collections::BTreeMap;

use jiff::civil::Date;

use crate::journal::{Build, Entry};
use crate::problem::Problem;
use crate::text::Span;

use super::{Contradiction, Log, PRACTICE, days};

pub(super) const CONTRADICTION: Contradiction = Contradiction {
    id: "dates-out-of-order",
    about: "A build's entries lie between its beginning and its end, readings by their entry, and a part comes once.",
    look,
};

fn look(log: &Log<'_>) -> Vec<Problem> {
    let mut out = Vec::new();
    for build in &log.journal.builds {
        for entry in &build.entries {
            out.extend(outside(log, build, entry));
            out.extend(readings(log, entry));
        }
    }
    out.extend(came_twice(log));
    out
}

/// An entry before the build was begun, or after it ended.
fn outside(log: &Log<'_>, build: &Build, entry: &Entry) -> Option<Problem> {
    let (day, title) = (entry.date.value, &build.title);
    let (message, other, words) = match (&build.begun, &build.ended) {
        (Some(begun), _) if day < begun.value => (
            format!(
                "this entry is of {day}, and {title} was begun on {}: correct one of the two",
                begun.value
            ),
            begun,
            "it was begun here",
        ),
        (_, Some(ended)) if ended.value < day => (
            format!("this entry is of {day}, and {title} ended on {}: correct one of the two", ended.value),
            ended,
            "it ended here",
        ),
        _ => return None,
    };
    Some(Problem::warning(log.place(entry.date.span), message).and(log.place(other.span), words))
}

/// Readings long after the day of their entry; the first of them speaks for all.
fn readings(log: &Log<'_>, entry: &Entry) -> Option<Problem> {
    let most = PRACTICE.reading_after_entry_days;
    let late = entry.timing.iter().find(|row| days(entry.date.value, row.at.date()) > most)?;
    let message = format!(
        "this reading was taken on {}, {} days after the day of its entry, {}: give it an entry of its own, or correct the date",
        late.at.date(),
        days(entry.date.value, late.at.date()),
        entry.date.value
    );
    Some(
        Problem::warning(log.place(late.span), message)
            .and(log.place(entry.date.span), "the entry is of this day"),
    )
}

/// Parts that come on two days: by parts/ and by an entry, or by two entries.
fn came_twice(log: &Log<'_>) -> Vec<Problem> {
    let mut said: BTreeMap<&str, (Date, Span)> = BTreeMap::new();
    for part in log.journal.parts.values() {
        if let Some(date) = &part.from.date {
            said.insert(&part.id.value, (date.value, date.span));
        }
    }
    let entries = log.journal.builds.iter().flat_map(|build| &build.entries);
    let mut had: Vec<(Date, &str, Span)> = entries
        .flat_map(|entry| entry.had.iter().map(|part| (entry.date.value, part.value.as_str(), part.span)))
        .collect();
    had.sort();
    let mut out = Vec::new();
    for (day, id, span) in had {
        let (first, there) = *said.entry(id).or_insert((day, span));
        if first != day {
            let message =
                format!("`{id}` came on {day} by this entry, and on {first} elsewhere: keep one of the two");
            out.push(
                Problem::warning(log.place(span), message)
                    .and(log.place(there), format!("it came on {first}")),
            );
        }
    }
    out
}
