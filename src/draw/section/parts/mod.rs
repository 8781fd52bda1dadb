//! The parts in the cut, each from the levels.
//!
//! Bevels, threads and the back's snap are not measured by anyone: they are drawn as they usually
//! are, in proportion to what was measured, and carry no dimension.

mod case;
mod crystal;
mod dial;
mod hands;
mod movement;
mod stem_and_crown;

pub(super) use self::case::case_outline;
pub(super) use self::dial::{chapter_ring_outline, dial_ring_outline};
pub(super) use self::hands::small_seconds;
pub(super) use self::movement::movement_ring_outline;
pub(super) use self::stem_and_crown::crown_end;

use self::case::{back_gasket, back_outline, bezel};
use self::crystal::{crystal_gasket, crystal_outline};
use self::dial::{chapter_ring, dial};
use self::hands::{hands, posts};
use self::movement::{movement, movement_ring};
use self::stem_and_crown::stem_and_crown;
use super::levels::Levels;
use crate::draw::drafting::{Halves, Ink, View};
use crate::draw::svg::Sheet;
use crate::draw::watch::DrawnWatch;

/// Everything that is cut, hands turned into the plane, from behind to the front.
pub(super) fn watch(sheet: &mut Sheet, view: &View, watch: &DrawnWatch, levels: &Levels, halves: Halves) {
    if watch.movement.is_some() {
        movement(sheet, view, watch, levels, halves);
    }
    posts(sheet, view, watch, levels, halves);
    if let Some(case) = &levels.case {
        view.ring(sheet, Ink::METAL, &case_outline(watch, levels, case), halves);
        bezel(sheet, view, watch, case, halves);
        movement_ring(sheet, view, watch, levels, halves);
        back_gasket(sheet, view, watch, case, halves);
    } else {
        movement_ring(sheet, view, watch, levels, halves);
    }
    dial(sheet, view, watch, levels, halves);
    chapter_ring(sheet, view, watch, levels, halves);
    if let Some(crystal) = &levels.crystal {
        crystal_gasket(sheet, view, watch, levels, crystal, halves);
        view.disc(sheet, Ink::GLASS, &crystal_outline(crystal), halves);
    }
    if let Some(case) = &levels.case {
        view.disc(sheet, Ink::NEIGHBOUR, &back_outline(watch, levels, case), halves);
    }
    hands(sheet, view, watch, levels, halves);
    stem_and_crown(sheet, view, watch, levels);
}
