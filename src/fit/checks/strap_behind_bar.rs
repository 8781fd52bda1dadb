//! Does the strap go between the spring bar and the case?

use crate::fit::assembly::Assembly;
use crate::fit::check::{Asked, Check, Concerns, Group, Thumbnail};
use crate::journal::Slot;

pub(super) const CHECK: Check = Check {
    id: "strap-behind-bar",
    title: "strap behind its bar",
    group: Group::Wear,
    asks: "Does the strap's loop fit between the spring bar and the case's flank?",
    formula: "case.bar_offset − strap.thickness / 2",
    measured: "From the spring bar's axis to the flank: the depth rod from the lug's hole to the case, or a bar of known diameter in place and feelers behind it; the strap's loop at the lugs, pressed as the bar presses it.",
    ignored: "The strap does not turn on its bar: it stands off like a handle, and works the bar out of its holes.",
    remedy: "A thinner strap or one that is skived at the lugs, curved spring bars, or lugs drilled further out.",
    unit: "mm",
    concerns: Concerns::Parts,
    acceptable: true,
    thumbnail: Thumbnail::Strap,
    scene: None,
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    if watch.filled([Slot::Case, Slot::Strap]) {
        asked.measure("", watch.dim("case.bar_offset") - watch.dim("strap.thickness") / 2.0);
    }
}
