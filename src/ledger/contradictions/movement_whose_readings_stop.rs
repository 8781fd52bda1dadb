//! A movement whose readings stop.

use jiff::ToSpan as _;

use crate::journal::BuildState;
use crate::ledger::{MovementReading, readings};
use crate::problem::Problem;

use super::{Contradiction, Log, PRACTICE, days};

pub(super) const CONTRADICTION: Contradiction = Contradiction {
    id: "movement-whose-readings-stop",
    about: "A movement in a finished watch that was timed again and again is timed on.",
    look,
};

fn look(log: &Log<'_>) -> Vec<Problem> {
    let Some(today) = log.ledger.last_said(log.journal) else { return Vec::new() };
    let silence = &PRACTICE.silence;
    let mut out = Vec::new();
    for (id, rows) in readings(log.journal, log.ledger) {
        let Some(unit) = log.ledger.units.get(id) else { continue };
        let Some(stay) = unit.stays.iter().find(|stay| stay.stands()) else { continue };
        let Some(build) = log.journal.build(&stay.build).filter(|build| build.state == BuildState::Finished)
        else {
            continue;
        };
        let Some(last) = rows.last() else { continue };
        let day = last.row.at.date();
        let due = day.checked_add(silence.months.months());
        if sittings(&rows) < silence.sittings || due.is_ok_and(|due| today.value <= due) {
            continue;
        }
        let (title, months) = (&build.title, silence.months);
        let message = format!(
            "`{id}`, the movement of {title}, was timed last on {day}, more than {months} months before {}: time it again, or write what became of it",
            today.value
        );
        let problem = Problem::warning(log.place(last.row.span), message);
        out.push(problem.and(log.place(today.span), format!("the journal goes on to {}", today.value)));
    }
    out
}

/// On how many occasions it was read: days close together are one.
fn sittings(rows: &[MovementReading<'_>]) -> usize {
    let mut last = None;
    let mut count = 0;
    for day in rows.iter().map(|timed| timed.row.at.date()) {
        if last.is_none_or(|last| days(last, day) >= PRACTICE.silence.days_apart) {
            count += 1;
        }
        last = Some(day);
    }
    count
}
