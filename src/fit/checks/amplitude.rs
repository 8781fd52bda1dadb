//! Does the balance swing wide enough?

use crate::fit::assembly::Assembly;
use crate::fit::check::{Asked, Check, Concerns, Group, Thumbnail};
use crate::journal::Slot;

pub(super) const CHECK: Check = Check {
    id: "amplitude",
    title: "amplitude of the balance",
    group: Group::Records,
    asks: "Does the balance swing wide enough, lying flat and upright?",
    formula: "the mean amplitude dial up and dial down; the mean amplitude in the upright positions; corrected where the machine was set to another lift angle than the movement's",
    measured: "On a timing machine set to the movement's own lift angle, fully wound; write `lift_angle` beside a reading taken with another.",
    ignored: "Rate and position errors grow, and the watch stops before its reserve is spent.",
    remedy: "Clean and oil it; look for a hand or a date ring that rubs, for end shake, for a tired mainspring.",
    unit: "deg",
    concerns: Concerns::Log,
    acceptable: true,
    thumbnail: Thumbnail::Timing,
    scene: None,
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    let quartz = watch.flag("movement.quartz") == Some(true);
    let Some(figures) = watch.timing().filter(|_| watch.has(Slot::Movement) && !quartz) else { return };
    if figures.horizontal_amplitude.is_some() || figures.vertical_amplitude.is_none() {
        asked
            .measure("horizontal", watch.dim("timing.horizontal_amplitude"))
            .titled("amplitude, dial up and dial down")
            .within("horizontal");
    }
    if figures.vertical_amplitude.is_some() {
        asked
            .measure("vertical", watch.dim("timing.vertical_amplitude"))
            .titled("amplitude, upright")
            .within("vertical");
    }
}
