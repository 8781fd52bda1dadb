//! Does the back hold the movement down by its ring?

use crate::fit::assembly::Assembly;
use crate::fit::check::{Asked, Check, Concerns, Group, Scene, Thumbnail};
use crate::journal::Slot;

pub(super) const CHECK: Check = Check {
    id: "movement-held",
    title: "movement held down",
    group: Group::Movement,
    asks: "Does the closed back press the movement ring (casing ring, spacer) home, neither leaving it loose nor bending it?",
    formula: "case.depth − L − ring.from_seat − ring.height: what is left between the ring's lower face and the back",
    measured: "The depth from the ledge to the inside of the back with a depth rod; the ring's height with a micrometer; from the movement's plate to the ring's upper face with a depth rod, positive towards the back.",
    ignored: "A loose movement shifts with every knock and every pull at the crown; one that is pressed too hard has its plate bent and stops when the back is closed.",
    remedy: "Lap the ring, or lay a thin gasket or spring washer between ring and back; use the case clamps where the case has them.",
    unit: "mm",
    concerns: Concerns::Parts,
    acceptable: true,
    thumbnail: Thumbnail::Back,
    scene: Some(Scene::MovementHeld),
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    if watch.filled([Slot::Case, Slot::Movement, Slot::Ring]) {
        let under = watch.dim("ring.from_seat") + watch.dim("ring.height");
        asked.measure("", watch.dim("case.depth") - watch.ledge() - under);
    }
}
