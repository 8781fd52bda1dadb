//! Does the insert go into its bezel?

use crate::fit::assembly::Assembly;
use crate::fit::check::{Asked, Check, Concerns, Group, Thumbnail};
use crate::journal::Slot;

pub(super) const CHECK: Check = Check {
    id: "bezel-insert",
    title: "insert in its bezel",
    group: Group::Wear,
    asks: "Does the insert drop into the bezel's seat, inside and outside, without being loose?",
    formula: "bezel.insert_outer − insert.outer; and insert.inner − bezel.insert_inner",
    measured: "The seat's outer edge with the inside jaws and its inner edge with the outside jaws; the insert across both edges.",
    ignored: "Forced in, a ceramic insert cracks and an aluminium one bows; a loose one creeps on its glue until its mark points past twelve.",
    remedy: "The next insert; a thin aluminium one can be eased at its edge with fine paper.",
    unit: "mm",
    concerns: Concerns::Parts,
    acceptable: true,
    thumbnail: Thumbnail::Bezel,
    scene: None,
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    if !watch.filled([Slot::Bezel, Slot::Insert]) {
        return;
    }
    asked
        .measure("outer", watch.dim("bezel.insert_outer") - watch.dim("insert.outer"))
        .titled("insert in its bezel, outer edge");
    asked
        .measure("inner", watch.dim("insert.inner") - watch.dim("bezel.insert_inner"))
        .titled("insert in its bezel, inner edge");
}
