//! Does the back's gasket seal?

use crate::fit::assembly::Assembly;
use crate::fit::check::{Asked, Check, Concerns, Group, Scene, Thumbnail};
use crate::fit::physics::gasket;
use crate::journal::Slot;

pub(super) const CHECK: Check = Check {
    id: "back-gasket",
    title: "back gasket in its groove",
    group: Group::Water,
    asks: "Is the back's gasket squeezed enough to seal, and does it have room in its groove to give?",
    formula: "squeeze = (section − groove.depth) / section; fill = π/4 section² / (groove.depth × groove.width)",
    measured: "The gasket's free thickness with a micrometer and no force; the groove's depth with the back closed, from its floor to the face that presses on the ring, with a depth rod; its width across.",
    ignored: "Too little squeeze and it leaks; too much, or a groove that it overfills, and the ring is nipped, the back does not close, or its thread is overloaded.",
    remedy: "The next section; a new ring in any case, for a used one has taken a set. Grease it thinly with silicone.",
    unit: "",
    concerns: Concerns::Parts,
    acceptable: true,
    thumbnail: Thumbnail::Gasket,
    scene: Some(Scene::BackGasket),
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    if !watch.has(Slot::BackGasket) {
        return;
    }
    let size = |field: &'static str| watch.dim(format!("back_gasket.{field}"));
    let (section, depth) = (size("section"), size("groove.depth"));
    asked
        .measure("squeeze", gasket::squeeze(section.clone(), depth.clone()))
        .titled("back gasket squeezed")
        .within("squeeze");
    asked
        .measure("fill", gasket::fill(section, depth, size("groove.width")))
        .titled("back gasket filling its groove")
        .within("fill")
        .at_its_worst();
}
