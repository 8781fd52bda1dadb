//! Does the crystal sit tight in its gasket or its seat?

use crate::fit::assembly::Assembly;
use crate::fit::check::{Answer, Asked, Check, Concerns, Group, Scene, Thumbnail};
use crate::journal::Slot;

pub(super) const CHECK: Check = Check {
    id: "crystal-gasket",
    title: "crystal in its seat",
    group: Group::Water,
    asks: "Is the crystal's gasket pressed enough to seal and not so much that crystal or case suffers; or, held without one, does the crystal have the grip or the gap it needs?",
    formula: "held radially, squeeze = 1 − (crystal_seat.diameter − crystal.diameter) / 2 / crystal_gasket.section; held by tension, crystal.diameter − crystal_seat.diameter; glued, crystal_seat.diameter − crystal.diameter",
    measured: "The seat with the inside jaws in four directions, the crystal across with a micrometer, the gasket's wall with a micrometer and no force.",
    ignored: "Too little, and the crystal works loose and lets water in; too much, and the gasket is cut, the crystal chips at its edge when pressed, or the bezel cracks.",
    remedy: "A gasket with a thicker or thinner wall, which are sold by tenths and less; a crystal a tenth larger or smaller.",
    unit: "",
    concerns: Concerns::Parts,
    acceptable: true,
    thumbnail: Thumbnail::Gasket,
    scene: Some(Scene::CrystalGasket),
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    if !watch.filled([Slot::Case, Slot::Crystal]) {
        return;
    }
    let (seat, crystal) = (watch.dim("case.crystal_seat.diameter"), watch.dim("crystal.diameter"));
    match watch.word("crystal.held").unwrap_or("radial") {
        "tension" => {
            asked
                .measure("", crystal - seat)
                .titled("crystal held by tension")
                .within("tension")
                .in_unit("mm");
        }
        "glued" => {
            asked.measure("", seat - crystal).titled("crystal glued in").within("glued").in_unit("mm");
        }
        "face" => {
            let words =
                "pressed on its face: the bezel sets how much the gasket gives, which is not computed here";
            asked.note("", words);
        }
        _ if !watch.has(Slot::CrystalGasket) => {}
        _ => {
            let squeeze = 1.0 - (seat - crystal) / 2.0 / watch.dim("crystal_gasket.section");
            let variant = match watch.word("crystal_gasket.material") {
                Some("elastomer") => "elastomer",
                Some("nylon") => "nylon",
                _ => {
                    let missing = vec!["crystal_gasket.material".into()];
                    let reason =
                        "how far a gasket may be squeezed depends on its material, nylon or elastomer";
                    asked.rule("", Answer::Unknown(missing), reason).titled("crystal in its gasket");
                    return;
                }
            };
            asked.measure("", squeeze).titled("crystal in its gasket").within(variant);
        }
    }
}
