//! Do the figures of the date stand upright in the window?

use crate::fit::calendar::Calendar;
use crate::fit::check::{Asked, Check, Group, Hint};
use crate::fit::watch::Watch;

pub(super) const CHECK: Check = Check {
    id: "date-upright",
    title: "date upright",
    group: Group::Dial,
    asks: "How far do the figures of the date lean in the window, as the movement is turned into the case?",
    formula: "abs(dial.date_window.at − (movement.date.at + case.crown_at − 3h))",
    measured: "The window's direction from a photo taken square on; the figures' from the sheet, or the direction at which they stand upright with the stem at 3h.",
    ignored: "Every figure leans the same way, which the eye finds at once and does not forgive.",
    remedy: "A date ring printed for this place of the crown, which is a swap of one part; a dial without a window.",
    unit: "deg",
    drawing: Hint::Date,
    run,
};

fn run(watch: &Watch<'_>, asked: &mut Asked) {
    if watch.calendar(Calendar::Date) {
        asked.measure("", watch.lean());
    }
}
