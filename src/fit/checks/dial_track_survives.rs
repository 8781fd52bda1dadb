//! Does the print end before the dial does?

use crate::fit::assembly::Assembly;
use crate::fit::check::{Asked, Check, Concerns, Group, Scene, Thumbnail};
use crate::journal::Slot;

pub(super) const CHECK: Check = Check {
    id: "dial-track-survives",
    title: "minute track inside the edge",
    group: Group::Dial,
    asks: "Is the outermost print or lume, most often the minute track, still whole on a dial of this diameter?",
    formula: "(dial.diameter − dial.track_diameter) / 2",
    measured: "The dial across its edge; the track across its outermost print, both with a calliper.",
    ignored: "The cut goes through the marks: lacquer and print chip back from it further than the cut itself went.",
    remedy: "Turn down only as far as the track allows and take the rest from the seat with a dial ring or another case; cover a lost track with a chapter ring that carries the minutes; or accept it and say why.",
    unit: "mm",
    concerns: Concerns::Parts,
    acceptable: true,
    thumbnail: Thumbnail::Seat,
    scene: Some(Scene::Track),
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    if watch.has(Slot::Dial) {
        asked.measure("", (watch.dim("dial.diameter") - watch.dim("dial.track_diameter")) / 2.0);
    }
}
