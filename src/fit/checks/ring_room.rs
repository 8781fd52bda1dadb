//! Does the chapter ring fill its room between dial and crystal?

use crate::fit::assembly::Assembly;
use crate::fit::check::{Asked, Check, Concerns, Group, Scene, Thumbnail};
use crate::journal::Slot;

pub(super) const CHECK: Check = Check {
    id: "ring-room",
    title: "chapter ring between dial and crystal",
    group: Group::Water,
    asks: "Does the chapter ring fit between the dial and the crystal's seat, without rattling there?",
    formula: "L + shelf − F − chapter_ring.height; and, where the case has a seat for it, ring_seat.diameter − chapter_ring.outer",
    measured: "The ring's height with a micrometer, the shelf from the ledge up to the crystal's seat with a depth rod; the seat with the inside jaws, the ring across with the outside jaws.",
    ignored: "A ring that is too high lifts the crystal out of its gasket, and the watch leaks; one that is too low turns and rattles, and its marks wander.",
    remedy: "Lap a plastic or brass ring flat on fine paper a little at a time; fill a gap with a thin gasket or a spot of glue under the ring.",
    unit: "mm",
    concerns: Concerns::Parts,
    acceptable: true,
    thumbnail: Thumbnail::Ring,
    scene: Some(Scene::RingRoom),
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    if !watch.filled([Slot::Case, Slot::ChapterRing]) {
        return;
    }
    // A ledge on the dial's front and the dial's face are one height, whatever the dial is.
    let over = match watch.ledge_on_face() {
        true => watch.dim("case.shelf"),
        false if watch.has(Slot::Dial) => watch.ledge() + watch.dim("case.shelf") - watch.face(),
        false => return,
    };
    asked.measure("", over - watch.dim("chapter_ring.height")).within("height");
    if watch.knows("case.ring_seat.diameter") {
        asked
            .measure("across", watch.dim("case.ring_seat.diameter") - watch.dim("chapter_ring.outer"))
            .titled("chapter ring in its seat")
            .within("across");
    }
}
