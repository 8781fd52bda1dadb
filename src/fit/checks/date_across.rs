//! Does the window show the whole date figure across the radius?

use crate::fit::assembly::Assembly;
use crate::fit::calendar::Calendar;
use crate::fit::check::{Asked, Check, Concerns, Group, Scene, Thumbnail};

pub(super) const CHECK: Check = Check {
    id: "date-across",
    title: "date in its window, across",
    group: Group::Dial,
    asks: "With the movement turned as the case has it, does the date numeral nearest the window sit inside it, across the radius?",
    formula: "D = the direction of the numeral nearest the window − dial.date_window.at; (date_window.across − movement.date.across) / 2 − abs(movement.date.radius sin D); less centring where no feet hold the dial",
    measured: "Window and numerals from one photo taken square on, or a flatbed scan with a pin gauge beside them: their width across the radius, their direction and their radius.",
    ignored: "The window shows half of one numeral and half of the next: the dial was made for another place of the crown.",
    remedy: "A dial made for this place of the crown; a movement that is turned by whole numerals; a taped dial can be turned by a degree before it looks crooked.",
    unit: "mm",
    concerns: Concerns::Parts,
    acceptable: true,
    thumbnail: Thumbnail::Date,
    scene: Some(Scene::DateAcross),
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    if watch.calendar(Calendar::Date) {
        asked.measure("", watch.room_across(Calendar::Date));
    }
}
