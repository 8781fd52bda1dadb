//! A part that was fitted, measured or altered before it came, or before it was split off its lot.

use crate::ledger::{Unit, When};
use crate::problem::Problem;

use super::{Contradiction, Log, earlier, what};

pub(super) const CONTRADICTION: Contradiction = Contradiction {
    id: "before-it-was-had",
    about: "A part is fitted, measured or altered on or after the day it came.",
    look,
};

fn look(log: &Log<'_>) -> Vec<Problem> {
    let units = log.ledger.units.values();
    units.filter_map(|unit| Some(of_unit(log, unit, unit.came_on()?))).flatten().collect()
}

fn of_unit(log: &Log<'_>, unit: &Unit, came: When) -> Vec<Problem> {
    let id = &unit.id;
    let day = came.at.date();
    let (how, there) = match &unit.split_from {
        Some(lot) => (format!("was split off `{lot}` on {day}"), "it was split off here"),
        None => (format!("came on {day}"), "it came here"),
    };
    let mut out = Vec::new();
    for stay in unit.stays.iter().filter(|stay| !stay.planned) {
        if let Some(from) = stay.from.filter(|from| earlier(*from, came.at)) {
            let slot = log.slot_of(stay);
            let message = format!(
                "`{id}` was fitted on {}, as {slot}, and {how}: correct one of the two days",
                from.date()
            );
            out.push(Problem::warning(log.place(stay.span), message).and(log.place(came.span), there));
        }
    }
    for change in unit.changes.iter().filter(|change| earlier(change.when.at, came.at)) {
        // What was done to a lot before one of it was split off belongs to that one as well.
        if unit.split.is_some() && unit.had.is_none_or(|had| !earlier(change.when.at, had.at)) {
            continue;
        }
        let message = format!(
            "`{id}` was {} on {}, and {how}: correct one of the two days",
            what(change),
            change.when.at.date()
        );
        out.push(Problem::warning(log.place(change.when.span), message).and(log.place(came.span), there));
    }
    out
}
