//! What the section names: findings, parts and missing sizes, with their places.

use super::details::Cutout;
use super::layout::{RIGHT, Section};
use super::{parts, unmeasured};
use crate::draw::drafting::{Band, Callout, Halves, Label, Side, size};
use crate::draw::svg::{Sheet, figure};
use crate::draw::watch::{Clearance, Place, Role};

impl<'a> Section<'a> {
    /// All labels above and below, with y counted from the plate.
    pub(super) fn labels(&self) -> (Band, Band) {
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
        above.sort_by_key(|c| std::cmp::Reverse(c.verdict));
        above.into_iter().skip(LEADERS - 1).collect()
    }

    /// The findings without a leader, in two columns; the y below them.
    pub(super) fn list(&self, sheet: &mut Sheet, y: f64) -> f64 {
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
    fn missing(&self) -> Vec<unmeasured::Missing> {
        let stem = self.clearance(Place::Stem).is_some();
        let mut out = unmeasured::missing(self.watch, &self.levels);
        out.retain(|missing| !(stem && missing.text == "crown: height of the tube"));
        out
    }

    /// Whether so much is missing that a list says it better than a thicket of leaders.
    fn lists_missing(&self) -> bool {
        self.missing().len() > if self.halves == Halves::Both { 3 } else { 1 }
    }

    /// The list of what was not measured; the y below it.
    pub(super) fn missing_list(&self, sheet: &mut Sheet, y: f64) -> f64 {
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
            let told = self.clearance(Place::RingRoom).is_some_and(Clearance::accented);
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
        if !clearance.accented() {
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

    fn letters(&self) -> Vec<(&'static str, (f64, f64))> {
        let corner = |(letter, ((left, right), (_, high))): (&'static str, Cutout)| {
            let r = if letter == "A" && self.halves == Halves::Both { left } else { right };
            (letter, (r, high))
        };
        self.frames().into_iter().map(corner).collect()
    }
}
