//! The section through a watch, hands turned into the cut: from 9 to 3 o'clock for a page, the half
//! from the axis for a phone, with magnified details under each.

mod details;
mod levels;
mod missing;
mod parts;

use self::details::{Cutout, Detail, Room};
use self::levels::Levels;
use super::fix::size;
use super::labels::{Band, Callout, Label, Side};
use super::lettering::Style;
use super::sprite::arrow;
use super::svg::{Anchor, Frame, Path, Sheet, figure};
use super::view::{Halves, View, overall, upright};
use super::watch::{Clearance, Place, Role, Watch};

/// The section for a page: both halves, details beside each other. `prefix` goes before its ids.
pub fn section(watch: &Watch, prefix: &str) -> String {
    Section::new(watch, Halves::Both).draw(prefix)
}

/// The section for a phone, drawn anew at 330 px: the half from the axis, details under each other.
pub fn narrow_section(watch: &Watch, prefix: &str) -> String {
    Section::new(watch, Halves::Right).draw(prefix)
}

/// What the section shows, in words.
pub fn section_words(watch: &Watch) -> String {
    let mut out = String::from("Section through the axis, to scale, hands turned into the cut.");
    for clearance in &watch.clearances {
        let figure =
            clearance.figure.map_or_else(String::new, |v| format!(" {}", figure(v, clearance.decimals)));
        out += &format!(" {}{figure}, {}", capital(&clearance.label), clearance.verdict.word());
        if let Some(came) = clearance.came_words() {
            out += &format!("; {came}");
        }
        out.push('.');
    }
    let levels = Levels::of(watch);
    let missing: Vec<String> = missing::missing(watch, &levels).into_iter().map(|m| m.text).collect();
    if !missing.is_empty() {
        out += &format!(" Not measured and drawn dashed: {}.", missing.join("; "));
    }
    out
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}

/// The sheet's measures and the watch on it.
struct Section<'a> {
    watch: &'a Watch,
    levels: Levels,
    halves: Halves,
    view: View,
    width: f64,
}

const WIDE: f64 = 790.0;
const NARROW: f64 = 330.0;
/// Left of the case stands the overall thickness.
const LEFT: f64 = 62.0;
/// Right of it the crown's label.
const RIGHT: f64 = 106.0;
/// Where the axis stands in the half section.
const AXIS: f64 = 14.0;

impl<'a> Section<'a> {
    fn new(watch: &'a Watch, halves: Halves) -> Section<'a> {
        let levels = Levels::of(watch);
        let widest = levels.widest();
        let right = if levels.case.is_some() { parts::crown_end(&levels).max(widest) + 0.6 } else { widest };
        let tall = levels.highest() - levels.deepest(watch.movement.is_some());
        let scale = match halves {
            Halves::Both => {
                let room = WIDE - LEFT;
                ((room - 10.0) / (widest + right)).min((room - RIGHT) / (2.0 * widest)).min(17.0)
            }
            Halves::Right => ((NARROW - AXIS - 6.0) / right).min(14.4),
        };
        let scale = scale.min(420.0 / tall.max(1.0)).max(1.0);
        let (width, x0) = match halves {
            Halves::Both => (WIDE, LEFT + widest * scale),
            Halves::Right => (NARROW, AXIS),
        };
        Section { watch, levels, halves, view: View { x0, y0: 0.0, scale }, width }
    }

    fn draw(mut self, prefix: &str) -> String {
        let (above, below) = self.labels();
        // Down to where the labels above leave room.
        let top = above.depth() + 12.0;
        self.view.y0 = top + self.levels.highest() * self.view.scale;
        let view = self.view;
        let mut sheet = Sheet::default();
        parts::watch(&mut sheet, &view, self.watch, &self.levels, self.halves);
        let bottom = view.y(self.levels.deepest(self.watch.movement.is_some()));
        sheet.line("k", view.x0, top - 6.0, view.x0, bottom + 6.0);
        self.movement_name(&mut sheet);
        self.cutouts(&mut sheet);
        self.dimensions(&mut sheet);
        // Labels were placed before the drawing had its place: their points move with it.
        let above = above.moved_down(self.view.y0);
        let below = below.moved_down(self.view.y0);
        above.draw(&mut sheet, top);
        let y = if self.halves == Halves::Both {
            below.draw(&mut sheet, bottom + 6.0);
            self.overall(&mut sheet, bottom + 6.0 + below.depth())
        } else {
            // The diameter first: its extension line would else run through the crown's label.
            let y = self.overall(&mut sheet, bottom);
            below.draw(&mut sheet, y);
            y + below.depth()
        };
        let y = self.list(&mut sheet, y);
        let y = self.missing_list(&mut sheet, y);
        let height = self.details(&mut sheet, y);
        let (title, class) = match self.halves {
            Halves::Both => (format!("{}, section to scale", self.watch.name), "wide"),
            Halves::Right => (format!("{}, half section to scale", self.watch.name), "narrow"),
        };
        sheet.described(&Frame {
            prefix,
            class,
            width: self.width,
            height,
            title: &title,
            description: &section_words(self.watch),
        })
    }

    /// The side of the axis for a thing that stands at the left of the whole section.
    fn left(&self) -> f64 {
        if self.halves == Halves::Both { -1.0 } else { 1.0 }
    }

    /// All labels above and below, with y counted from the dial seat.
    fn labels(&self) -> (Band, Band) {
        let room = if self.halves == Halves::Both { 190.0 } else { 150.0 };
        let (mut above, mut below) = (Vec::new(), Vec::new());
        let mut say = |side: Side, point: (f64, f64), dot: bool, label: Label| {
            let callout = Callout { label, point: self.view.at(point.0, point.1), dot };
            match side {
                Side::Above => above.push(callout),
                Side::Below => below.push(callout),
            }
        };
        for (letter, point) in self.letters() {
            say(Side::Above, point, false, Label { figure: letter.to_owned(), ..Label::default() });
        }
        if let Some((clearance, r)) = self.under_crystal() {
            let z = self.levels.crystal.as_ref().map_or(0.0, |crystal| crystal.inner(r.abs()));
            say(Side::Above, (r, z), false, Label::of(clearance, room));
        }
        if let Some((clearance, r)) = self.over_back() {
            let z = self.levels.case.as_ref().map_or(0.0, |case| case.inside.mm);
            say(Side::Below, (r, z), false, Label::of(clearance, room));
        }
        let beside = if self.halves == Halves::Both { RIGHT - 16.0 } else { room };
        let listed = self.listed();
        for clearance in &self.watch.clearances {
            if listed.contains(&clearance) {
                continue;
            }
            if let Some((side, point)) = self.troubled(clearance) {
                let room = if clearance.place == Place::Stem { beside } else { room };
                say(side, point, true, Label::of(clearance, room));
            }
        }
        if !self.lists_missing() {
            for missing in self.missing() {
                let room = if missing.text.starts_with("crown") { beside } else { room };
                say(missing.side, missing.point, true, Label::unmeasured(&missing.text, room));
            }
        }
        if self.halves == Halves::Both {
            self.names(&mut say, room);
        }
        let mut over = Band::new(Side::Above, 6.0, self.width - 6.0);
        over.place(above);
        let mut under = Band::new(Side::Below, 6.0, self.width - 6.0);
        if let (Halves::Both, Some(case)) = (self.halves, &self.levels.case) {
            // Extension lines of the overall dimension.
            under.keep_off(self.view.x(-case.outer.mm));
            under.keep_off(self.view.x(case.outer.mm));
        }
        under.place(below);
        (over, under)
    }

    /// On a phone: findings that would make a thicket of leaders over the half section, and stand in a
    /// list under it instead. The worst keep their leaders.
    fn listed(&self) -> Vec<&Clearance> {
        const LEADERS: usize = 3;
        if self.halves == Halves::Both {
            return Vec::new();
        }
        let mut above: Vec<&Clearance> = self
            .watch
            .clearances
            .iter()
            .filter(|c| self.troubled(c).is_some_and(|(side, _)| side == Side::Above))
            .collect();
        above.sort_by_key(|c| std::cmp::Reverse(c.verdict.weight()));
        above.into_iter().skip(LEADERS - 1).collect()
    }

    /// The findings without a leader, in two columns; the y below them.
    fn list(&self, sheet: &mut Sheet, y: f64) -> f64 {
        let labels: Vec<Label> = self.listed().into_iter().map(|c| Label::of(c, 154.0)).collect();
        let mut y = y + if labels.is_empty() { 0.0 } else { 10.0 };
        for pair in labels.chunks(2) {
            for (label, x) in pair.iter().zip([2.0, 168.0]) {
                label.draw(sheet, x, y);
            }
            y += pair.iter().map(Label::height).fold(0.0, f64::max) + 5.0;
        }
        y
    }

    /// What was not measured and no finding here says so.
    fn missing(&self) -> Vec<missing::Missing> {
        let stem = self.clearance(Place::Stem).is_some();
        let mut out = missing::missing(self.watch, &self.levels);
        out.retain(|missing| !(stem && missing.text == "crown: height of the tube"));
        out
    }

    /// Whether so much is missing that a list says it better than a thicket of leaders.
    fn lists_missing(&self) -> bool {
        self.missing().len() > if self.halves == Halves::Both { 3 } else { 1 }
    }

    /// The list of what was not measured; the y below it.
    fn missing_list(&self, sheet: &mut Sheet, y: f64) -> f64 {
        if !self.lists_missing() {
            return y;
        }
        let words: Vec<String> = self.missing().into_iter().map(|missing| missing.text).collect();
        let left = if self.halves == Halves::Both { 24.0 } else { 2.0 };
        let room = (self.width - left - 10.0).min(560.0);
        let label = Label::unmeasured(&format!("drawn dashed: {}", words.join("; ")), room);
        label.draw(sheet, left, y + 10.0);
        y + 10.0 + label.height()
    }

    /// Names of the parts that carry no finding here.
    fn names(&self, say: &mut impl FnMut(Side, (f64, f64), bool, Label), room: f64) {
        let levels = &self.levels;
        if let (Some(crystal), Some(cut)) = (self.watch.crystal, &levels.crystal)
            && cut.known()
        {
            let mut words = format!("crystal, {}", crystal.form.word());
            if let Some(thickness) = size(crystal.thickness) {
                words += &format!(", {} thick", figure(thickness, 2));
            }
            let r = cut.aperture.mm * 0.7;
            let outside = cut.foot.mm + cut.height.mm - cut.outer_rise();
            say(Side::Above, (-r, f64::midpoint(cut.inner(r), outside)), true, Label::name(&words, room));
        }
        if let Some(case) = &levels.case {
            let told = self.clearance(Place::RingRoom).is_some_and(Clearance::looked_at);
            if self.watch.chapter_ring.is_some() && !told {
                let r = case.wall.0.mm - 0.35;
                say(Side::Above, (-r, levels.face.mm + 0.4), true, Label::name("chapter ring", room));
            } else if self.watch.chapter_ring.is_none()
                && self.watch.case.as_ref().is_some_and(|c| c.rehaut.is_some())
            {
                let (a, b, top) = case.wall;
                let r = f64::midpoint(a.mm, b.mm);
                let z = f64::midpoint(levels.ledge.mm, top.mm);
                say(Side::Above, (-r, z), true, Label::name("rehaut", room));
            }
        }
        if let (Some(ring), Some(_)) = (self.watch.ring, &levels.case) {
            let inner = size(ring.inner).map_or(levels.movement.mm, |d| d / 2.0);
            let outer = size(ring.outer).map_or(inner + 0.8, |d| d / 2.0);
            let r = f64::midpoint(inner, outer);
            say(Side::Below, (-r, levels.lowest.mm * 0.8), true, Label::name("movement ring", room));
        }
    }

    fn clearance(&self, place: Place) -> Option<&Clearance> {
        self.watch.clearances.iter().find(|c| c.place == place)
    }

    /// The hand that comes nearest to trouble under the crystal, and its tip in the drawing.
    fn under_crystal(&self) -> Option<(&'a Clearance, f64)> {
        self.levels.crystal.as_ref()?;
        let watch: &'a Watch = self.watch;
        let mut best: Option<(&'a Clearance, f64)> = None;
        for clearance in &watch.clearances {
            let Place::UnderCrystal(role) = clearance.place else { continue };
            let Some(hand) = self.levels.hands.iter().find(|hand| hand.role == role) else { continue };
            let key = |c: &Clearance| (c.verdict.weight(), -c.figure.unwrap_or(0.0));
            let side = if matches!(role, Role::Hour | Role::SecondTime) { self.left() } else { 1.0 };
            let r = (hand.length.mm - 0.3).max(0.5) * side;
            if best.is_none_or(|(other, _)| {
                key(clearance).partial_cmp(&key(other)).is_some_and(std::cmp::Ordering::is_gt)
            }) {
                best = Some((clearance, r));
            }
        }
        best
    }

    /// The clearance at the back, and where it is dimensioned.
    fn over_back(&self) -> Option<(&'a Clearance, f64)> {
        self.levels.case.as_ref()?;
        self.watch.movement.as_ref()?;
        let watch: &'a Watch = self.watch;
        let clearance = watch.clearances.iter().find(|c| c.place == Place::Back)?;
        let r = match self.halves {
            Halves::Both => -self.levels.movement.mm * 0.66,
            Halves::Right => self.levels.movement.mm * 0.16,
        };
        Some((clearance, r))
    }

    /// Where a finding that wants a look stands, unless a dimension or a detail shows it already.
    fn troubled(&self, clearance: &Clearance) -> Option<(Side, (f64, f64))> {
        let levels = &self.levels;
        let case = levels.case.as_ref();
        if clearance.place == Place::Stem {
            // The stem's place is shown whatever it is: nothing else in the section tells it.
            let case = case?;
            let r = match self.watch.crown {
                Some(_) => parts::crown_end(levels) - 1.4,
                None => case.outer.mm - 0.4,
            };
            return Some((
                Side::Below,
                (r, case.tube.mm - if self.watch.crown.is_some() { 1.2 } else { 0.3 }),
            ));
        }
        if !clearance.looked_at() {
            return None;
        }
        let hand = |role: Role| levels.hands.iter().find(|hand| hand.role == role);
        let left = self.left();
        match clearance.place {
            Place::UnderCrystal(_) if self.under_crystal().is_some_and(|(shown, _)| shown == clearance) => {
                None
            }
            Place::UnderCrystal(role) => hand(role).map(|h| (Side::Above, (h.length.mm * 0.6, h.top.mm))),
            Place::InRing(role) => hand(role).map(|h| (Side::Above, (h.length.mm, h.under.mm))),
            Place::OverIndices(_) => {
                Some((Side::Above, (levels.dial.mm * 0.75 * left, levels.face.mm + 0.3)))
            }
            Place::RingRoom => case.map(|c| (Side::Above, ((c.wall.0.mm - 0.3) * left, c.shelf.mm - 0.3))),
            Place::CrystalGasket => case.map(|c| (Side::Above, (c.crystal_seat.mm - 0.15, c.shelf.mm + 0.4))),
            Place::MovementInCase => case.map(|c| {
                (Side::Below, (f64::midpoint(levels.movement.mm, c.bore.mm), levels.lowest.mm * 0.4))
            }),
            Place::MovementHeld => case.map(|c| (Side::Below, (c.bore.mm - 0.4, c.inside.mm + 0.05))),
            Place::BackGasket => case.map(|c| (Side::Below, (c.bore.mm + 0.5, c.inside.mm + 0.15))),
            Place::Opening | Place::Track | Place::Seat if self.detail().seat_cutout(170.0).is_none() => {
                Some((Side::Above, (levels.dial.mm * left, levels.face.mm)))
            }
            Place::DialHole => Some((Side::Above, (1.0 * left, levels.face.mm))),
            _ => None,
        }
    }

    fn detail(&self) -> Detail<'_> {
        Detail { watch: self.watch, levels: &self.levels, section: self.view.scale }
    }

    /// Frames of the details in px, with the corner that their letter's leader comes from.
    fn frames(&self) -> Vec<(&'static str, Cutout)> {
        let detail = self.detail();
        let (a, b) = self.frame_widths();
        let mut out = Vec::new();
        if let Some((((left, right), z), _)) = detail.stack_cutout(a) {
            let left = if self.halves == Halves::Both { left } else { 0.0 };
            out.push(("A", ((left, right), z)));
        }
        if let Some((cutout, _)) = detail.seat_cutout(b) {
            out.push(("B", cutout));
        }
        out
    }

    fn letters(&self) -> Vec<(&'static str, (f64, f64))> {
        let corner = |(letter, ((left, right), (_, high))): (&'static str, Cutout)| {
            let r = if letter == "A" && self.halves == Halves::Both { left } else { right };
            (letter, (r, high))
        };
        self.frames().into_iter().map(corner).collect()
    }

    fn cutouts(&self, sheet: &mut Sheet) {
        let view = &self.view;
        let mut frames = Path::default();
        for (_, ((left, right), (low, high))) in self.frames() {
            frames.rect(view.x(left), view.y(high), view.x(right), view.y(low));
        }
        sheet.path("x", &frames);
    }

    /// The dimensions drawn in the section itself.
    fn dimensions(&self, sheet: &mut Sheet) {
        let view = &self.view;
        if let (Some((clearance, r)), Some(crystal)) = (self.under_crystal(), &self.levels.crystal) {
            let Place::UnderCrystal(role) = clearance.place else { return };
            if let Some(hand) = self.levels.hands.iter().find(|hand| hand.role == role) {
                let (a, b) = (view.y(crystal.inner(r.abs())), view.y(hand.top.mm));
                upright(sheet, view.x(r), a, b, clearance.looked_at());
            }
        }
        if let (Some((clearance, r)), Some(case)) = (self.over_back(), &self.levels.case) {
            let (a, b) = (view.y(self.levels.lowest.mm), view.y(case.inside.mm));
            upright(sheet, view.x(r), a, b, clearance.looked_at());
        }
    }

    /// The movement's name on its body, where there is room for it.
    fn movement_name(&self, sheet: &mut Sheet) {
        let Some(movement) = &self.watch.movement else { return };
        let view = &self.view;
        let body = if movement.self_winds { 0.72 } else { 0.8 };
        let room = self.levels.movement.mm * view.scale - 24.0;
        let tall = -self.levels.lowest.mm * body * view.scale;
        if room < 60.0 || tall < 24.0 {
            return;
        }
        let (x, mut y) = match self.halves {
            Halves::Both => (view.x(-self.levels.movement.mm / 2.0), view.y0 + tall / 2.0 + 4.0),
            Halves::Right => (view.x(self.levels.movement.mm * 0.42), view.y0 + tall * 0.66 + 4.0),
        };
        let words = format!("movement {}", movement.calibre);
        let words = if self.halves == Halves::Both { words.trim() } else { "movement" };
        let below = size(movement.height_below)
            .filter(|_| self.halves == Halves::Both && tall >= 42.0)
            .map(|below| format!("not cut, {} below its dial seat", figure(below, 2)));
        if below.is_some() {
            y -= 8.0;
        }
        sheet.text("q", x, y, Anchor::Middle, &Style::Name.fitted(words, room));
        if let Some(below) = below {
            sheet.text("q", x, y + 15.0, Anchor::Middle, &Style::Name.fitted(&below, room));
        }
    }

    /// Overall dimensions under and beside the case; the y below them.
    fn overall(&self, sheet: &mut Sheet, below: f64) -> f64 {
        let view = &self.view;
        let Some(case) = &self.levels.case else { return below + 6.0 };
        let flank = view.y(f64::midpoint(case.rim.mm, case.inside.mm) - 0.6);
        let y = below + 18.0;
        let mut y_below = below;
        // A case too small for its own figure is a slip of the pen.
        if case.outer.known && case.outer.mm * view.scale > 60.0 {
            let across = figure(case.outer.mm * 2.0, 1);
            let right = view.x(case.outer.mm);
            let mut lines = Path::default();
            lines.to(right, flank).line(right, y + 5.0);
            if self.halves == Halves::Both {
                let left = view.x(-case.outer.mm);
                lines.to(left, flank).line(left, y + 5.0);
                sheet.path("x", &lines);
                overall(sheet, y, left, right, &across);
            } else {
                let text = format!("\u{d8} {across}");
                let room = Style::Overall.width(&text) / 2.0 + 8.0;
                let middle = f64::midpoint(view.x0, right);
                lines.to(view.x0, y).line(middle - room, y).to(middle + room, y).line(right, y);
                sheet.path("x", &lines);
                let mut head = Path::default();
                arrow(&mut head, (right, y), (1.0, 0.0));
                sheet.path("r", &head);
                sheet.text("big", middle, y + 5.5, Anchor::Middle, &text);
            }
            y_below = y + 12.0;
        }
        if self.halves == Halves::Both && case.outer.mm >= self.levels.widest() - 1e-6 {
            let top = self
                .levels
                .crystal
                .as_ref()
                .map_or(case.rim.mm, |c| case.rim.mm.max(c.foot.mm + c.height.mm));
            let sure = case.outside.known
                && case.rim.known
                && self.levels.crystal.as_ref().is_none_or(levels::CrystalCut::known);
            if let Some(thick) = size(self.watch.headline.thickness).filter(|_| sure) {
                let x = view.x(-case.outer.mm) - 28.0;
                let (a, b) = (view.y(top), view.y(case.outside.mm));
                let mut lines = Path::default();
                let highest = if top > case.rim.mm { -1.0 } else { -case.outer.mm * 0.9 };
                lines.to(view.x(highest), a).line(x - 5.0, a);
                lines.to(view.x(-case.outer.mm * 0.87), b).line(x - 5.0, b);
                sheet.path("x", &lines);
                upright(sheet, x, a, b, false);
                sheet.text_up("big", x - 6.0, f64::midpoint(a, b), &figure(thick, 1));
            }
        }
        y_below
    }

    /// The widths of the frames of A and B.
    fn frame_widths(&self) -> (f64, f64) {
        match self.halves {
            Halves::Both if self.detail().third().is_some() => (216.0, 164.0),
            Halves::Both => (344.0, 170.0),
            Halves::Right => (188.0, 160.0),
        }
    }

    /// The details and the scale; the drawing's height.
    fn details(&self, sheet: &mut Sheet, y: f64) -> f64 {
        let detail = self.detail();
        let (a, b) = self.frame_widths();
        let mut bottom = y;
        if self.halves == Halves::Right {
            let mut y = y + 26.0;
            let room = |y: f64, frame: f64| Room { x: 2.0, y, frame, right: Some(NARROW - 2.0) };
            if let Some(end) = detail.draw_stack(sheet, room(y, a)) {
                y = end + 30.0;
            }
            if let Some(end) = detail.draw_third(sheet, room(y, 150.0)) {
                y = end + 30.0;
            }
            if let Some(end) = detail.draw_seat(sheet, room(y, b)) {
                y = end + 22.0;
            }
            self.scale(sheet, (2.0, y - 8.0), " of the section");
            return y;
        }
        let y = y + 34.0;
        let third = detail.third().is_some();
        let mut x = 24.0;
        let mut columns = Vec::new();
        if let Some(end) = detail.draw_stack(sheet, Room { x, y, frame: a, right: Some(x + a + 182.0) }) {
            x += a + 196.0;
            columns.push(end);
        }
        if third && let Some(end) = detail.draw_third(sheet, Room { x, y, frame: 152.0, right: None }) {
            x += 170.0;
            columns.push(end);
        }
        // B stands at the right edge, as it does in the case.
        let seat = if columns.is_empty() { x } else { (WIDE - b - 6.0).max(x) };
        let mut last = y - 22.0;
        if let Some(end) = detail.draw_seat(sheet, Room { x: seat, y, frame: b, right: None }) {
            last = end;
            columns.push(end);
        } else if columns.is_empty() {
            last = y - 34.0;
        }
        self.scale(sheet, (seat, last + 16.0), "");
        bottom = columns.into_iter().fold(bottom.max(last + 24.0), f64::max);
        bottom + 4.0
    }

    /// Five millimetres at the section's scale.
    fn scale(&self, sheet: &mut Sheet, (x, y): (f64, f64), of: &str) {
        let unit = self.view.scale;
        let mut bar = Path::default();
        bar.to(x, y - 6.0).line(x, y).line(x + 5.0 * unit, y).line(x + 5.0 * unit, y - 6.0);
        for i in 1..5_u8 {
            let at = x + f64::from(i) * unit;
            bar.to(at, y - 3.0).line(at, y);
        }
        sheet.path("n", &bar);
        sheet.text("q", x + 5.0 * unit + 7.0, y + 1.0, Anchor::Start, &format!("5 mm{of}"));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::testing::lantern;
    use crate::draw::testing::{any_watch, paths, texts_apart, well_formed};
    use proptest::prelude::*;

    #[test]
    fn the_section_is_to_scale() {
        let watch = lantern();
        let svg = section(&watch, "s");
        let scale = Section::new(&watch, Halves::Both).view.scale;
        // The dial's right half is the ring from its hole (2.10 / 2) to its edge (27.10 / 2).
        let wide = (27.10 - 2.10) / 2.0 * scale;
        let solid: Vec<f64> = paths(&svg, "s").iter().map(|points| extent(points).0).collect();
        let both = 27.10 * scale;
        assert!(
            solid.iter().any(|w| (w - both).abs() < 0.2 || (w - wide).abs() < 0.2),
            "{both} or {wide} in {solid:?}"
        );
        // The case is 35.5 across.
        let cut: Vec<f64> = paths(&svg, "o h1").iter().map(|points| extent(points).0).collect();
        assert!(cut.iter().any(|w| (w - 35.5 * scale).abs() < 0.2), "{cut:?}");
    }

    #[test]
    fn a_gap_between_hands_is_drawn_as_wide_as_its_finding_says() {
        let watch = lantern();
        let levels = Levels::of(&watch);
        let hand = |role| levels.hands.iter().find(|h| h.role == role).copied();
        let (upper, lower) = (hand(Role::Seconds).unwrap(), hand(Role::Minute).unwrap());
        assert!((upper.under.mm - lower.top.mm - 0.23).abs() < 1e-9);
        let crystal = levels.crystal.unwrap();
        assert!((crystal.inner(0.0) - upper.top.mm - 0.75).abs() < 1e-9);
    }

    #[test]
    fn a_phone_gets_the_half_from_the_axis_at_a_width_of_its_own() {
        let svg = narrow_section(&lantern(), "n");
        assert!(svg.contains("viewBox=\"0 0 330 "));
        assert!(svg.contains(">\u{d8} 35.5<"));
    }

    #[test]
    fn only_what_was_not_measured_is_dashed() {
        let mut watch = lantern();
        assert!(section(&watch, "s").contains("class=\"u\""), "the tube's height is not known");
        watch.case.as_mut().unwrap().tube_below = Some(2.4);
        assert!(!section(&watch, "s").contains("class=\"u\""));
    }

    #[test]
    fn the_figures_are_told_in_words() {
        let words = section_words(&lantern());
        assert!(words.contains("Seconds over minute 0.23, tight."), "{words}");
        assert!(words.contains("came as \u{2212}1.28, fouls"), "{words}");
        assert!(words.contains("crown: height of the tube"), "{words}");
    }

    #[test]
    fn a_section_stays_as_it_is() {
        let lines = section(&lantern(), "s").replace("><", ">\n<");
        expect_test::expect_file!["snapshots/lantern.svg"].assert_eq(&lines);
    }

    #[test]
    fn a_section_is_light() {
        let watch = lantern();
        let (wide, narrow) = (section(&watch, "s").len(), narrow_section(&watch, "n").len());
        assert!(wide < 11_000 && narrow < 9_500, "{wide} {narrow}");
    }

    fn extent(points: &[(f64, f64)]) -> (f64, f64) {
        let span = |of: fn(&(f64, f64)) -> f64| {
            let values = points.iter().map(of);
            values.clone().fold(f64::MIN, f64::max) - values.fold(f64::MAX, f64::min)
        };
        (span(|p| p.0), span(|p| p.1))
    }

    proptest! {
        #[test]
        fn any_watch_is_drawn_and_its_labels_stand_apart(watch in any_watch()) {
            for svg in [section(&watch, "s"), narrow_section(&watch, "n")] {
                well_formed(&svg);
                texts_apart(&svg);
            }
        }
    }
}
