//! Does each hand pass over the dial?

use crate::fit::assembly::Assembly;
use crate::fit::check::{Asked, Check, Concerns, Group, Scene, Thumbnail};
use crate::journal::Slot;

pub(super) const CHECK: Check = Check {
    id: "hand-over-dial",
    title: "hands over the dial",
    group: Group::Hands,
    asks: "Does each hand pass over the dial's face?",
    formula: "U − F: the hand's underside less the dial's face",
    measured: "The hand's top over the movement's plate with a height gauge once it is fitted (`seated`), or the post's top from the sheet; the hand's thickness with a micrometer.",
    ignored: "The hand drags on the dial: a ring worn into the lacquer, and a watch that stops at the same time of day.",
    remedy: "Seat the hand higher, take a thinner dial or shim, or a movement with taller posts.",
    unit: "mm",
    concerns: Concerns::Parts,
    acceptable: true,
    thumbnail: Thumbnail::Stack,
    scene: Some(Scene::HandOverDial),
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    if !watch.filled([Slot::Dial, Slot::Movement]) {
        return;
    }
    // A hand in a small seconds has the recess below it: small-seconds asks about that one.
    asked.each_centred_hand(watch, |asked, hand| {
        let title = format!("{} over the dial", hand.words());
        asked.measure(hand.name(), watch.underside(hand) - watch.face()).titled(title);
    });
}
