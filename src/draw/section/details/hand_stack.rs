//! Detail A: the hands on their posts, the gaps between them in one chain of dimensions.

use super::detail::{BELOW_TITLE, Cutout, Detail, MAGNIFIED, Room, title};
use crate::draw::drafting::{Coordinate, size};
use crate::draw::drafting::{Halves, Ink, View, link};
use crate::draw::drafting::{Label, spread};
use crate::draw::section::levels::HandCut;
use crate::draw::section::parts;
use crate::draw::svg::Style;
use crate::draw::svg::{Anchor, Path, Sheet, figure};
use crate::draw::watch::{Clearance, Place, Role};
use crate::fit::verdict::Verdict;

impl Detail<'_> {
    /// The hands on the axis, from the dial upwards; empty: no detail A.
    pub(in crate::draw::section) fn stack(&self) -> Vec<HandCut> {
        self.levels.stack(parts::small_seconds(self.watch).is_some())
    }

    /// What detail A shows of the section, in a frame of so many px.
    pub(in crate::draw::section) fn stack_cutout(&self, frame: f64) -> Option<(Cutout, f64)> {
        let stack = self.stack();
        let highest = stack
            .iter()
            .map(|hand| hand.top.mm.max(hand.post_top.mm))
            .fold(None, |a: Option<f64>, b| Some(a.map_or(b, |a| a.max(b))))?;
        let low = -0.3;
        let mut high = highest + 0.5;
        if let Some(crystal) = &self.levels.crystal {
            let inner = crystal.inner(0.0);
            if inner < highest + 1.6 && inner > highest - 1.0 {
                high = high.max(inner + 0.2);
            }
        }
        let high = high.clamp(low + 1.0, low + 16.0);
        // As large as told, and smaller where it would grow too tall.
        let scale = (self.section * MAGNIFIED).min(330.0 / (high - low));
        let half = frame / 2.0 / scale;
        Some((((-half, half), (low, high)), scale))
    }

    /// Detail A; the y below it, `None` where there is no hand.
    pub(in crate::draw::section) fn draw_stack(&self, sheet: &mut Sheet, room: Room) -> Option<f64> {
        let ((r, z), scale) = self.stack_cutout(room.frame)?;
        let stack = self.stack();
        title(sheet, room, "A", &format!("the stack of hands, {}", self.times(scale)));
        let top = room.y + BELOW_TITLE;
        let height = (z.1 - z.0) * scale;
        let inner = View { x0: room.frame / 2.0, y0: z.1 * scale, scale };
        let mut cut = Sheet::default();
        self.stack_inside(&mut cut, &inner, &stack, r.1, z.1);
        sheet.window((room.x, top), (room.frame, height), &cut);
        let outer = View { x0: room.x + inner.x0, y0: top + inner.y0, ..inner };
        self.hand_names(sheet, &outer, &stack, r.1, (top, top + height));

        let right = room.right.unwrap_or(room.x + room.frame + 190.0);
        let below = self.chain(sheet, &outer, &stack, (room.x + room.frame, right), (top, top + height));
        Some((top + height).max(below))
    }

    pub(in crate::draw::section) fn stack_inside(
        &self,
        cut: &mut Sheet,
        view: &View,
        stack: &[HandCut],
        half: f64,
        high: f64,
    ) {
        let levels = self.levels;
        let wide = half + 1.0;
        if let Some(crystal) = &levels.crystal {
            let known = crystal.known();
            let mut corners = vec![(Coordinate::known(-wide), Coordinate { mm: high + 1.0, known })];
            let steps = if crystal.rise.mm.abs() < 1e-6 { 1 } else { 6_u8 };
            for i in 0..=steps {
                let r = -wide + 2.0 * wide * f64::from(i) / f64::from(steps);
                corners.push((Coordinate::known(r), Coordinate { mm: crystal.inner(r), known }));
            }
            corners.push((Coordinate::known(wide), Coordinate { mm: high + 1.0, known }));
            view.ring(cut, Ink::GLASS, &corners, Halves::Right);
        }
        if self.watch.movement.is_some() {
            view.rect(cut, "n mf", (-wide, wide), (-1.5, 0.0));
        }
        for (lower, upper) in self.links(stack) {
            if upper.accented {
                let from = lower.post.max(0.3);
                view.rect(cut, "w", (from, wide), (lower.z, upper.z));
            }
        }
        if let Some(dial) = &self.watch.dial {
            let hole = Coordinate::radius(dial.centre_hole, 1.0);
            let edge = Coordinate::known(wide.max(hole.mm + 0.1));
            let (a, b) = (levels.under, levels.face);
            view.ring(cut, Ink::METAL, &[(hole, a), (edge, a), (edge, b), (hole, b)], Halves::Both);
            if self.watch.shim.is_some() {
                // Seen beyond the cut: it lies further out.
                view.rect(cut, "n", (-wide, wide), (0.0, levels.under.mm));
            }
        }
        self.pipes(cut, view, stack);
        for hand in stack {
            hand_cut(cut, view, hand, wide);
        }
        cut.line("k", view.x(0.0), view.y(high), view.x(0.0), view.y(-0.3));
    }

    /// The posts one in another, the innermost a pin.
    fn pipes(&self, cut: &mut Sheet, view: &View, stack: &[HandCut]) {
        if self.watch.movement.is_none() {
            return;
        }
        let mut inner = Coordinate::known(0.0);
        let mut posts: Vec<&HandCut> = stack.iter().collect();
        posts.sort_by(|a, b| a.post.mm.total_cmp(&b.post.mm));
        let pipe = self.watch.movement.as_ref().and_then(|m| size(m.pipe_diameter)).map(|d| d / 2.0);
        for (i, hand) in posts.iter().enumerate() {
            if hand.post.mm <= inner.mm {
                continue;
            }
            let top = hand.post_top;
            let zero = Coordinate::known(-0.5);
            if i == 0 {
                view.ring(
                    cut,
                    Ink { outline: "o", filling: "pp" },
                    &[(hand.post * -1.0, zero), (hand.post, zero), (hand.post, top), (hand.post * -1.0, top)],
                    Halves::Right,
                );
            } else {
                let ink = if i % 2 == 1 { Ink::METAL } else { Ink::NEIGHBOUR };
                let mut corners = vec![(inner, zero)];
                // The hour pipe widens below its hand.
                match pipe.filter(|r| hand.role == Role::Hour && *r > hand.post.mm) {
                    Some(wide) => {
                        let shoulder = Coordinate { mm: hand.under.mm - 0.05, known: hand.under.known };
                        let wide = Coordinate::known(wide);
                        corners.extend([(wide, zero), (wide, shoulder), (hand.post, shoulder)]);
                    }
                    None => corners.push((hand.post, zero)),
                }
                corners.extend([(hand.post, top), (inner, top)]);
                view.ring(cut, ink, &corners, Halves::Both);
            }
            inner = hand.post;
        }
    }

    /// The gaps from the dial's face to the crystal, lowest first.
    fn links(&self, stack: &[HandCut]) -> Vec<(LinkEnd, LinkEnd)> {
        let mut out = Vec::new();
        let plain = |z: f64, known: bool, post: f64| LinkEnd { z, known, post, accented: false };
        for (i, hand) in stack.iter().enumerate() {
            let below = if i == 0 {
                if self.watch.dial.is_none() {
                    continue;
                }
                plain(self.levels.face.mm, self.levels.face.known, hand.post.mm)
            } else {
                plain(stack[i - 1].top.mm, stack[i - 1].top.known, hand.post.mm)
            };
            let mut above = plain(hand.under.mm, hand.under.known, hand.post.mm);
            above.accented = self.link_clearance(stack, i).is_some_and(Clearance::accented);
            out.push((below, above));
        }
        out
    }

    fn link_clearance(&self, stack: &[HandCut], i: usize) -> Option<&Clearance> {
        let place = match i.checked_sub(1) {
            None => Place::OverDial(stack[i].role),
            Some(lower) => Place::HandsApart { upper: stack[i].role, lower: stack[lower].role },
        };
        self.clearance(place)
    }

    /// The chain of dimensions beside the stack; the y below its last label.
    fn chain(
        &self,
        sheet: &mut Sheet,
        view: &View,
        stack: &[HandCut],
        (edge, right): (f64, f64),
        (top, bottom): (f64, f64),
    ) -> f64 {
        let x = edge + 18.0;
        let text = x + 13.0;
        let room = (right - text).max(60.0);
        let mut rows: Vec<(f64, f64, Label)> = Vec::new();
        if let (Some(crystal), Some(hand)) = (&self.levels.crystal, stack.last()) {
            let inner = crystal.inner(0.0);
            if view.y(inner) >= top {
                let known = crystal.foot.known && crystal.rise.known && hand.top.known;
                let words = format!("{} to crystal, at the axis", hand.role.word());
                let mut label = Label::name(&words, room);
                label.figure = if known { figure(inner - hand.top.mm, 2) } else { String::new() };
                label.verdict = (!known).then_some(Verdict::Unmeasured);
                label.accented = !known;
                rows.push((hand.top.mm, inner, label));
            }
        }
        let links = self.links(stack);
        let offset = stack.len() - links.len();
        for (n, (below, above)) in links.iter().enumerate().rev() {
            let i = n + offset;
            let label = match self.link_clearance(stack, i) {
                Some(clearance) => Label::of(clearance, room),
                None => {
                    let lower = if i == 0 { "dial" } else { stack[i - 1].role.word() };
                    let mut label = Label::name(&format!("{} over {lower}", stack[i].role.word()), room);
                    if below.known && above.known {
                        label.figure = figure(above.z - below.z, 2);
                    } else {
                        label.verdict = Some(Verdict::Unmeasured);
                        label.accented = true;
                    }
                    label
                }
            };
            rows.push((below.z, above.z, label));
        }

        // A hand that an absurd figure puts elsewhere is dimensioned at the frame's edge.
        let y = |z: f64| view.y(z).clamp(top, bottom);
        let mut extensions = Path::default();
        let mut drawn: Vec<i64> = Vec::new();
        for (a, b, _) in &rows {
            for z in [*a, *b] {
                #[expect(clippy::cast_possible_truncation, reason = "a key within the drawing")]
                let key = (z.clamp(-99.0, 99.0) * 1000.0).round() as i64;
                if !drawn.contains(&key) {
                    drawn.push(key);
                    extensions.to(edge, y(z)).line(x + 5.0, y(z));
                }
            }
        }
        sheet.path("x", &extensions);
        let wanted: Vec<f64> = rows.iter().map(|(a, b, _)| f64::midpoint(y(*a), y(*b))).collect();
        let heights: Vec<f64> = rows.iter().map(|(.., label)| label.height()).collect();
        // Upside down figures may stand in any order; their labels keep the stack's.
        let mut order: Vec<f64> = wanted.clone();
        order.sort_by(f64::total_cmp);
        let places = spread(&order, &heights, 3.0, top - 8.0);
        let mut lowest = top;
        for (((a, b, label), middle), wish) in rows.iter().zip(&places).zip(&wanted) {
            link(sheet, x, y(*a), y(*b), label.accented);
            if (middle - wish).abs() > 9.0 {
                let class = if label.accented { "xa" } else { "x" };
                sheet.line(class, x + 2.0, *wish, text - 3.0, middle - label.height() / 2.0 + 6.5);
            }
            label.draw(sheet, text, middle - label.height() / 2.0);
            lowest = lowest.max(middle + label.height() / 2.0);
        }
        lowest
    }

    /// The hands' names inside the frame, where a gap leaves room for one: over a hand that points to
    /// the left, under one that points to the right.
    fn hand_names(
        &self,
        sheet: &mut Sheet,
        view: &View,
        stack: &[HandCut],
        half: f64,
        (top, bottom): (f64, f64),
    ) {
        const ROOM: f64 = 18.0;
        let ceiling = self.levels.crystal.as_ref().map_or(f64::MAX, |crystal| crystal.inner(half));
        for (i, hand) in stack.iter().enumerate() {
            let word = hand.role.word();
            let left = matches!(hand.role, Role::Hour | Role::SecondTime) || i + 1 == stack.len();
            let (under, over, post) = if left {
                let next = stack.get(i + 1);
                (
                    hand.top.mm,
                    next.map_or(ceiling, |next| next.under.mm),
                    next.map_or(0.0, |next| next.post.mm),
                )
            } else {
                let below = i.checked_sub(1).map_or(self.levels.face.mm, |i| stack[i].top.mm);
                (below, hand.under.mm, hand.post.mm)
            };
            let (low, high) = (view.y(under), view.y(over).max(top));
            let free = (half - post) * view.scale - 14.0;
            if low > bottom || low - high < ROOM || Style::Name.width(word) > free {
                continue;
            }
            if left {
                sheet.text("q", view.x(-half) + 6.0, low - 5.0, Anchor::Start, word);
            } else {
                sheet.text("q", view.x(half) - 6.0, high + 13.5, Anchor::End, word);
            }
        }
    }
}

/// An end of a gap between two hands.
struct LinkEnd {
    z: f64,
    known: bool,
    /// The wash begins outside of this radius.
    post: f64,
    accented: bool,
}

/// A hand in detail: its two halves beside the post, with its pipe.
pub(super) fn hand_cut(cut: &mut Sheet, view: &View, hand: &HandCut, wide: f64) {
    let (left, right) = match hand.role {
        Role::Hour | Role::SecondTime => (hand.length.mm, hand.tail),
        Role::Minute | Role::Seconds => (hand.tail, hand.length.mm),
    };
    // The bore is drawn as wide as its post, known or not: the hand's heights are what is shown.
    let bore = Coordinate::known(hand.post.mm);
    for (side, reach) in [(-1.0, left), (1.0, right)] {
        let tip = Coordinate::known(reach.min(wide).max(bore.mm + 0.1));
        let corners = match hand.pipe.filter(|end| *end < hand.under.mm) {
            Some(end) => {
                let end = Coordinate { mm: end, known: hand.under.known };
                let around = bore.by(0.18);
                vec![
                    (bore, hand.top),
                    (tip, hand.top),
                    (tip, hand.under),
                    (around, hand.under),
                    (around, end),
                    (bore, end),
                ]
            }
            None => {
                vec![(bore, hand.top), (tip, hand.top), (tip, hand.under), (bore, hand.under)]
            }
        };
        let corners: Vec<_> = corners.into_iter().map(|(r, z)| (r * side, z)).collect();
        view.ring(cut, Ink::THIN, &corners, Halves::Right);
    }
    if hand.post_top.mm <= hand.top.mm + 0.01 && hand.post.mm < 0.3 {
        // The pin ends within its hand.
        let (a, b) = (hand.under.mm, hand.post_top.mm.min(hand.top.mm));
        if b > a {
            view.rect(cut, "o pp", (-hand.post.mm, hand.post.mm), (a, b));
        }
    }
}
