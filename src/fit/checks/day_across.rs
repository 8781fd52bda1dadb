//! Does the window show the whole name of the day across the radius?

use crate::fit::calendar::Calendar;
use crate::fit::check::{Asked, Check, Group, Hint};
use crate::fit::watch::Watch;

pub(super) const CHECK: Check = Check {
    id: "day-across",
    title: "day in its window, across",
    group: Group::Dial,
    asks: "Does the name of the day next to the window stand inside it across the radius, as the movement is turned into the case?",
    formula: "D = the direction of the figure next to the window − dial.day_window.at; (day_window.across − movement.day.across) / 2 − abs(movement.day.radius sin D); less centring where no feet hold the dial",
    measured: "Window and figures from one photo taken square on, or a flatbed scan with a pin gauge beside them: their width across the radius, their direction and their radius.",
    ignored: "Half of one figure and half of the next stand in the window: the dial was made for another place of the crown.",
    remedy: "A dial made for this place of the crown; a movement that is turned by whole figures; a taped dial can be turned by a degree before it looks crooked.",
    unit: "mm",
    drawing: Hint::Date,
    run,
};

fn run(watch: &Watch<'_>, asked: &mut Asked) {
    if watch.calendar(Calendar::Day) {
        asked.measure("", watch.room_across(Calendar::Day));
    }
}
