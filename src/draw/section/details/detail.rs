//! What the details have in common.

use crate::draw::drafting::Label;
use crate::draw::section::levels::Levels;
use crate::draw::svg::{Anchor, Sheet, Style, figure};
use crate::draw::watch::{Clearance, DrawnWatch, Place};

/// A magnified place, not yet drawn.
pub(in crate::draw::section) struct Detail<'a> {
    pub(in crate::draw::section) watch: &'a DrawnWatch,
    pub(in crate::draw::section) levels: &'a Levels,
    /// px for a millimetre of the section that it belongs to.
    pub(in crate::draw::section) section: f64,
}

/// Where a detail is put.
#[derive(Clone, Copy)]
pub(in crate::draw::section) struct Room {
    /// Left edge.
    pub(in crate::draw::section) x: f64,
    /// Baseline of its title.
    pub(in crate::draw::section) y: f64,
    /// Width of its frame.
    pub(in crate::draw::section) frame: f64,
    /// Right edge of its labels, which stand at the right of the frame.
    pub(in crate::draw::section) right: Option<f64>,
}

/// The frame in the section that a detail magnifies: radii and heights in mm.
pub(in crate::draw::section) type Cutout = ((f64, f64), (f64, f64));

/// A detail's scale over the section's.
pub(in crate::draw::section) const MAGNIFIED: f64 = 5.0;

/// From a title's baseline to its frame.
pub(in crate::draw::section) const BELOW_TITLE: f64 = 10.0;

impl Detail<'_> {
    pub(in crate::draw::section) fn clearance(&self, place: Place) -> Option<&Clearance> {
        self.watch.clearances.iter().find(|c| c.place == place)
    }

    /// How many times the section's scale, in words.
    pub(in crate::draw::section) fn times(&self, scale: f64) -> String {
        let times = figure(scale / self.section, 1);
        format!("{} times the section", times.trim_end_matches(".0"))
    }
}

/// A detail's letter and what it is.
pub(in crate::draw::section) fn title(sheet: &mut Sheet, room: Room, letter: &str, words: &str) {
    sheet.text("big", room.x, room.y, Anchor::Start, letter);
    let end = room.right.unwrap_or(room.x + room.frame);
    let width = Style::Overall.width(letter) + 8.0;
    let words = Style::Name.fitted(words, end - room.x - width);
    sheet.text("q", room.x + width, room.y, Anchor::Start, &words);
}

/// Labels under a frame, or beside it where the detail has room there; the y below them.
pub(in crate::draw::section) fn below_or_beside(
    sheet: &mut Sheet,
    room: Room,
    (top, bottom): (f64, f64),
    labels: Vec<Label>,
) -> f64 {
    let (x, mut y) = match room.right {
        Some(_) => (room.x + room.frame + 14.0, top - 2.0),
        None => (room.x, bottom + 8.0),
    };
    for label in labels {
        label.draw(sheet, x, y);
        y += label.height() + 5.0;
    }
    y.max(bottom + 4.0)
}
