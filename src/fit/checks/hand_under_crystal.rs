//! Does each hand pass under the crystal, over its whole length?

use crate::fit::assembly::Assembly;
use crate::fit::check::{Asked, Check, Concerns, Group, Scene, Thumbnail};
use crate::fit::expr::Expr;
use crate::journal::Slot;
use crate::measure::round;

pub(super) const CHECK: Check = Check {
    id: "hand-under-crystal",
    title: "hands under the crystal",
    group: Group::Hands,
    asks: "Does the hand pass under the crystal's inner face, over its whole length and with the post pulled up by its shake?",
    formula: "the least of crystal(r) − T over r in 0 .. length, less the post's shake",
    measured: "The shelf from the ledge up to the crystal's seat with a depth rod, the crystal's inner rise with a depth gauge over its aperture, the hand's top with a height gauge.",
    ignored: "A knock or a warm day brings hand and glass together: the seconds hand stops, or scratches the crystal from inside.",
    remedy: "A taller or more domed crystal, a gasket with a thicker flange, hands seated lower, or a movement with lower posts.",
    unit: "mm",
    concerns: Concerns::Parts,
    acceptable: true,
    thumbnail: Thumbnail::Crystal,
    scene: Some(Scene::HandUnderCrystal),
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    if !watch.filled([Slot::Case, Slot::Crystal, Slot::Movement]) {
        return;
    }
    asked.each_hand(watch, &Slot::HANDS, |asked, hand| {
        let name = hand.name();
        // The dome falls outwards, so that its least height over the hand stands at the tip.
        let face = watch.crystal_face(tip(watch, hand));
        let shake = format!("movement.posts.{name}.shake");
        let room = face - watch.top(hand);
        let room = if watch.knows(&shake) { room - watch.dim(shake) } else { room };
        asked.measure(name, room).titled(format!("{} under the crystal", hand.words()));
    });
    // Only the highest hand can touch first at the centre, but a longer one further down can touch
    // a dome at its rim: each is told of that is not both lower and shorter than another.
    let hands = || watch.hands().into_iter();
    asked.telling(|about| {
        let own = hands().find(|hand| hand.name() == about);
        own.is_none_or(|own| !hands().any(|other| shades(watch, other, own)))
    });
}

/// The farthest point of the hand from the crystal's axis.
fn tip(watch: &Assembly, hand: Slot) -> Expr {
    let length = watch.dim(format!("{}.length", hand.name()));
    if hand != Slot::Seconds || !watch.small_seconds() {
        return length;
    }
    let axes = ["movement.posts.seconds.radius", "dial.small_seconds.radius"];
    length + watch.dim(axes.into_iter().find(|axis| watch.knows(axis)).unwrap_or(axes[0]))
}

/// Whether a hand is both higher and longer than another for certain.
fn shades(watch: &Assembly, upper: Slot, lower: Slot) -> bool {
    if upper == lower || upper == Slot::Seconds && watch.small_seconds() {
        return false;
    }
    let post = |hand: Slot, field: &str| watch.known(&format!("movement.posts.{}.{field}", hand.name()));
    let own = |hand: Slot, field: &str| watch.known(&format!("{}.{field}", hand.name()));
    let height = |hand| own(hand, "seated").or_else(|| post(hand, "top"));
    let (Some(high), Some(low)) = (height(upper), height(lower)) else { return false };
    let (Some(long), Some(short)) = (own(upper, "length"), own(lower, "length")) else { return false };
    // A post's shake and a hand standing proud come to a tenth at the most.
    let clearly = 0.10 + high.size.minus + low.size.plus;
    round(clearly) < round(high.size.value - low.size.value)
        && round(short.size.value + short.size.plus) <= round(long.size.value - long.size.minus)
}
