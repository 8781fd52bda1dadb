//! Is the watch longer than the wrist is broad?

use crate::fit::assembly::Assembly;
use crate::fit::check::{Asked, Check, Concerns, Group, Thumbnail};
use crate::fit::physics::wrist;
use crate::journal::Slot;

pub(super) const CHECK: Check = Check {
    id: "on-the-wrist",
    title: "watch on the wrist",
    group: Group::Wear,
    asks: "Is the case, from lug to lug, no longer than the wrist is broad?",
    formula: "0.2949 × wrist + 5.24 − case.lug_to_lug: the breadth of a wrist of that girth over its bones, less the case",
    measured: "The wrist's girth with a tape where the watch will sit, written in journal.yaml (`wrist: 172`); the case from lug tip to lug tip.",
    ignored: "The lugs overhang: the watch rocks and looks too large.",
    remedy: "A case with shorter or more steeply turned lugs. Breadth is taken over the bones and is more than the flat that a watch lies on: one that passes this check may still be too long.",
    unit: "mm",
    concerns: Concerns::Parts,
    acceptable: true,
    thumbnail: Thumbnail::Wrist,
    scene: None,
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    if watch.has(Slot::Case) && watch.knows("wrist") {
        let room = wrist::breadth_mm(watch.dim("wrist")) - watch.dim("case.lug_to_lug");
        // More than the flat of the wrist: it can say that a watch is too long, never that it is not.
        asked.measure("", room).only_in_trouble().noting(
            "below zero it is certainly too long; above, it need not be short enough: the breadth is that over the bones",
        );
    }
}
