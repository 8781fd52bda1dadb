//! Does the window show the whole name of the day along the radius?

use crate::fit::assembly::Assembly;
use crate::fit::calendar::Calendar;
use crate::fit::check::{Asked, Check, Concerns, Group, Thumbnail};

use super::date_along::CHECK as DATE;

pub(super) const CHECK: Check = Check {
    id: "day-along",
    title: "day in its window, along",
    group: Group::Dial,
    asks: "With the movement turned as the case has it, does the day nearest the window sit inside it, along the radius?",
    formula: "D = the direction of the day nearest the window − dial.day_window.at; (day_window.along − movement.day.along) / 2 − abs(movement.day.radius cos D − day_window.radius); less centring where no feet hold the dial",
    measured: DATE.measured,
    ignored: DATE.ignored,
    remedy: DATE.remedy,
    unit: "mm",
    concerns: Concerns::Parts,
    acceptable: true,
    thumbnail: Thumbnail::Date,
    scene: None,
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    if watch.calendar(Calendar::Day) {
        asked.measure("", watch.room_along(Calendar::Day));
    }
}
