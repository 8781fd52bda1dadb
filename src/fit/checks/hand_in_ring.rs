//! Do the hands turn inside the rehaut or the chapter ring?

use crate::fit::assembly::Assembly;
use crate::fit::check::{Asked, Check, Concerns, Group, Scene, Thumbnail};
use crate::journal::Slot;

pub(super) const CHECK: Check = Check {
    id: "hand-in-ring",
    title: "hands inside the ring",
    group: Group::Hands,
    asks: "Does the hand's tip turn inside the rehaut or the chapter ring, at the height where it is?",
    formula: "the least inner radius between U and T − length − centring",
    measured: "The ring's inner diameter at its lower and at its upper edge with the inside jaws, its height with a depth rod; the hand from the middle of its bore to the tip.",
    ignored: "The tip scrapes or stops at one side only, often after the movement has settled.",
    remedy: "Shorten the hand from the tip and round it again, take a wider ring, or centre the movement better.",
    unit: "mm",
    concerns: Concerns::Parts,
    acceptable: true,
    thumbnail: Thumbnail::Ring,
    scene: Some(Scene::HandInRing),
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    if !watch.filled([Slot::Case, Slot::Movement]) {
        return;
    }
    asked.each_centred_hand(watch, |asked, hand| {
        let room =
            watch.least_inner_radius(hand) - watch.dim(format!("{}.length", hand.name())) - watch.centring();
        asked.measure(hand.name(), room).titled(format!("{} inside the ring", hand.words()));
    });
}
