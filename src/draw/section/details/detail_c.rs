//! Detail C: the date in its window, or the small seconds.

use super::detail::{Detail, Room};
use crate::draw::drafting::size;
use crate::draw::section::levels::HandCut;
use crate::draw::section::parts;
use crate::draw::svg::Sheet;
use crate::draw::watch::{Role, Window};

/// What detail C shows.
#[derive(Clone, Copy)]
pub(in crate::draw::section) enum DetailC {
    /// A window in the dial and the figure that stands next to it.
    Window(Window, Option<Window>),
    /// The small seconds hand.
    Seconds(HandCut),
}

impl Detail<'_> {
    /// The window and the figure that detail C would show, or the small seconds.
    pub(in crate::draw::section) fn detail_c(&self) -> Option<DetailC> {
        let dial = self.watch.dial.as_ref()?;
        let window = dial.date_window.or(dial.day_window);
        let of_movement = self.watch.movement.as_ref();
        let shown = if dial.date_window.is_some() {
            of_movement.and_then(|m| m.date)
        } else {
            of_movement.and_then(|m| m.day)
        };
        if let Some(window) = window
            && size(window.radius).is_some()
            && size(window.along).filter(|v| *v > 0.1).is_some()
            && size(window.across).filter(|v| *v > 0.1).is_some()
        {
            return Some(DetailC::Window(window, shown));
        }
        parts::small_seconds(self.watch)?;
        self.levels.hands.iter().find(|h| h.role == Role::Seconds).map(|hand| DetailC::Seconds(*hand))
    }

    /// Detail C; the y below it.
    pub(in crate::draw::section) fn draw_detail_c(&self, sheet: &mut Sheet, room: Room) -> Option<f64> {
        match self.detail_c()? {
            DetailC::Window(window, figure) => Some(self.draw_window(sheet, room, window, figure)),
            DetailC::Seconds(hand) => Some(self.draw_small_seconds(sheet, room, &hand)),
        }
    }
}
