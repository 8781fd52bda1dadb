//! Does the window show the whole name of the day across the radius?

use crate::fit::assembly::Assembly;
use crate::fit::calendar::Calendar;
use crate::fit::check::{Asked, Check, Concerns, Group, Thumbnail};

use super::date_across::CHECK as DATE;

pub(super) const CHECK: Check = Check {
    id: "day-across",
    title: "day in its window, across",
    group: Group::Dial,
    asks: "With the movement turned as the case has it, does the day nearest the window sit inside it, across the radius?",
    formula: "D = the direction of the day nearest the window − dial.day_window.at; (day_window.across − movement.day.across) / 2 − abs(movement.day.radius sin D); less centring where no feet hold the dial",
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
        asked.measure("", watch.room_across(Calendar::Day));
    }
}
