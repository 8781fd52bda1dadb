//! Does the dial reach under the ledge all around?

use crate::fit::assembly::Assembly;
use crate::fit::check::{Asked, Check, Concerns, Group, Scene, Thumbnail};
use crate::journal::Slot;

pub(super) const CHECK: Check = Check {
    id: "dial-covers-opening",
    title: "dial covers the opening",
    group: Group::Dial,
    asks: "Does the dial reach under the ledge all around, so that its edge is not seen?",
    formula: "(dial.diameter − opening) / 2; the opening is the chapter ring's or the rehaut's bottom, else case.opening",
    measured: "The dial across its edge, the opening with the inside jaws at the bottom of the rehaut.",
    ignored: "A gap shows beside the dial, and light and dust come through it from the movement.",
    remedy: "A chapter ring with a smaller bottom, or a dial ring behind the dial; a dial that was turned down too far cannot be put back.",
    unit: "mm",
    concerns: Concerns::Parts,
    acceptable: true,
    thumbnail: Thumbnail::Opening,
    scene: Some(Scene::Opening),
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    if watch.filled([Slot::Case, Slot::Dial]) {
        asked.measure("", (watch.dim("dial.diameter") - watch.opening()) / 2.0);
    }
}
