//! More of a part than there was.

use crate::ledger::Unit;
use crate::problem::Problem;

use super::{Contradiction, Log};

pub(super) const CONTRADICTION: Contradiction = Contradiction {
    id: "lot-below-nothing",
    about: "No more of a lot leaves than came and is not fitted, and a single part leaves once.",
    look,
};

fn look(log: &Log<'_>) -> Vec<Problem> {
    log.ledger.units.values().filter_map(|unit| of_unit(log, unit)).collect()
}

/// The first time that it went below nothing; what follows is of the same making.
fn of_unit(log: &Log<'_>, unit: &Unit) -> Option<Problem> {
    let came = unit.count.unwrap_or(1);
    let presence = (unit.count.is_some() && !unit.gone.is_empty()).then(|| unit.presence());
    let mut left: u32 = 0;
    for (number, gone) in unit.gone.iter().enumerate() {
        left = left.saturating_add(gone.count);
        let (id, day) = (&unit.id, gone.when.at.date());
        let fitted = presence.as_ref().map_or(0, |presence| presence.at(gone.when.at) as u32);
        if left.saturating_add(fitted) <= came {
            continue;
        }
        let how = if gone.how == "split" { "made a part of its own" } else { gone.how.as_str() };
        let place = log.place(gone.when.span);
        if let (None, Some(first)) = (unit.count, number.checked_sub(1).and_then(|at| unit.gone.get(at))) {
            let message = format!(
                "`{id}` was {how} on {day}, and had left on {} already: keep one of the two, or write `count:` where the part stands",
                first.when.at.date()
            );
            return Some(
                Problem::warning(place, message).and(log.place(first.when.span), "it left here first"),
            );
        }
        let also = match fitted {
            0 => String::new(),
            fitted => format!(" and {fitted} {} fitted", if fitted == 1 { "is" } else { "are" }),
        };
        let message = format!(
            "with what was {how} on {day}, {left} of `{id}` {} left{also}, and {came} came: correct the numbers, or write that one was removed",
            if left == 1 { "has" } else { "have" }
        );
        let count = log.journal.parts.get(id).and_then(|part| part.count.as_ref());
        let there = count.map_or(unit.span, |count| count.span);
        return Some(Problem::warning(place, message).and(log.place(there), format!("{came} came")));
    }
    None
}
