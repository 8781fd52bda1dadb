//! The small seconds hand over its dial.

use super::detail::{BELOW_TITLE, Detail, MAGNIFIED, Room, below_or_beside, title};
use super::hand_stack::hand_cut;
use crate::draw::drafting::{Coordinate, Halves, Ink, Label, View, size};
use crate::draw::section::levels::HandCut;
use crate::draw::svg::Sheet;
use crate::draw::watch::{Clearance, Place};

impl Detail<'_> {
    pub(super) fn draw_small_seconds(&self, sheet: &mut Sheet, room: Room, hand: &HandCut) -> f64 {
        let levels = self.levels;
        let dial = self.watch.dial.as_ref();
        let sub = dial.and_then(|d| d.small_seconds);
        title(sheet, room, "C", "the small seconds");
        let top = room.y + BELOW_TITLE;
        let scale = self.section * MAGNIFIED;
        let high = hand.top.mm.max(hand.post_top.mm).max(levels.face.mm) + 0.4;
        let low = -0.3;
        let height = ((high - low) * scale).min(240.0);
        let view = View { x0: room.frame / 2.0, y0: high * scale, scale };
        let wide = room.frame / scale;
        let mut cut = Sheet::default();
        view.rect(&mut cut, "n mf", (-wide, wide), (-1.5, 0.0));
        let recess = sub.and_then(|s| size(s.recess));
        let floor = levels.face - recess.map_or(Coordinate::guess(0.0), Coordinate::known);
        let floor = Coordinate { known: levels.face.known, ..floor };
        let hole = Coordinate::known(hand.post.mm + 0.25);
        let edge = sub.and_then(|s| size(s.diameter)).map_or(wide, |d| d / 2.0);
        let edge = Coordinate::known(edge.max(hole.mm + 0.1));
        let far = Coordinate::known(edge.mm + wide);
        view.ring(
            &mut cut,
            Ink::METAL,
            &[
                (hole, levels.under),
                (far, levels.under),
                (far, levels.face),
                (edge, levels.face),
                (edge, floor),
                (hole, floor),
            ],
            Halves::Both,
        );
        let clearance = self.clearance(Place::SmallSeconds);
        if clearance.is_some_and(Clearance::accented) {
            view.rect(&mut cut, "w", (hand.post.mm + 0.25, wide), (floor.mm, hand.under.mm));
        }
        let zero = Coordinate::known(-0.5);
        let ink = Ink { outline: "o", filling: "pp" };
        let (left, right) = (hand.post * -1.0, hand.post);
        view.ring(
            &mut cut,
            ink,
            &[(left, zero), (right, zero), (right, hand.post_top), (left, hand.post_top)],
            Halves::Right,
        );
        hand_cut(&mut cut, &view, hand, wide);
        cut.line("k", view.x0, 0.0, view.x0, height);
        sheet.window((room.x, top), (room.frame, height), &cut);
        let width = room.right.map_or(room.frame, |right| right - room.x - room.frame - 14.0);
        let label = match clearance {
            Some(clearance) => Label::of(clearance, width),
            None => Label::name("hand over its dial", width),
        };
        below_or_beside(sheet, room, (top, top + height), vec![label])
    }
}
