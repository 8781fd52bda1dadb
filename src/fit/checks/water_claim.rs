//! May a water resistance be claimed?

use crate::fit::assembly::Assembly;
use crate::fit::check::{Answer, Asked, Check, Concerns, Group, Thumbnail};
use crate::fit::records::PressureRecord;
use crate::journal::Slot;

pub(super) const CHECK: Check = Check {
    id: "water-claim",
    title: "water resistance as tested",
    group: Group::Water,
    asks: "Has the case passed a pressure test since it was last opened?",
    formula: "held X bar, METHOD, on DATE: not before the last entry that opened the case or fitted, took out or altered case, back, crystal, crown or a gasket; not more than twelve months ago",
    measured: "In a pressure tester, dry first; written in the log as `pressure: [{ bar: 3, method: dry, result: held }]`.",
    ignored: "A watch that was opened may leak, whatever it held before. Not for diving; seals age.",
    remedy: "Test it again: dry first, and wet only after it held dry. A rating on the back and a computed estimate are no test.",
    unit: "",
    concerns: Concerns::Log,
    acceptable: false,
    thumbnail: Thumbnail::Log,
    scene: None,
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    let (target, record) = (watch.target_water(), watch.pressure());
    if !watch.has(Slot::Case) || target.is_none() && *record == PressureRecord::Untested {
        return;
    }
    let (answer, reason) = match record {
        PressureRecord::Untested => (
            Answer::Unknown(vec!["pressure".into()]),
            "no pressure test is logged: do not claim a water resistance".to_owned(),
        ),
        PressureRecord::Failed(held) => (
            Answer::Fails,
            format!(
                "failed at {} bar, {}, on {}: do not claim a water resistance",
                held.bar,
                held.method(),
                held.on
            ),
        ),
        PressureRecord::Opened { held, on, how } => (
            Answer::Fails,
            format!("{}, but {how} on {on}: test it again before claiming a water resistance", held.words()),
        ),
        PressureRecord::Holds(held) if watch.test_is_old() => {
            (Answer::Barely, format!("{}, more than twelve months ago: seals age", held.words()))
        }
        PressureRecord::Holds(held) => match target.filter(|target| held.bar < *target) {
            Some(target) => (Answer::Barely, format!("{}; the target is {target} bar", held.words())),
            None => (Answer::Holds, held.words()),
        },
    };
    asked.rule("", answer, reason);
}
