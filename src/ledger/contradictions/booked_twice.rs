//! A part in two builds at one time.

use crate::problem::Problem;

use super::{Contradiction, Log, since};

pub(super) const CONTRADICTION: Contradiction = Contradiction {
    id: "booked-twice",
    about: "A part is in one build at a time, and a lot in as many as it has pieces.",
    look,
};

fn look(log: &Log<'_>) -> Vec<Problem> {
    let mut out = Vec::new();
    for unit in log.ledger.units.values() {
        for clash in unit.clashes(false) {
            let (late, early) = (log.slot_of(clash.late), log.slot_of(clash.early));
            let (id, when) = (&unit.id, since(clash.early));
            let message = match unit.count {
                Some(count) => format!(
                    "none of `{id}` is free for {late}: of {count} every one is fitted or gone, one of them as {early} {when}; write where one was removed, or raise `count:`"
                ),
                None => format!(
                    "`{id}` is {late} and, {when}, {early}: write there when it was removed, or name another part"
                ),
            };
            let problem = Problem::warning(log.place(clash.late.span), message);
            out.push(problem.and(log.place(clash.early.span), format!("{early}, {when}")));
        }
    }
    out
}
