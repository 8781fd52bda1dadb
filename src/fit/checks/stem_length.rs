//! How long is the stem to be cut?

use crate::fit::assembly::Assembly;
use crate::fit::check::{Asked, Check, Concerns, Group, Thumbnail};
use crate::journal::Slot;

pub(super) const CHECK: Check = Check {
    id: "stem-length",
    title: "length to cut the stem to",
    group: Group::Movement,
    asks: "How long, from its shoulder in the movement to its end, should the stem be cut?",
    formula: "tube.end_radius + 0.05 + crown.reach − movement.stem.seat_radius",
    measured: "From the centre to the outer end of the tube: half the case across tube and flank, with the calliper; from the crown's inner face to the bottom of its thread with a depth rod; from the centre to where the stem's shoulder sits, from the sheet or on the bare movement.",
    ignored: "A stem cut too short has to be replaced.",
    remedy: "Cut it two tenths long, try the crown, and file it down in the pin vice until the crown stands five hundredths off the case.",
    unit: "mm",
    concerns: Concerns::Parts,
    acceptable: true,
    thumbnail: Thumbnail::Stem,
    scene: None,
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    if watch.filled([Slot::Case, Slot::Movement, Slot::Crown]) {
        let end = watch.dim("case.tube.end_radius") + CROWN_OFF_CASE + watch.dim("crown.reach");
        asked.figure("", end - watch.dim("movement.stem.seat_radius"));
    }
}

/// What is left between the crown's inner face and the tube, mm: half of the tenth that makers'
/// sheets allow at the most.
const CROWN_OFF_CASE: f64 = 0.05;
