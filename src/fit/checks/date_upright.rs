//! Do the figures of the date stand upright in the window?

use crate::fit::assembly::Assembly;
use crate::fit::calendar::Calendar;
use crate::fit::check::{Asked, Check, Concerns, Group, Thumbnail};

pub(super) const CHECK: Check = Check {
    id: "date-upright",
    title: "date upright",
    group: Group::Dial,
    asks: "How far do the figures of the date lean in the window?",
    formula: "abs(dial.date_window.at − movement.date.at): the ring carries its figures round the centre, so that turning the movement changes which figure stands in the window, not how it leans",
    measured: "The window's direction from a photo taken square on; the figures' from the sheet, or the direction at which one stands upright while 12h is up.",
    ignored: "Every figure leans the same way, which the eye finds at once and does not forgive.",
    remedy: "A date ring printed for this place of the window, which is a swap of one part; a dial with its window where the figures stand upright, or without one.",
    unit: "deg",
    concerns: Concerns::Parts,
    acceptable: true,
    thumbnail: Thumbnail::Date,
    scene: None,
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    if watch.calendar(Calendar::Date) {
        asked.measure("", watch.lean());
    }
}
