//! Does the movement fit its case, or its movement ring (casing ring, spacer) and the ring the case?

use crate::fit::assembly::Assembly;
use crate::fit::check::{Asked, Check, Concerns, Group, Scene, Thumbnail};
use crate::journal::Slot;

pub(super) const CHECK: Check = Check {
    id: "movement-in-case",
    title: "movement in the case",
    group: Group::Movement,
    asks: "Does the movement fit its bore, or its movement ring (casing ring, spacer) and the ring the case?",
    formula: "bore (the case's, or ring.inner) − casing_diameter (holder.outer with the holder on); and case.bore − ring.outer",
    measured: "The bore with the inside jaws in four directions; the movement across the diameter that the bore takes, not across its flange.",
    ignored: "Too tight, and the movement is forced and its plate bends; too loose, and it shifts with every turn of the crown until the hands touch.",
    remedy: "Turn a movement ring to size, or shim it; take the dial-holding ring off where the case is made for the bare movement.",
    unit: "mm",
    concerns: Concerns::Parts,
    acceptable: true,
    thumbnail: Thumbnail::Bore,
    scene: Some(Scene::MovementInCase),
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    if !watch.filled([Slot::Case, Slot::Movement]) {
        return;
    }
    let movement = watch.dim(watch.casing());
    let bore = watch.dim("case.bore");
    if !watch.has(Slot::Ring) && !ring_is_wanted(watch) {
        let holder = watch.holder_on() && gives(watch.word("movement.holder.material"));
        asked.measure("", bore - movement).within(if holder { PLASTIC } else { "" });
        return;
    }
    // Where the ring is still to be chosen its sizes are missing, and are asked for.
    let variant = if gives(watch.word("ring.material")) { PLASTIC } else { "" };
    asked
        .measure("in ring", watch.dim("ring.inner") - movement)
        .titled("movement in its ring")
        .within(variant);
    asked.measure("ring in case", bore - watch.dim("ring.outer")).titled("ring in the case").within(variant);
}

const PLASTIC: &str = "plastic ring";

fn gives(material: Option<&str>) -> bool {
    matches!(material, Some("plastic" | "nylon" | "resin"))
}

/// Whether the bore leaves so much room that a ring is to come, and nothing says that there is none.
fn ring_is_wanted(watch: &Assembly) -> bool {
    let room =
        watch.value("case.bore").zip(watch.value(watch.casing())).map(|(bore, movement)| bore - movement);
    !watch.without(Slot::Ring) && room.is_some_and(|room| room > NO_RING)
}

/// The thinnest ring that is made has a wall of half of this, mm; from memory.
const NO_RING: f64 = 0.8;
