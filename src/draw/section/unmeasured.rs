//! What of each part was not measured, by name, and where its label's leader ends.

use super::levels::Levels;
use super::parts::crown_end;
use crate::draw::drafting::Side;
use crate::draw::drafting::size;
use crate::draw::watch::{DrawnWatch, Form};

/// A part with dimensions that are drawn dashed.
pub(super) struct Missing {
    pub(super) side: Side,
    /// Radius and height in mm, at the right.
    pub(super) point: (f64, f64),
    /// `case: shelf, rim`.
    pub(super) text: String,
}

/// In the order from the crystal to the back.
pub(super) fn missing(watch: &DrawnWatch, levels: &Levels) -> Vec<Missing> {
    let mut out = Vec::new();
    let mut say = |side, point, part: &str, lacks: &[(&str, bool)]| {
        let names: Vec<&str> = lacks.iter().filter(|(_, lacks)| *lacks).map(|(name, _)| *name).collect();
        if !names.is_empty() {
            out.push(Missing { side, point, text: format!("{part}: {}", names.join(", ")) });
        }
    };
    let none = |value: Option<f64>| size(value).is_none();
    if let (Some(crystal), Some(cut)) = (watch.crystal, levels.crystal) {
        let height = none(crystal.height) && none(crystal.thickness);
        say(
            Side::Above,
            (cut.radius.mm * 0.45, cut.inner(cut.radius.mm * 0.45) + 0.5),
            "crystal",
            &[
                ("diameter", none(crystal.diameter)),
                ("height", height),
                ("rise", crystal.form != Form::Flat && none(crystal.inner_rise)),
                ("wall", crystal.form == Form::Box && none(crystal.wall)),
            ],
        );
    }
    if let (Some(case), Some(cut)) = (&watch.case, levels.case) {
        let cone = watch.chapter_ring.map(|ring| ring.cone).or(case.rehaut);
        let opening = cone.and_then(|cone| size(cone.bottom)).is_none() && none(case.opening);
        say(
            Side::Above,
            (cut.outer.mm - 0.6, cut.rim.mm - (cut.rim.mm - cut.shelf.mm) * 0.5),
            "case",
            &[
                ("diameter", none(case.diameter)),
                ("dial seat", none(case.dial_seat)),
                ("opening", opening),
                ("rehaut top", case.rehaut.is_some_and(|r| none(r.top)) && watch.chapter_ring.is_none()),
                (
                    "rehaut height",
                    case.rehaut.is_some_and(|r| none(r.height)) && watch.chapter_ring.is_none(),
                ),
                ("shelf", none(case.shelf)),
                ("crystal seat", none(case.crystal_seat)),
                ("rim", none(case.rim)),
            ],
        );
        say(
            Side::Below,
            (f64::midpoint(cut.bore.mm, cut.outer.mm), cut.inside.mm + 0.4),
            "case",
            &[
                ("bore", none(case.bore)),
                ("depth", none(case.depth)),
                ("back", none(case.back_to_ledge) && none(case.back_thickness)),
            ],
        );
        say(
            Side::Below,
            (crown_end(levels) - 1.2, cut.tube.mm - 1.0),
            "crown",
            &[
                ("height of the tube", none(case.tube_below)),
                ("diameter", watch.crown.is_some_and(|crown| none(crown.diameter))),
            ],
        );
    }
    for (hand, cut) in watch
        .hands
        .iter()
        .filter_map(|hand| levels.hands.iter().find(|cut| cut.role == hand.role).map(|cut| (hand, cut)))
    {
        say(
            Side::Above,
            (cut.length.mm * 0.8, cut.top.mm),
            &format!("{} hand", hand.role.word()),
            &[("height", !cut.top.known), ("thickness", none(hand.thickness)), ("length", none(hand.length))],
        );
    }
    if let Some(dial) = &watch.dial {
        say(
            Side::Above,
            (levels.dial.mm * 0.62, levels.face.mm),
            "dial",
            &[
                ("diameter", none(dial.diameter)),
                ("thickness", none(dial.thickness)),
                ("centre hole", none(dial.centre_hole)),
                ("index height", dial.indices.is_some_and(|i| none(i.height))),
            ],
        );
    }
    if let Some(movement) = &watch.movement {
        say(
            Side::Below,
            (levels.movement.mm * 0.6, levels.lowest.mm * 0.9),
            "movement",
            &[
                ("casing diameter", none(movement.casing_diameter)),
                ("height below", none(movement.height_below)),
            ],
        );
    }
    if let Some(ring) = watch.ring {
        let bore = levels.case.as_ref().map_or(levels.movement.mm + 0.5, |case| case.bore.mm);
        say(
            Side::Below,
            (f64::midpoint(levels.movement.mm, bore), levels.lowest.mm * 0.6),
            "movement ring",
            &[
                ("inner", none(ring.inner)),
                ("outer", none(ring.outer)),
                ("height", none(ring.height)),
                ("from seat", !ring.from_seat.is_some_and(f64::is_finite)),
            ],
        );
    }
    out
}
