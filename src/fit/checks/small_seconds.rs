//! Does the small seconds hand turn in its own dial?

use crate::fit::assembly::Assembly;
use crate::fit::check::{Asked, Check, Concerns, Group, Scene, Thumbnail};
use crate::fit::expr::Expr;
use crate::journal::Slot;

pub(super) const CHECK: Check = Check {
    id: "small-seconds",
    title: "small seconds",
    group: Group::Hands,
    asks: "Does the small seconds hand pass over the bottom of its recess, and inside its rim?",
    formula: "U − (F − small_seconds.recess); and small_seconds.diameter / 2 − seconds.length",
    measured: "The recess with a depth rod from the dial's face (0 where it is only printed), its diameter across the rim; the hand's top with a height gauge once it is fitted, its length from the middle of its bore.",
    ignored: "The little hand drags in its recess or catches the rim once a minute: the movement has the least power to spare just there.",
    remedy: "Seat it higher as far as the hour hand above it allows, shorten it from the tip, or thin the shim.",
    unit: "mm",
    concerns: Concerns::Parts,
    acceptable: true,
    thumbnail: Thumbnail::Stack,
    scene: Some(Scene::SmallSeconds),
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    if !watch.filled([Slot::Dial, Slot::Movement, Slot::Seconds]) || !watch.small_seconds() {
        return;
    }
    // A dial that gives no recess has its small seconds printed on its face.
    let recess = match watch.knows("dial.small_seconds.recess") {
        true => watch.dim("dial.small_seconds.recess"),
        false => Expr::from(0.0),
    };
    asked
        .measure("height", watch.underside(Slot::Seconds) - (watch.face() - recess))
        .titled("small seconds hand over its dial")
        .within("height");
    asked
        .measure("length", watch.dim("dial.small_seconds.diameter") / 2.0 - watch.dim("seconds.length"))
        .titled("small seconds hand inside its dial")
        .within("length");
}
