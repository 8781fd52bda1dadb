//! The date in its window.

use super::detail::{BELOW_TITLE, Detail, MAGNIFIED, Room, below_or_beside, title};
use crate::draw::drafting::{Label, View, size};
use crate::draw::svg::{Path, Sheet, figure};
use crate::draw::watch::{Clearance, Place, Window};

impl Detail<'_> {
    pub(super) fn draw_window(
        &self,
        sheet: &mut Sheet,
        room: Room,
        window: Window,
        shown: Option<Window>,
    ) -> f64 {
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
    pub(in crate::draw::section) fn window_inside(
        &self,
        cut: &mut Sheet,
        view: &View,
        window: Window,
        shown: Option<Window>,
    ) {
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
}
