//! Does the window show the whole date figure along the radius?

use crate::fit::assembly::Assembly;
use crate::fit::calendar::Calendar;
use crate::fit::check::{Asked, Check, Concerns, Group, Scene, Thumbnail};

pub(super) const CHECK: Check = Check {
    id: "date-along",
    title: "date in its window, along",
    group: Group::Dial,
    asks: "With the movement turned as the case has it, does the date numeral nearest the window sit inside it, along the radius?",
    formula: "D = the direction of the numeral nearest the window − dial.date_window.at; (date_window.along − movement.date.along) / 2 − abs(movement.date.radius cos D − date_window.radius); less centring where no feet hold the dial",
    measured: "Window and numerals from one photo taken square on, or a flatbed scan with a pin gauge beside them: the radius from the centre to the middle of each, their size along the radius, their direction.",
    ignored: "The window's inner or outer edge cuts the numeral, every day of the month.",
    remedy: "A dial whose window is where the movement's numerals are; a dial without feet can be moved by a tenth or two before it is taped; or a dial without a window.",
    unit: "mm",
    concerns: Concerns::Parts,
    acceptable: true,
    thumbnail: Thumbnail::Date,
    scene: Some(Scene::DateAlong),
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    if watch.calendar(Calendar::Date) {
        asked.measure("", watch.room_along(Calendar::Date));
    }
}
