//! Is the stem at the height of the crown's tube?

use crate::fit::assembly::Assembly;
use crate::fit::check::{Asked, Check, Concerns, Group, Scene, Thumbnail};
use crate::journal::Slot;

pub(super) const CHECK: Check = Check {
    id: "stem-height",
    title: "stem at the height of the tube",
    group: Group::Movement,
    asks: "Is the stem at the height of the crown's tube?",
    formula: "L + stem.below − tube.below; above zero the stem is nearer the back",
    measured: "The tube from the ledge to its axis: the depth of its upper edge and half its bore; the stem from the movement's plate to its axis, from the sheet or the same way.",
    ignored: "The stem runs bent through its tube: the crown is stiff, the gasket wears on one side and lets water in, and the stem breaks at the thread.",
    remedy: "Shim the movement or thin the shim; a movement that was never made for the case may need its tube moved, which is a job for a lathe.",
    unit: "mm",
    concerns: Concerns::Parts,
    acceptable: true,
    thumbnail: Thumbnail::Stem,
    scene: Some(Scene::Stem),
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    if watch.filled([Slot::Case, Slot::Movement]) {
        asked.measure("", watch.ledge() + watch.dim("movement.stem.below") - watch.dim("case.tube.below"));
    }
}
