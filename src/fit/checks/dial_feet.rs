//! Do the dial's feet find their holes in the movement?

use crate::fit::assembly::Assembly;
use crate::fit::check::{Answer, Asked, Check, Concerns, Group, Scene, Thumbnail};
use crate::fit::expr::Expr;
use crate::journal::{HeldBy, Slot};

pub(super) const CHECK: Check = Check {
    id: "dial-feet",
    title: "dial feet in their holes",
    group: Group::Dial,
    asks: "Do the dial's feet find holes in the movement as it is turned into the case?",
    formula: "(hole.diameter − foot.diameter) / 2 − the distance of foot and hole, in the one-to-one pairing whose least value is greatest",
    measured: "Direction and radius of each foot and hole from a photo taken square on and scaled to the dial's diameter, or with a calliper from the centre hole; diameters with pin gauges.",
    ignored: "The dial does not lie flat, or is forced and kinks at the foot; with its feet cut, only your tape, dots or ring hold it.",
    remedy: "Coax a foot by up to a tenth; beyond that cut the feet flush and hold the dial with tape, dots or a ring.",
    unit: "mm",
    concerns: Concerns::Parts,
    acceptable: true,
    thumbnail: Thumbnail::Feet,
    scene: Some(Scene::Feet),
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    if !watch.filled([Slot::Dial, Slot::Movement]) {
        return;
    }
    let Some(feet) = watch.count("dial.feet") else {
        if sold_for(watch) && watch.on_feet() {
            asked.rule("", Answer::Holds, "the dial is sold for this calibre, and the crown stands at 3h");
        } else {
            asked.rule(
                "",
                Answer::Unknown(vec!["dial.feet".into()]),
                "the places of the dial's feet are not known; write `feet: []` where it has none",
            );
        }
        return;
    };
    if feet == 0 {
        without_feet(watch, asked);
        return;
    }
    let Some(holes) = watch.count("movement.foot_holes") else {
        match sold_for(watch) {
            true => {
                asked.rule("", Answer::Holds, "the dial is sold for this calibre, and the crown stands at 3h")
            }
            false => asked.rule(
                "",
                Answer::Unknown(vec!["movement.foot_holes".into()]),
                "the places of the movement's holes are not known",
            ),
        };
        return;
    };
    if MOST_PAIRINGS < pairings(feet, holes) {
        let words = "are too many to compare: write only those that hold the dial";
        asked.rule("", Answer::Fails, format!("{feet} feet and {holes} holes {words}"));
        return;
    }
    for foot in 0..feet {
        let about = if feet == 1 { "foot".to_owned() } else { format!("foot {}", foot + 1) };
        let title = format!("{about} in its hole");
        // A foot left over fouls whatever the others do.
        if holes == 0 {
            asked.rule(about, Answer::Fails, "the movement has no hole for it").titled(title);
            continue;
        }
        let ask = asked.measure(about, Expr::pairing(gaps(watch, feet, holes), foot)).titled(title);
        if holes < feet {
            ask.noting(format!("{feet} feet and {holes} holes: a foot without a hole counts as 100 mm off"));
        }
    }
}

/// Every pairing is compared at thousands of points of the tolerance box. Four feet and eight holes,
/// more than any movement has, make 1680.
const MOST_PAIRINGS: usize = 2000;

/// In how many ways feet and holes go together, each foot in a hole of its own.
fn pairings(feet: usize, holes: usize) -> usize {
    (0..feet.min(holes)).fold(1, |ways: usize, taken| ways.saturating_mul(holes.max(feet) - taken))
}

/// `gaps[foot][hole]`.
fn gaps(watch: &Assembly, feet: usize, holes: usize) -> Vec<Vec<Expr>> {
    let mirrored = watch.word("dial.feet_from") == Some("back");
    let one = |foot: usize, hole: usize| {
        let foot = |field: &str| watch.dim(format!("dial.feet.{foot}.{field}"));
        let hole = |field: &str| watch.dim(format!("movement.foot_holes.{hole}.{field}"));
        let at = if mirrored { -foot("at") } else { foot("at") };
        let between = at - (hole("at") + watch.turn());
        (hole("diameter") - foot("diameter")) / 2.0 - Expr::apart(foot("radius"), hole("radius"), between)
    };
    (1..=feet).map(|foot| (1..=holes).map(|hole| one(foot, hole)).collect()).collect()
}

fn without_feet(watch: &Assembly, asked: &mut Asked) {
    let held = match watch.said_held_by() {
        Some(held @ (HeldBy::Tape | HeldBy::Dots | HeldBy::Ring | HeldBy::Glue)) => Some(held.word()),
        _ if watch.has(Slot::Shim) => Some("a shim"),
        _ if watch.has(Slot::DialRing) => Some("a dial ring"),
        _ => None,
    };
    match held {
        Some(held) => asked.rule("", Answer::Holds, format!("no feet: held by {held}, as recorded")),
        None => asked.rule("", Answer::Fails, "the dial has no feet, and how it is held is not recorded: `dial_held_by: tape`, dots, ring or glue"),
    };
}

/// Whether the dial is sold for the movement's calibre, and the movement stands as that assumes.
fn sold_for(watch: &Assembly) -> bool {
    let Some(calibre) = watch.word("movement.calibre") else { return false };
    let dial = watch.part(Slot::Dial).map(|dial| dial.spec.texts("feet_for")).unwrap_or_default();
    let straight = watch.value("case.crown_at").is_none_or(|at| at == 90.0);
    straight && dial.iter().any(|id| id.value == calibre)
}
