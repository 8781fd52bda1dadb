//! Is the escapement in beat?

use crate::fit::assembly::Assembly;
use crate::fit::check::{Asked, Check, Concerns, Group, Thumbnail};
use crate::journal::Slot;

pub(super) const CHECK: Check = Check {
    id: "beat-error",
    title: "beat error",
    group: Group::Records,
    asks: "Do the two swings of the balance take the same time?",
    formula: "the greatest of abs(t1 − t2) / 2 over the positions: half the difference of two swings, as makers of timing machines define it",
    measured: "On a timing machine. Some print the whole difference: halve it before you write it down.",
    ignored: "The watch is slow to start after it has run down, and its rate goes with the amplitude.",
    remedy: "Turn the stud carrier, or the collet where there is none, until the two traces lie on one line.",
    unit: "ms",
    concerns: Concerns::Log,
    acceptable: true,
    thumbnail: Thumbnail::Timing,
    scene: None,
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    let quartz = watch.flag("movement.quartz") == Some(true);
    if watch.has(Slot::Movement) && !quartz && watch.timing().is_some() {
        asked.measure("", watch.dim("timing.beat_error")).noting("half the difference of the two swings");
    }
}
