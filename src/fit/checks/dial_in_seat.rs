//! Does the dial drop into its seat, without room to wander?

use crate::fit::assembly::Assembly;
use crate::fit::check::{Asked, Check, Concerns, Group, Scene, Thumbnail};
use crate::journal::Slot;

pub(super) const CHECK: Check = Check {
    id: "dial-in-seat",
    title: "dial in its seat",
    group: Group::Dial,
    asks: "Does the dial drop into its seat, with a little play and without room to wander?",
    formula: "case.dial_seat − dial.diameter; with a dial ring, seat − ring.outer and ring.inner − dial",
    measured: "The seat with the inside jaws of a calliper in four directions, the dial across its edge with the outside jaws; the smallest seat and the largest dial count.",
    ignored: "A dial that is too large does not go in, and pressing it chips lacquer and bends feet; one that is too small shifts until a hand scrapes the rehaut or the date sits askew.",
    remedy: "Turn the dial down where its print and its lume allow it, or take a dial ring for one that is too small.",
    unit: "mm",
    concerns: Concerns::Parts,
    acceptable: true,
    thumbnail: Thumbnail::Seat,
    scene: Some(Scene::Seat),
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    if !watch.filled([Slot::Case, Slot::Dial]) {
        return;
    }
    let variant = if watch.on_feet() { "on feet" } else { "without feet" };
    if watch.has(Slot::DialRing) {
        asked
            .measure("ring in seat", watch.dim("case.dial_seat") - watch.dim("dial_ring.outer"))
            .titled("dial ring in the seat")
            .within(variant);
        asked
            .measure("dial in ring", watch.dim("dial_ring.inner") - watch.dim("dial.diameter"))
            .titled("dial in its ring")
            .within(variant);
        return;
    }
    asked.measure("", watch.dim("case.dial_seat") - watch.dim("dial.diameter")).within(variant);
}
