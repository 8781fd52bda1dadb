//! May a water resistance be stated?

use crate::fit::check::{Answer, Asked, Check, Group, Hint};
use crate::fit::records::{Standing, standing};
use crate::fit::watch::Watch;
use crate::journal::Slot;

pub(super) const CHECK: Check = Check {
    id: "water-claim",
    title: "water resistance as tested",
    group: Group::Water,
    asks: "Does a pressure test stand that was made after the case was last opened?",
    formula: "held X bar, METHOD, on DATE: not before the last entry that opened the case or fitted, took out or altered case, back, crystal, crown or a gasket; not more than twelve months ago",
    measured: "In a pressure tester, dry first; written in the log as `pressure: [{ bar: 3, method: dry, result: held }]`.",
    ignored: "A watch that was opened is a watch that may leak, whatever it held before. Not for diving; seals age.",
    remedy: "Test it again: dry first, and wet only after it held dry. A rating on the back and a computed estimate are no test.",
    unit: "",
    drawing: Hint::Log,
    run,
};

fn run(watch: &Watch<'_>, asked: &mut Asked) {
    let target = watch.build.target.water.as_ref().map(|target| target.value.value);
    let standing = standing(watch.build);
    if !watch.has(Slot::Case) || target.is_none() && standing == Standing::Untested {
        return;
    }
    let (answer, reason) = match standing {
        Standing::Untested => (
            Answer::Unknown(vec!["pressure".into()]),
            "no pressure test is logged: nothing may be stated".to_owned(),
        ),
        Standing::Failed(held) => (
            Answer::Fails,
            format!("failed at {} bar, {}, on {}: nothing may be stated", held.bar, held.method(), held.on),
        ),
        Standing::Opened { held, on, how } => (
            Answer::Fails,
            format!("{}, but {how} on {on}: test it again before anything is stated", held.words()),
        ),
        Standing::Holds(held) if held.is_old(watch.as_of) => {
            (Answer::Barely, format!("{}, more than twelve months ago: seals age", held.words()))
        }
        Standing::Holds(held) => match target.filter(|target| held.bar < *target) {
            Some(target) => (Answer::Barely, format!("{}; the target is {target} bar", held.words())),
            None => (Answer::Holds, held.words()),
        },
    };
    asked.rule("", answer, reason);
}
