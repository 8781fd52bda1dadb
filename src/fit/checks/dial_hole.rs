//! Does the hour wheel's pipe pass the hole in the dial?

use crate::fit::assembly::Assembly;
use crate::fit::check::{Asked, Check, Concerns, Group, Scene, Thumbnail};
use crate::journal::Slot;

pub(super) const CHECK: Check = Check {
    id: "dial-hole",
    title: "hour pipe through the dial",
    group: Group::Dial,
    asks: "Does the hour wheel's pipe pass the hole in the dial without touching it?",
    formula: "dial.centre_hole − the hour post's pipe_diameter, less 2 × centring where no feet hold the dial",
    measured: "The hole with pin gauges from the back, the pipe with a micrometer on the hour wheel or from the sheet.",
    ignored: "The pipe rubs on the dial: the movement loses amplitude or stops, most often when the watch warms up.",
    remedy: "Open the hole with a broach from the back, a little at a time, and stone the burr; recentre a dial that is taped.",
    unit: "mm",
    concerns: Concerns::Parts,
    acceptable: true,
    thumbnail: Thumbnail::Hole,
    scene: Some(Scene::DialHole),
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    if !watch.filled([Slot::Dial, Slot::Movement]) {
        return;
    }
    let room = watch.dim("dial.centre_hole") - watch.dim("movement.posts.hour.pipe_diameter");
    let room = if watch.on_feet() { room } else { room - watch.dial_centring() * 2.0 };
    asked.measure("", room);
}
