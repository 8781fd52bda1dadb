//! Does the print reach no further than the opening shows?

use crate::fit::assembly::Assembly;
use crate::fit::check::{Asked, Check, Concerns, Group, Thumbnail};
use crate::journal::Slot;

pub(super) const CHECK: Check = Check {
    id: "dial-track-visible",
    title: "minute track in sight",
    group: Group::Dial,
    asks: "Does the opening show the whole of the outermost print or lume, most often the minute track?",
    formula: "(opening − dial.track_diameter) / 2; the opening is the chapter ring's or the rehaut's bottom, else case.opening",
    measured: "The track across its outermost print with a calliper held over the dial, or from a photo taken square on and scaled to the dial's diameter; the opening with the inside jaws at the bottom of the rehaut.",
    ignored: "The rehaut cuts through the minute marks: the dial looks made for another case, as it was.",
    remedy: "A chapter ring with a wider bottom, or one that carries the minutes itself; a case with a wider opening; or live with it.",
    unit: "mm",
    concerns: Concerns::Parts,
    acceptable: true,
    thumbnail: Thumbnail::Opening,
    scene: None,
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    if watch.filled([Slot::Case, Slot::Dial]) {
        asked.measure("", (watch.opening() - watch.dim("dial.track_diameter")) / 2.0);
    }
}
