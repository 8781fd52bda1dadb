//! Do the figures of the date stand upright in the window?

use crate::fit::assembly::Assembly;
use crate::fit::calendar::Calendar;
use crate::fit::check::{Asked, Check, Concerns, Group, Thumbnail};

pub(super) const CHECK: Check = Check {
    id: "date-upright",
    title: "date upright",
    group: Group::Dial,
    asks: "How far do the date's numerals lean in the window?",
    formula: "abs(dial.date_window.at − movement.date.at): the ring carries its numerals round the centre: turning the movement changes which numeral is in the window, not how it leans",
    measured: "The window's direction from a photo taken square on; the numerals' from the sheet, or the direction at which one is upright while 12h is up.",
    ignored: "Every numeral leans the same way, and the eye finds it at once.",
    remedy: "A date ring printed for this place of the window, a swap of one part; a dial with its window where the numerals are upright, or without one.",
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
