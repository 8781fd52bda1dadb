//! Was the dial made for a crown where the case has it?

use crate::fit::assembly::Assembly;
use crate::fit::check::{Answer, Asked, Check, Concerns, Group, Thumbnail};
use crate::journal::Slot;

pub(super) const CHECK: Check = Check {
    id: "dial-crown",
    title: "dial made for this crown",
    group: Group::Dial,
    asks: "Was the dial made for a crown at the place where this case has it?",
    formula: "dial.crown_at = case.crown_at, where the dial gives its crown's place",
    measured: "The case: the crown's direction from 12, seen from the front. The dial: from what it is sold for, or from its feet and its date window on a movement with the stem at 3h.",
    ignored: "Feet and window are turned against the movement: nothing lines up, and that shows only with the dial in hand.",
    remedy: "A dial for this place of the crown, or cut the feet and lay the dial by eye; a date window then shows the gap between two numerals.",
    unit: "",
    concerns: Concerns::Parts,
    acceptable: true,
    thumbnail: Thumbnail::Feet,
    scene: None,
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    if !watch.filled([Slot::Case, Slot::Dial]) {
        return;
    }
    let Some(made_for) = watch.value("dial.crown_at") else { return };
    let made = Assembly::direction(made_for);
    let (answer, reason) = match watch.value("case.crown_at") {
        Some(at) if (at - made_for).abs() < SAME_DIRECTION => {
            (Answer::Holds, format!("both have the crown at {made}"))
        }
        Some(at) => (
            Answer::Fails,
            format!("the dial is made for a crown at {made}, the case has it at {}", Assembly::direction(at)),
        ),
        None => (
            Answer::Unknown(vec!["case.crown_at".into()]),
            format!("the dial is made for a crown at {made}; the case's own is not known"),
        ),
    };
    asked.rule("", answer, reason).using(["dial.crown_at".to_owned(), "case.crown_at".to_owned()]);
}

/// Half a minute of the dial is 3 degrees, and no crown stands between two of those by design:
/// what differs by less than a tenth of a degree was written in another way.
const SAME_DIRECTION: f64 = 0.1;
