//! Does a hand that stands up into the dome turn inside it?

use crate::fit::assembly::Assembly;
use crate::fit::check::{Answer, Asked, Check, Concerns, Group, Thumbnail};
use crate::journal::Slot;

pub(super) const CHECK: Check = Check {
    id: "hand-in-crystal",
    title: "hands inside the crystal",
    group: Group::Hands,
    asks: "Does a hand that reaches above the crystal's seat turn inside the crystal's dome or wall?",
    formula: "crystal.inner_aperture / 2 − length − centring, for a hand whose top T is above the crystal's seat, L + shelf",
    measured: "The aperture inside the crystal's base with the inside jaws; the hand from the middle of its bore to the tip.",
    ignored: "The tip scrapes the inside of the glass where it is thickest and hardest to see.",
    remedy: "A shorter hand, hands seated lower, or a crystal with a wider aperture.",
    unit: "mm",
    concerns: Concerns::Parts,
    acceptable: true,
    thumbnail: Thumbnail::Crystal,
    scene: None,
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    if !watch.filled([Slot::Case, Slot::Crystal, Slot::Movement]) {
        return;
    }
    asked.each_centred_hand(watch, |asked, hand| {
        let title = format!("{} inside the crystal", hand.words());
        let over = watch.top(hand) - watch.ledge() - watch.dim("case.shelf");
        match watch.nominal(&over) {
            Some(over) if over > 0.0 => {
                let length = watch.dim(format!("{}.length", hand.name()));
                let room = watch.dim("crystal.inner_aperture") / 2.0 - length - watch.centring();
                asked.measure(hand.name(), room).titled(title);
            }
            Some(_) => {}
            // Under a flat crystal no hand stands above the foot without touching it: nothing to ask.
            None if watch.word("crystal.form") == Some("flat") => {}
            None => {
                let missing: Vec<String> = over.missing().iter().map(|term| term.name.to_string()).collect();
                let reason = "whether the hand reaches up into the crystal is not known";
                asked.rule(hand.name(), Answer::Unknown(missing), reason).titled(title);
            }
        }
    });
}
