//! The magnified details under the section: A the stack of hands, B the dial's edge in its seat, C the
//! date in its window or the small seconds.

use super::levels::{HandCut, Levels};
use super::parts;
use crate::draw::fix::{Fix, size};
use crate::draw::labels::{Label, spread};
use crate::draw::lettering::Style;
use crate::draw::svg::{Anchor, Path, Sheet, figure};
use crate::draw::verdict::Verdict;
use crate::draw::view::{Halves, Ink, View, level, link};
use crate::draw::watch::{Clearance, Place, Role, Watch, Window};

/// A magnified place, not yet drawn.
pub(super) struct Detail<'a> {
    pub(super) watch: &'a Watch,
    pub(super) levels: &'a Levels,
    /// px for a millimetre of the section that it belongs to.
    pub(super) section: f64,
}

/// Where a detail is put.
#[derive(Clone, Copy)]
pub(super) struct Room {
    /// Left edge.
    pub(super) x: f64,
    /// Baseline of its title.
    pub(super) y: f64,
    /// Width of its frame.
    pub(super) frame: f64,
    /// Right edge of its labels, which stand at the right of the frame.
    pub(super) right: Option<f64>,
}

/// The frame in the section that a detail magnifies: radii and heights in mm.
pub(super) type Cutout = ((f64, f64), (f64, f64));

const MAGNIFIED: f64 = 5.0;
const BELOW_TITLE: f64 = 10.0;

impl Detail<'_> {
    fn clearance(&self, place: Place) -> Option<&Clearance> {
        self.watch.clearances.iter().find(|c| c.place == place)
    }

    /// The hands on the axis, from the dial upwards; empty: no detail A.
    fn stack(&self) -> Vec<HandCut> {
        self.levels.stack(parts::small_seconds(self.watch).is_some())
    }

    /// What detail A shows of the section, in a frame of so many px.
    pub(super) fn stack_cutout(&self, frame: f64) -> Option<(Cutout, f64)> {
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
    pub(super) fn draw_stack(&self, sheet: &mut Sheet, room: Room) -> Option<f64> {
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

    fn stack_inside(&self, cut: &mut Sheet, view: &View, stack: &[HandCut], half: f64, high: f64) {
        let levels = self.levels;
        let wide = half + 1.0;
        if let Some(crystal) = &levels.crystal {
            let known = crystal.known();
            let mut corners = vec![(Fix::known(-wide), Fix { mm: high + 1.0, known })];
            let steps = if crystal.rise.mm.abs() < 1e-6 { 1 } else { 6_u8 };
            for i in 0..=steps {
                let r = -wide + 2.0 * wide * f64::from(i) / f64::from(steps);
                corners.push((Fix::known(r), Fix { mm: crystal.inner(r), known }));
            }
            corners.push((Fix::known(wide), Fix { mm: high + 1.0, known }));
            view.ring(cut, Ink::GLASS, &corners, Halves::Right);
        }
        if self.watch.movement.is_some() {
            view.rect(cut, "n mf", (-wide, wide), (-1.5, 0.0));
        }
        for (lower, upper) in self.links(stack) {
            if upper.looked_at {
                let from = lower.post.max(0.3);
                view.rect(cut, "w", (from, wide), (lower.z, upper.z));
            }
        }
        if let Some(dial) = &self.watch.dial {
            let hole = Fix::radius(dial.centre_hole, 1.0);
            let edge = Fix::known(wide.max(hole.mm + 0.1));
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
        let mut inner = Fix::known(0.0);
        let mut posts: Vec<&HandCut> = stack.iter().collect();
        posts.sort_by(|a, b| a.post.mm.total_cmp(&b.post.mm));
        let pipe = self.watch.movement.as_ref().and_then(|m| size(m.pipe_diameter)).map(|d| d / 2.0);
        for (i, hand) in posts.iter().enumerate() {
            if hand.post.mm <= inner.mm {
                continue;
            }
            let top = hand.post_top;
            let zero = Fix::known(-0.5);
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
                        let shoulder = Fix { mm: hand.under.mm - 0.05, known: hand.under.known };
                        let wide = Fix::known(wide);
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
        let plain = |z: f64, known: bool, post: f64| LinkEnd { z, known, post, looked_at: false };
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
            above.looked_at = self.link_clearance(stack, i).is_some_and(Clearance::looked_at);
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
                label.looked_at = !known;
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
                        label.looked_at = true;
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
            link(sheet, x, y(*a), y(*b), label.looked_at);
            if (middle - wish).abs() > 9.0 {
                let class = if label.looked_at { "xa" } else { "x" };
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

    /// How many times the section's scale, in words.
    fn times(&self, scale: f64) -> String {
        let times = figure(scale / self.section, 1);
        format!("{} times the section", times.trim_end_matches(".0"))
    }
}

/// An end of a gap between two hands.
struct LinkEnd {
    z: f64,
    known: bool,
    /// The wash begins outside of this radius.
    post: f64,
    looked_at: bool,
}

/// A hand in detail: its two halves beside the post, with its pipe.
fn hand_cut(cut: &mut Sheet, view: &View, hand: &HandCut, wide: f64) {
    let (left, right) = match hand.role {
        Role::Hour | Role::SecondTime => (hand.length.mm, hand.tail),
        Role::Minute | Role::Seconds => (hand.tail, hand.length.mm),
    };
    // The bore is drawn as wide as its post, known or not: the hand's heights are what is shown.
    let bore = Fix::known(hand.post.mm);
    for (side, reach) in [(-1.0, left), (1.0, right)] {
        let tip = Fix::known(reach.min(wide).max(bore.mm + 0.1));
        let corners = match hand.pipe.filter(|end| *end < hand.under.mm) {
            Some(end) => {
                let end = Fix { mm: end, known: hand.under.known };
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

/// A detail's letter and what it is.
pub(super) fn title(sheet: &mut Sheet, room: Room, letter: &str, words: &str) {
    sheet.text("big", room.x, room.y, Anchor::Start, letter);
    let end = room.right.unwrap_or(room.x + room.frame);
    let width = Style::Overall.width(letter) + 8.0;
    let words = Style::Name.fitted(words, end - room.x - width);
    sheet.text("q", room.x + width, room.y, Anchor::Start, &words);
}

impl Detail<'_> {
    /// What detail B shows of the section.
    pub(super) fn seat_cutout(&self, frame: f64) -> Option<(Cutout, f64)> {
        let case = self.levels.case.as_ref()?;
        self.watch.dial.as_ref()?;
        let scale = self.section * MAGNIFIED;
        let wide = frame / scale;
        let came = self.came().unwrap_or(0.0);
        let middle =
            f64::midpoint(case.seat.mm, self.levels.dial.mm.max(came).min(case.seat.mm + wide * 0.3));
        // With the movement's edge where that is near.
        let movement = self.levels.movement.mm - 0.25;
        let left = middle - wide * 0.55;
        let left = if left - wide * 0.2 < movement { left.min(movement) } else { left };
        let r = (left, left + wide);
        let face = self.levels.face.mm;
        Some(((r, (face - 1.25, face + 0.65)), scale))
    }

    /// The dial's radius as it came, where that was another.
    fn came(&self) -> Option<f64> {
        let came = size(self.watch.dial.as_ref()?.diameter_as_came)? / 2.0;
        ((came - self.levels.dial.mm).abs() > 0.005).then_some(came)
    }

    /// Detail B; the y below it, `None` without case or dial.
    pub(super) fn draw_seat(&self, sheet: &mut Sheet, room: Room) -> Option<f64> {
        let (watch, levels) = (self.watch, self.levels);
        let ((r, z), scale) = self.seat_cutout(room.frame)?;
        let case = levels.case.as_ref()?;
        title(sheet, room, "B", "the dial in its seat");
        let top = room.y + BELOW_TITLE;
        let height = (z.1 - z.0) * scale;
        let view = View { x0: -r.0 * scale, y0: z.1 * scale, scale };
        let mut cut = Sheet::default();
        let left = (r.0 - 2.0).max(0.0);
        if watch.movement.is_some() {
            view.rect(&mut cut, "n mf", (left, levels.movement.mm.max(left)), (-3.0, 0.0));
        }
        view.ring(&mut cut, Ink::METAL, &parts::case_outline(watch, levels, case), Halves::Right);
        if let Some(ring) = watch.ring {
            view.ring(&mut cut, Ink::PLASTIC, &parts::movement_ring_outline(&ring, levels), Halves::Right);
        }
        // The gap to what lies around the dial: its ring, else the seat.
        let ring = watch.dial_ring.and_then(|ring| size(ring.inner)).map(|d| d / 2.0);
        let (a, b) = (levels.dial.mm, ring.unwrap_or(case.seat.mm));
        let looked_at = self.clearance(Place::Seat).is_some_and(Clearance::looked_at);
        if a < b {
            view.rect(&mut cut, "w", (a, b), (levels.under.mm, levels.face.mm));
        }
        if let Some(ring) = watch.dial_ring {
            view.ring(&mut cut, Ink::PLASTIC, &parts::dial_ring_outline(&ring, levels), Halves::Right);
        }
        if let Some(ring) = watch.chapter_ring {
            view.ring(&mut cut, Ink::NEIGHBOUR, &parts::chapter_ring_outline(&ring, levels), Halves::Right);
        }
        let inner = Fix::known(left);
        let (under, face, edge) = (levels.under, levels.face, levels.dial);
        view.ring(
            &mut cut,
            Ink::NEIGHBOUR,
            &[(inner, under), (edge, under), (edge, face), (inner, face)],
            Halves::Right,
        );
        if let Some(came) = self.came() {
            view.rect(&mut cut, "p", (left, came), (under.mm, face.mm));
        }
        if watch.shim.is_some() {
            view.rect(&mut cut, "s", (left, (levels.movement.mm - 0.1).max(left)), (0.0, under.mm));
        }
        sheet.window((room.x, top), (room.frame, height), &cut);

        // The gap, dimensioned under the frame.
        let x = |mm: f64| (room.x + view.x(mm)).clamp(room.x, room.x + room.frame);
        let bottom = top + height;
        if levels.dial.known && case.seat.known {
            let mut lines = Path::default();
            lines.to(x(a), top + view.y(levels.under.mm)).line(x(a), bottom + 15.0);
            lines.to(x(b), top + view.y(levels.under.mm)).line(x(b), bottom + 15.0);
            sheet.path("x", &lines);
            level(sheet, bottom + 10.0, x(a), x(b), looked_at);
        }
        Some(self.seat_labels(sheet, room, (top, bottom)))
    }

    fn seat_labels(&self, sheet: &mut Sheet, room: Room, (top, bottom): (f64, f64)) -> f64 {
        let (x, mut y, width) = match room.right {
            Some(right) => {
                let x = room.x + room.frame + 14.0;
                (x, top - 2.0, right - x)
            }
            None => (room.x, bottom + 22.0, room.frame),
        };
        let mut labels: Vec<Label> = Vec::new();
        // Two of them where a ring fills the seat.
        let seats = self.watch.clearances.iter().filter(|c| c.place == Place::Seat);
        labels.extend(seats.take(2).map(|seat| Label::of(seat, width)));
        if labels.is_empty()
            && !(self.levels.dial.known && self.levels.case.as_ref().is_some_and(|case| case.seat.known))
        {
            labels.push(Label::unmeasured("dial in its seat", width));
        }
        for place in [Place::Opening, Place::Track] {
            if let Some(clearance) = self.clearance(place).filter(|c| c.looked_at() || c.accepted) {
                labels.push(Label::of(clearance, width));
            }
        }
        let mut made = Vec::new();
        if let Some(shim) = self.watch.shim.and_then(|shim| size(shim.thickness)) {
            made.push(format!("shim {} under", figure(shim, 2)));
        }
        if let Some(dial) = self.watch.dial.as_ref().and_then(|dial| size(dial.thickness)) {
            made.push(format!("dial {} thick", figure(dial, 2)));
        }
        if !made.is_empty() {
            labels.push(Label::name(&made.join(" "), width));
        }
        for label in labels {
            label.draw(sheet, x, y);
            y += label.height() + 5.0;
        }
        y.max(bottom + 16.0)
    }

    /// The window and the figure that detail C would show, or the small seconds.
    pub(super) fn third(&self) -> Option<Third> {
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
            return Some(Third::Window(window, shown));
        }
        parts::small_seconds(self.watch)?;
        self.levels.hands.iter().find(|h| h.role == Role::Seconds).map(|hand| Third::Seconds(*hand))
    }

    /// Detail C; the y below it.
    pub(super) fn draw_third(&self, sheet: &mut Sheet, room: Room) -> Option<f64> {
        match self.third()? {
            Third::Window(window, figure) => Some(self.draw_window(sheet, room, window, figure)),
            Third::Seconds(hand) => Some(self.draw_small_seconds(sheet, room, &hand)),
        }
    }

    fn draw_window(&self, sheet: &mut Sheet, room: Room, window: Window, shown: Option<Window>) -> f64 {
        let (along, across) = (window.along.unwrap_or(1.0), window.across.unwrap_or(1.0));
        let radius = window.radius.unwrap_or(0.0);
        let height = room.frame * 0.8;
        let scale = (self.section * MAGNIFIED).min(room.frame / (along * 1.5)).min(height / (across * 1.5));
        title(sheet, room, "C", "the date in its window");
        let top = room.y + BELOW_TITLE;
        let mut cut = Sheet::default();
        // Radially outwards to the right, clockwise downwards; the window's middle in the frame's.
        let (cx, cy) = (room.frame / 2.0, height / 2.0);
        let at = |u: f64, v: f64| (cx + u * scale, cy + v * scale);
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
            let looked_at = [Place::DateAlong, Place::DateAcross]
                .into_iter()
                .any(|place| self.clearance(place).is_some_and(Clearance::looked_at));
            let class = if looked_at { "n w" } else { "n mf" };
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
        cut.line("k", 0.0, cy, room.frame, cy);
        cut.line("k", cx, 0.0, cx, height);
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
        let floor = levels.face - recess.map_or(Fix::guess(0.0), Fix::known);
        let floor = Fix { known: levels.face.known, ..floor };
        let hole = Fix::known(hand.post.mm + 0.25);
        let edge = sub.and_then(|s| size(s.diameter)).map_or(wide, |d| d / 2.0);
        let edge = Fix::known(edge.max(hole.mm + 0.1));
        let far = Fix::known(edge.mm + wide);
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
        if clearance.is_some_and(Clearance::looked_at) {
            view.rect(&mut cut, "w", (hand.post.mm + 0.25, wide), (floor.mm, hand.under.mm));
        }
        let zero = Fix::known(-0.5);
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

/// What detail C shows.
#[derive(Clone, Copy)]
pub(super) enum Third {
    /// A window in the dial and the figure that stands next to it.
    Window(Window, Option<Window>),
    /// The small seconds hand.
    Seconds(HandCut),
}

fn below_or_beside(sheet: &mut Sheet, room: Room, (top, bottom): (f64, f64), labels: Vec<Label>) -> f64 {
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
