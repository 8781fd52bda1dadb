//! Do the threads of movement, stem and crown agree?

use crate::fit::assembly::Assembly;
use crate::fit::check::{Answer, Asked, Check, Concerns, Group, Thumbnail};
use crate::journal::Slot;
use crate::measure::figure;

pub(super) const CHECK: Check = Check {
    id: "stem-tap",
    title: "stem, crown and movement share a thread",
    group: Group::Movement,
    asks: "Do the nominal threads of movement, stem and crown agree?",
    formula: "stem.tap = crown.tap, and the movement's stem.tap = stem.tap",
    measured: "From what they are sold as, or with a thread gauge; a tap is a nominal size.",
    ignored: "The crown does not go on, or goes on for two turns and comes off with the first wind.",
    remedy: "Take the stem of the movement and a crown with its thread; adapters exist for some pairs.",
    unit: "",
    concerns: Concerns::Parts,
    acceptable: true,
    thumbnail: Thumbnail::Stem,
    scene: None,
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    let movement = (Slot::Movement, "movement.stem.tap", "the movement's stem");
    let stem = (Slot::Stem, "stem.tap", "the stem");
    let crown = (Slot::Crown, "crown.tap", "the crown");
    let filled: Vec<_> = [movement, stem, crown].into_iter().filter(|(slot, ..)| watch.has(*slot)).collect();
    if filled.len() < 2 {
        return;
    }
    let missing: Vec<String> = filled
        .iter()
        .filter(|(_, name, _)| !watch.knows(name))
        .map(|(_, name, _)| (*name).to_owned())
        .collect();
    let known: Vec<(f64, &str)> =
        filled.iter().filter_map(|(_, name, words)| Some((watch.value(name)?, *words))).collect();
    let odd = known.iter().find(|(tap, _)| known.iter().any(|(other, _)| (tap - other).abs() > 1e-9));
    let reason = match (odd, missing.is_empty()) {
        (Some(_), _) => {
            let each: Vec<String> =
                known.iter().map(|(tap, words)| format!("{words} has {}", figure(*tap))).collect();
            each.join(", ")
        }
        (None, true) => {
            format!("all have {}", known.first().map(|(tap, _)| figure(*tap)).unwrap_or_default())
        }
        (None, false) => "not every thread is known".into(),
    };
    let answer = match (odd, missing.is_empty()) {
        (Some(_), _) => Answer::Fails,
        (None, true) => Answer::Holds,
        (None, false) => Answer::Unknown(missing),
    };
    asked.rule("", answer, reason).using(filled.iter().map(|(_, name, _)| (*name).to_owned()));
}
