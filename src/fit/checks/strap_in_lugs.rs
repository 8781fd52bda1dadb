//! Does the strap go between the lugs?

use crate::fit::assembly::Assembly;
use crate::fit::check::{Asked, Check, Concerns, Group, Thumbnail};
use crate::journal::Slot;

pub(super) const CHECK: Check = Check {
    id: "strap-in-lugs",
    title: "strap between the lugs",
    group: Group::Wear,
    asks: "Does the strap fit between the lugs, neither squeezed nor with a gap?",
    formula: "case.lug_width − strap.width",
    measured: "Between the lugs with the inside jaws, near the spring bar's holes; the strap at its end.",
    ignored: "A strap that is too wide creases and rubs; one that is too narrow slides on its bar and shows the bar.",
    remedy: "The next width, or trim a soft strap's edges.",
    unit: "mm",
    concerns: Concerns::Parts,
    acceptable: true,
    thumbnail: Thumbnail::Strap,
    scene: None,
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    if watch.filled([Slot::Case, Slot::Strap]) {
        let variant = if watch.word("strap.end") == Some("metal") { "metal" } else { "" };
        asked.measure("", watch.dim("case.lug_width") - watch.dim("strap.width")).within(variant);
    }
}
