//! Does a screw crown share its thread with the case's tube?

use crate::fit::assembly::Assembly;
use crate::fit::check::{Answer, Asked, Check, Concerns, Group, Thumbnail};
use crate::journal::Slot;
use crate::measure::figure;

pub(super) const CHECK: Check = Check {
    id: "crown-thread",
    title: "crown and tube share a thread",
    group: Group::Movement,
    asks: "Do the nominal threads of a screw crown and of the case's tube agree?",
    formula: "crown.tube_thread = case.tube.thread",
    measured: "From what they are sold as, or with a thread gauge; a thread is a nominal size.",
    ignored: "The crown screws down for a turn and strips, or does not screw down: the watch is only as tight as a pushed-in crown.",
    remedy: "A tube and a crown from one set: tubes can be changed where the case takes them.",
    unit: "",
    concerns: Concerns::Parts,
    acceptable: true,
    thumbnail: Thumbnail::Stem,
    scene: None,
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    let names = ["crown.tube_thread", "case.tube.thread"];
    let known = names.map(|name| watch.value(name));
    // A crown that is pushed in has no thread, and neither has its tube.
    if !watch.filled([Slot::Case, Slot::Crown]) || known == [None, None] {
        return;
    }
    let (answer, reason) = match known {
        [Some(crown), Some(tube)] if (crown - tube).abs() < 1e-9 => {
            (Answer::Holds, format!("both have {}", figure(crown)))
        }
        [Some(crown), Some(tube)] => {
            (Answer::Fails, format!("the crown has {}, the tube {}", figure(crown), figure(tube)))
        }
        [None, _] => (Answer::Unknown(vec![names[0].into()]), "the crown's thread is not known".into()),
        [_, None] => (Answer::Unknown(vec![names[1].into()]), "the tube's thread is not known".into()),
    };
    asked.rule("", answer, reason).using(names.map(str::to_owned));
}
