//! A part that was worked on or fitted after it had left.

use crate::ledger::{Departure, Unit};
use crate::problem::Problem;

use super::{Contradiction, Log, what};

pub(super) const CONTRADICTION: Contradiction = Contradiction {
    id: "after-it-was-gone",
    about: "What was sold, lost, broken, given or used up is not measured, altered or fitted after that.",
    look,
};

fn look(log: &Log<'_>) -> Vec<Problem> {
    let units = log.ledger.units.values();
    units.filter_map(|unit| Some(of_unit(log, unit, unit.gone_for_good()?))).flatten().collect()
}

fn of_unit(log: &Log<'_>, unit: &Unit, gone: &Departure) -> Vec<Problem> {
    let day = gone.when.at.date();
    let left = match (gone.how.as_str(), unit.count) {
        ("split", _) => format!("the last of `{}` became a part of its own on {day}", unit.id),
        (how, Some(_)) => format!("the last of `{}` was {how} on {day}", unit.id),
        (how, None) => format!("`{}` was {how} on {day}", unit.id),
    };
    let there = log.place(gone.when.span);
    let changes = unit.changes.iter().filter(|change| gone.when.at < change.when.at);
    let changes = changes.map(|change| (change.when, what(change)));
    let stays = unit.stays.iter().filter(|stay| !stay.planned && Some(gone.when.at) < stay.from);
    let stays = stays.filter_map(|stay| {
        let when = crate::ledger::When { at: stay.from?, span: stay.span };
        Some((when, format!("fitted as {}", log.slot_of(stay))))
    });
    let wrong = changes.chain(stays).map(|(when, what)| {
        let message = format!(
            "`{}` was {what} on {}, and {left}: correct one of the two days, or name the part that was meant",
            unit.id,
            when.at.date()
        );
        Problem::warning(log.place(when.span), message).and(there.clone(), "it left here")
    });
    wrong.collect()
}
