//! Detail C: the date in its window, or the small seconds.

use super::hand_stack::hand_cut;
use super::{BELOW_TITLE, Detail, MAGNIFIED, Room, below_or_beside, title};
use crate::draw::drafting::Label;
use crate::draw::drafting::{Coordinate, size};
use crate::draw::drafting::{Halves, Ink, View};
use crate::draw::section::levels::HandCut;
use crate::draw::section::parts;
use crate::draw::svg::{Path, Sheet, figure};
use crate::draw::watch::{Clearance, Place, Role, Window};

/// What detail C shows.
#[derive(Clone, Copy)]
pub(crate) enum DetailC {
    /// A window in the dial and the figure that stands next to it.
    Window(Window, Option<Window>),
    /// The small seconds hand.
    Seconds(HandCut),
}

impl Detail<'_> {
    /// The window and the figure that detail C would show, or the small seconds.
    pub(crate) fn detail_c(&self) -> Option<DetailC> {
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
    pub(crate) fn draw_detail_c(&self, sheet: &mut Sheet, room: Room) -> Option<f64> {
        match self.detail_c()? {
            DetailC::Window(window, figure) => Some(self.draw_window(sheet, room, window, figure)),
            DetailC::Seconds(hand) => Some(self.draw_small_seconds(sheet, room, &hand)),
        }
    }

    fn draw_window(&self, sheet: &mut Sheet, room: Room, window: Window, shown: Option<Window>) -> f64 {
        let (along, across) = (window.along.unwrap_or(1.0), window.across.unwrap_or(1.0));
        let height = room.frame * 0.8;
        let scale = (self.section * MAGNIFIED).min(room.frame / (along * 1.5)).min(height / (across * 1.5));
        title(sheet, room, "C", "the date in its window");
        let top = room.y + BELOW_TITLE;
        let mut cut = Sheet::default();
        let view = View { x0: room.frame / 2.0, y0: height / 2.0, scale };
        self.window_inside(&mut cut, &view, window, shown);
        sheet.window((room.x, top), (room.frame, height), &cut);

        let mut labels: Vec<Label> = Vec::new();
        let width = room.right.map_or(room.frame, |right| right - room.x - room.frame - 14.0);
        for place in [Place::DateAlong, Place::DateAcross] {
            if let Some(clearance) = self.clearance(place) {
                labels.push(Label::of(clearance, width));
            }
        }
        if labels.is_empty() {
            let words = format!("window {} by {}", figure(along, 2), figure(across, 2));
            labels.push(Label::name(&words, width));
        }
        if shown.is_none() {
            labels.push(Label::unmeasured("the place of the figures", width));
        }
        below_or_beside(sheet, room, (top, top + height), labels)
    }

    /// The window and the figure next to it, the window's middle at the view's: radially outwards to
    /// the right, clockwise downwards.
    pub(crate) fn window_inside(&self, cut: &mut Sheet, view: &View, window: Window, shown: Option<Window>) {
        let (along, across) = (window.along.unwrap_or(1.0), window.across.unwrap_or(1.0));
        let radius = window.radius.unwrap_or(0.0);
        let at = |u: f64, v: f64| (view.x(u), view.y(-v));
        let (w, h) = (along / 2.0, across / 2.0);
        let far = 40.0;
        // The dial around its window.
        let mut dial = Path::default();
        dial.polygon(&[at(-far, -far), at(far, -far), at(far, far), at(-far, far)]);
        dial.polygon(&[at(-w, -h), at(-w, h), at(w, h), at(w, -h)]);
        let angles = window.at.zip(shown.and_then(|s| s.at));
        if let Some((lean, (r, a, c))) = shown.and_then(|s| {
            let lean =
                angles.map_or(0.0, |(window, shown)| (shown - window + 540.0).rem_euclid(360.0) - 180.0);
            let dims = (size(s.radius)?, size(s.along)?, size(s.across)?);
            lean.is_finite().then_some((lean.clamp(-60.0, 60.0).to_radians(), dims))
        }) {
            let (sin, cos) = (libm::sin(lean), libm::cos(lean));
            let corner = |u: f64, v: f64| at((r + u) * cos - v * sin - radius, (r + u) * sin + v * cos);
            let (a, c) = (a / 2.0, c / 2.0);
            let accented = [Place::DateAlong, Place::DateAcross]
                .into_iter()
                .any(|place| self.clearance(place).is_some_and(Clearance::accented));
            let class = if accented { "n w" } else { "n mf" };
            cut.polygon(class, &[corner(-a, -c), corner(a, -c), corner(a, c), corner(-a, c)]);
            cut.path("dh", &dial);
            // The figure goes on under the dial.
            cut.polygon("n", &[corner(-a, -c), corner(a, -c), corner(a, c), corner(-a, c)]);
            let ends = (corner(-far, 0.0), corner(far, 0.0));
            cut.line("k", ends.0.0, ends.0.1, ends.1.0, ends.1.1);
        } else {
            cut.path("dh", &dial);
        }
        let mut edge = Path::default();
        edge.polygon(&[at(-w, -h), at(w, -h), at(w, h), at(-w, h)]);
        cut.path("o", &edge);
        cut.line("k", view.x(-far), view.y0, view.x(far), view.y0);
        cut.line("k", view.x0, view.y(far), view.x0, view.y(-far));
    }

    fn draw_small_seconds(&self, sheet: &mut Sheet, room: Room, hand: &HandCut) -> f64 {
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
