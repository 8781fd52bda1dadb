//! An entry that speaks of a part that sits in another build.

use crate::journal::{Build, Subject};
use crate::ledger::Unit;
use crate::problem::Problem;
use crate::text::Span;

use super::{Contradiction, Log, since};

pub(super) const CONTRADICTION: Contradiction = Contradiction {
    id: "part-of-another-build",
    about: "A build's entries speak of its own parts, of free ones, and of none that is in another watch then.",
    look,
};

fn look(log: &Log<'_>) -> Vec<Problem> {
    let mut out = Vec::new();
    for build in &log.journal.builds {
        for entry in &build.entries {
            let at = crate::ledger::midnight(entry.date.value);
            let at = entry.time.map_or(at, |time| entry.date.value.to_datetime(time));
            let mut ask = |id: &str, span: Span, what: &str| {
                if let Some(unit) = log.ledger.units.get(id) {
                    out.extend(of_part(log, build, unit, at, span, what));
                }
            };
            for (subject, _) in &entry.measured {
                if let Subject::Part(id) = &subject.value {
                    ask(id, subject.span, "measured");
                }
            }
            for alteration in &entry.altered {
                if let Subject::Part(id) = &alteration.part.value {
                    ask(id, alteration.part.span, &format!("altered ({})", alteration.how.value));
                }
            }
            for left in &entry.left {
                ask(&left.part.value, left.part.span, &left.how.value);
            }
        }
    }
    out
}

/// A lot has pieces elsewhere and here; a single part has not.
fn of_part(
    log: &Log<'_>,
    build: &Build,
    unit: &Unit,
    at: jiff::civil::DateTime,
    span: Span,
    what: &str,
) -> Option<Problem> {
    if unit.count.is_some() || unit.stays.iter().any(|stay| stay.build == build.slug) {
        return None;
    }
    // What is removed from the other build on that day is free for this one.
    let after = crate::ledger::end_of(at.date());
    let elsewhere =
        unit.stays.iter().find(|stay| !stay.planned && stay.holds(Some(at)) && stay.holds(Some(after)))?;
    let (slot, when) = (log.slot_of(elsewhere), since(elsewhere));
    let message = format!(
        "an entry of {} says that `{}` was {what} on {}, and that is {slot}, {when}: write it into that build's log, or name the part that was meant",
        build.title,
        unit.id,
        at.date()
    );
    Some(Problem::warning(log.place(span), message).and(log.place(elsewhere.span), format!("{slot}, {when}")))
}
