//! Does each hand that reaches them pass over applied indices and other raised features?

use crate::fit::assembly::{Assembly, Known};
use crate::fit::check::{Asked, Check, Concerns, Group, Scene, Thumbnail};
use crate::journal::Slot;
use crate::measure::round;

pub(super) const CHECK: Check = Check {
    id: "hand-over-indices",
    title: "hands over the indices",
    group: Group::Hands,
    asks: "Does each hand that reaches an applied index, a frame or a logo pass over it?",
    formula: "U − F − indices.height (or a raised feature's), where the hand's greatest length reaches its least inner radius",
    measured: "The index over the dial's face with a height gauge or a micrometer at its tallest; its inner end from the centre.",
    ignored: "The tip catches once an hour, bends, and then catches the next hand.",
    remedy: "A shorter hand that does not reach, a hand seated higher, or lower indices.",
    unit: "mm",
    concerns: Concerns::Parts,
    acceptable: true,
    thumbnail: Thumbnail::Stack,
    scene: Some(Scene::HandOverIndices),
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    if !watch.filled([Slot::Dial, Slot::Movement]) {
        return;
    }
    asked.each_centred_hand(watch, |asked, hand| {
        if watch.has_any("dial.indices") {
            over(watch, asked, hand, "indices", "dial.indices.height", "dial.indices.inner_radius");
        }
        for item in 1..=watch.count("dial.raised").unwrap_or(0) {
            let (height, from) = (format!("dial.raised.{item}.height"), format!("dial.raised.{item}.from"));
            over(watch, asked, hand, &format!("raised {item}"), &height, &from);
        }
    });
}

fn over(watch: &Assembly, asked: &mut Asked, hand: Slot, what: &str, height: &str, inner: &str) {
    if !reaches(watch, hand, inner) {
        return;
    }
    let (about, title) = match what {
        "indices" => (hand.name().to_owned(), format!("{} over the indices", hand.words())),
        _ => (format!("{} over {what}", hand.name()), format!("{} over the raised feature", hand.words())),
    };
    let room = watch.underside(hand) - watch.face() - watch.dim(height.to_owned());
    asked.measure(about, room).titled(title);
}

/// Whether the hand at its longest comes to the feature at its innermost; unknown counts as yes.
fn reaches(watch: &Assembly, hand: Slot, inner: &str) -> bool {
    match (watch.known(&format!("{}.length", hand.name())), watch.known(inner)) {
        (Some(length), Some(inner)) => {
            let tail = watch.known(&format!("{}.tail", hand.name()));
            let longest = |reach: &Known| reach.size.value + reach.size.plus;
            let reach = tail.as_ref().map_or(0.0, longest).max(longest(&length));
            round(inner.size.value - inner.size.minus) <= round(reach)
        }
        _ => true,
    }
}
