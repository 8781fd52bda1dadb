//! The plan: the watch from the front, to scale, with what is measured across it.

use std::f64::consts::PI;

use crate::draw::charts::line_up as outline;
use crate::draw::drafting::overall;
use crate::draw::drafting::{Coordinate, size};
use crate::draw::drafting::{Label, spread};
use crate::draw::svg::Style;
use crate::draw::svg::{Anchor, Frame, Path, Sheet, figure};
use crate::draw::watch::{Clearance, DrawnWatch, Foot, Place, Role, Window};
use crate::fit::verdict::Verdict;

/// The plan for a page, labels beside it. `prefix` goes before its ids.
pub fn plan(watch: &DrawnWatch, prefix: &str) -> String {
    Plan::new(watch, false).draw(prefix)
}

/// The plan for a phone, 330 px wide, with numbers in place of labels: their words are
/// [`plan_key`]'s, in the same order. Title and description are those of the plan with that `prefix`.
pub fn narrow_plan(watch: &DrawnWatch, prefix: &str) -> String {
    Plan::new(watch, true).draw(prefix)
}

/// Width and height of [`front`] in px, the shape of most photos.
const FRONT: (f64, f64) = (320.0, 240.0);

/// px for a millimetre in [`front`], so that watches beside each other compare; less only for one that
/// would not go in.
const FRONT_SCALE: f64 = 4.4;

/// The watch from the front without labels, to stand where there is no photo of it yet.
pub fn front(watch: &DrawnWatch) -> String {
    let mut plan = Plan::new(watch, true);
    let tall = (plan.half - 18.0) / plan.scale;
    plan.scale = FRONT_SCALE.min((FRONT.1 / 2.0 - 8.0) / tall.max(1.0));
    plan.middle = (FRONT.0 / 2.0, FRONT.1 / 2.0);
    let mut sheet = Sheet::default();
    plan.watch(&mut sheet);
    plan.windows(&mut sheet);
    plan.hands(&mut sheet);
    sheet.labelled(
        "front",
        FRONT.0,
        FRONT.1,
        &format!("No photo yet: {} from the front, drawn from its measurements", watch.name),
    )
}

/// A numbered line of the plan's key.
#[derive(Clone, PartialEq, Debug)]
pub struct KeyLine {
    /// The number in the narrow plan.
    pub number: usize,
    /// What it is, with its figure.
    pub name: String,
    /// What is to be said of it; empty for nothing.
    pub note: String,
    /// Its verdict, where it has one.
    pub verdict: Option<Verdict>,
}

/// The words for the numbers of the narrow plan.
pub fn plan_key(watch: &DrawnWatch) -> Vec<KeyLine> {
    let plan = Plan::new(watch, true);
    plan.notes()
        .into_iter()
        .enumerate()
        .map(|(i, note)| KeyLine { number: i + 1, name: note.name, note: note.more, verdict: note.verdict })
        .collect()
}

/// What the plan shows, in words.
pub fn plan_words(watch: &DrawnWatch) -> String {
    let mut out = String::from("Seen from the front, to scale.");
    for line in plan_key(watch) {
        out += &format!(" {}", capital(&line.name));
        if !line.note.is_empty() {
            out += &format!(", {}", line.note);
        }
        if let Some(verdict) = line.verdict {
            out += &format!(": {}", verdict.word());
        }
        out.push('.');
    }
    out
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}

/// Something that the plan names: a place on the watch, and the words for it.
struct Note {
    /// Where its leader ends: clock angle and radius.
    at: (f64, f64),
    name: String,
    more: String,
    verdict: Option<Verdict>,
    accented: bool,
}

/// The watch from the front.
struct Plan<'a> {
    watch: &'a DrawnWatch,
    narrow: bool,
    width: f64,
    scale: f64,
    /// The axis.
    middle: (f64, f64),
    /// Half of the height that the watch takes, px.
    half: f64,
    dial: Coordinate,
    case: Option<Coordinate>,
    crown_at: Coordinate,
}

/// The hands stand as on most pictures of a watch: ten past ten, out of each other's way.
const TEN_PAST_TEN: [(Role, f64); 4] =
    [(Role::Hour, 304.0), (Role::SecondTime, 245.0), (Role::Minute, 49.0), (Role::Seconds, 198.0)];

impl<'a> Plan<'a> {
    fn new(watch: &'a DrawnWatch, narrow: bool) -> Plan<'a> {
        let case = watch.case.as_ref();
        let seat = case.and_then(|c| size(c.dial_seat)).map(|d| d / 2.0 - 0.06);
        let movement = watch.movement.as_ref().and_then(|m| size(m.casing_diameter)).map(|d| d / 2.0 + 0.8);
        let dial = Coordinate::radius(
            watch.dial.as_ref().and_then(|d| d.diameter),
            seat.or(movement).unwrap_or(14.0),
        );
        let outer = case.map(|case| outline::usual_case(dial.mm, case.diameter));
        let crown_at = match case.and_then(|c| c.crown_at).filter(|v| v.is_finite()) {
            Some(at) => Coordinate::known(at.rem_euclid(360.0)),
            None => Coordinate::known(90.0),
        };
        let hands = watch.hands.iter().filter_map(|hand| size(hand.length)).fold(0.0, f64::max);
        let came = watch.dial.as_ref().and_then(|d| size(d.diameter_as_came)).map_or(0.0, |d| d / 2.0);
        let across = outer.map_or(0.0, |r| r.mm).max(dial.mm).max(hands).max(came).max(4.0);
        let lugs = case.and_then(|c| size(c.lug_to_lug)).map_or(across + 1.0, |d| (d / 2.0).max(across));
        let (width, most, beside) = if narrow { (330.0, 6.6, 44.0) } else { (672.0, 9.4, 292.0) };
        // Room for the crown at whatever side it stands.
        let scale = ((width - beside) / 2.0 / (across + 3.2)).min(230.0 / lugs).clamp(0.8, most);
        let half = lugs * scale + if narrow { 18.0 } else { 36.0 };
        Plan { watch, narrow, width, scale, middle: (width / 2.0, half), half, dial, case: outer, crown_at }
    }

    /// A clock angle and a radius to px.
    fn at(&self, clock: f64, r: f64) -> (f64, f64) {
        let angle = clock / 180.0 * PI;
        let (x, y) = self.middle;
        (x + r * self.scale * libm::sin(angle), y - r * self.scale * libm::cos(angle))
    }

    fn circle(&self, sheet: &mut Sheet, class: &str, r: f64) {
        sheet.circle(class, self.middle.0, self.middle.1, r * self.scale);
    }

    /// A circle in its class where it was measured, dashed where it was not.
    fn ring(&self, sheet: &mut Sheet, class: &str, r: Coordinate) {
        self.circle(sheet, if r.known { class } else { "u" }, r.mm);
    }

    fn opening(&self) -> Coordinate {
        let watch = self.watch;
        let case = watch.case.as_ref();
        let cone = watch.chapter_ring.map(|ring| ring.cone.bottom);
        let cone = cone.or_else(|| case.and_then(|c| c.rehaut).map(|cone| cone.bottom)).flatten();
        Coordinate::radius(size(cone).or_else(|| case.and_then(|c| size(c.opening))), self.dial.mm - 0.3)
    }

    /// Case, rings and dial.
    fn watch(&self, sheet: &mut Sheet) {
        if let Some(case) = self.case {
            self.lugs(sheet, case);
            self.crown(sheet, case);
            self.circle(sheet, "pp", case.mm);
            self.ring(sheet, "o", case);
        }
        self.rings(sheet);
        self.dial_face(sheet);
    }

    fn draw(&self, prefix: &str) -> String {
        let mut sheet = Sheet::default();
        self.watch(&mut sheet);
        self.sweeps(&mut sheet);
        self.feet(&mut sheet);
        self.windows(&mut sheet);
        let reach = self.case.map_or(self.dial.mm, |case| case.mm);
        let (x, y) = self.middle;
        let mut axes = Path::default();
        axes.to(x - reach * self.scale - 10.0, y).line(x + reach * self.scale + 10.0, y);
        axes.to(x, y - self.half + 10.0).line(x, y + self.half - 10.0);
        sheet.path("k", &axes);
        self.hands(&mut sheet);
        let notes = self.notes();
        let below =
            if self.narrow { self.numbers(&mut sheet, &notes) } else { self.labels(&mut sheet, &notes) };
        let height = self.frame(&mut sheet, below);
        if self.narrow {
            return sheet.described_by_wide(prefix, self.width, height);
        }
        sheet.described(&Frame {
            prefix,
            class: "wide",
            width: self.width,
            height,
            title: &format!("{}, plan to scale", self.watch.name),
            description: &plan_words(self.watch),
        })
    }

    /// Millimetres right and down from the axis, to px.
    fn to(&self, (a, b): (f64, f64)) -> (f64, f64) {
        (self.middle.0 + a * self.scale, self.middle.1 + b * self.scale)
    }

    fn lugs(&self, sheet: &mut Sheet, case: Coordinate) {
        let Some(measures) = &self.watch.case else { return };
        let gap = Coordinate::radius(measures.lug_width, case.mm * 0.52);
        let end = Coordinate::radius(measures.lug_to_lug, case.mm * 1.2);
        let mut lugs = Path::default();
        for lug in outline::lugs(case.mm, gap.mm, end.mm) {
            lugs.polyline(&lug.map(|point| self.to(point)));
        }
        sheet.path(if gap.known && end.known { "o" } else { "u" }, &lugs);
        let mut bars = Path::default();
        for bar in outline::bars(case.mm, gap.mm, end.mm) {
            bars.polyline(&bar.map(|point| self.to(point)));
        }
        sheet.path("n", &bars);
    }

    fn crown(&self, sheet: &mut Sheet, case: Coordinate) {
        let Some(crown) = self.watch.crown else { return };
        let r = Coordinate::radius(crown.diameter, 2.4);
        let corners = outline::crown(case.mm, r.mm, self.crown_at.mm).map(|point| self.to(point));
        sheet.path(if r.known && case.known { "o" } else { "u" }, Path::default().polyline(&corners));
    }

    /// From the bezel inwards: bezel, crystal, dial as it came, dial, opening.
    fn rings(&self, sheet: &mut Sheet) {
        let watch = self.watch;
        if let Some(bezel) = watch.bezel {
            for d in [bezel.outer, bezel.inner, bezel.insert.map(|i| i.0), bezel.insert.map(|i| i.1)] {
                if let Some(d) = size(d) {
                    self.circle(sheet, "n", d / 2.0);
                }
            }
        }
        if let Some(crystal) = watch.crystal {
            self.ring(sheet, "n", Coordinate::radius(crystal.diameter, self.dial.mm + 0.9));
        }
        let Some(dial) = &watch.dial else { return };
        if let Some(came) = size(dial.diameter_as_came).filter(|d| (d / 2.0 - self.dial.mm).abs() > 0.005) {
            self.circle(sheet, "p", came / 2.0);
        }
        self.ring(sheet, "n", self.dial);
        if let Some(ring) = watch.dial_ring {
            self.ring(sheet, "n", Coordinate::radius(ring.outer, self.dial.mm + 0.5));
        }
        if watch.case.is_some() || watch.chapter_ring.is_some() {
            self.ring(sheet, "o", self.opening());
        }
        if let Some(track) = size(dial.track_diameter) {
            self.minute_track(sheet, track / 2.0);
        }
    }

    /// Sixty short strokes that end at the outermost print, as far as the opening shows them.
    fn minute_track(&self, sheet: &mut Sheet, radius: f64) {
        let edge = radius.min(self.dial.mm).min(self.opening().mm);
        let mut strokes = Path::default();
        for minute in (0..60_u8).filter(|minute| minute % 5 != 0) {
            let clock = f64::from(minute) * 6.0;
            let (a, b) = (self.at(clock, edge), self.at(clock, (radius - 0.5).min(edge - 0.2)));
            strokes.to(a.0, a.1).line(b.0, b.1);
        }
        if !self.narrow {
            sheet.path("x", &strokes);
        }
    }

    fn dial_face(&self, sheet: &mut Sheet) {
        let Some(dial) = &self.watch.dial else { return };
        if let Some(sub) = dial.small_seconds {
            let (clock, r) =
                (sub.at.filter(|v| v.is_finite()).unwrap_or(180.0), Coordinate::size(sub.radius, 7.0));
            let radius = Coordinate::radius(sub.diameter, 4.0);
            let (x, y) = self.at(clock, r.mm);
            sheet.circle(if r.known && radius.known { "n" } else { "u" }, x, y, radius.mm * self.scale);
        }
        let Some(indices) = dial.indices else { return };
        let outer = Coordinate::size(indices.outer_radius, self.dial.mm * 0.92);
        let inner = Coordinate::size(indices.inner_radius, outer.mm * 0.76);
        let taken: Vec<(f64, f64, f64)> = [dial.date_window, dial.day_window]
            .into_iter()
            .flatten()
            .map(|w| (w.at, w.radius))
            .chain(dial.small_seconds.map(|s| (s.at, s.radius)))
            .filter_map(|(at, radius)| Some((at.filter(|v| v.is_finite())?, size(radius)?, 9.0)))
            .collect();
        let mut batons = Path::default();
        for hour in 0..12_u8 {
            let clock = f64::from(hour) * 30.0;
            let free = taken.iter().all(|(at, radius, near)| {
                let apart = (clock - at + 540.0).rem_euclid(360.0) - 180.0;
                apart.abs() > *near || *radius + 2.0 < inner.mm
            });
            if free {
                let angle = clock / 180.0 * PI;
                let (dx, dy) = (libm::cos(angle) * 0.33 * self.scale, libm::sin(angle) * 0.33 * self.scale);
                let (a, b) = (self.at(clock, inner.mm), self.at(clock, outer.mm));
                batons.polygon(&[
                    (a.0 - dx, a.1 - dy),
                    (b.0 - dx, b.1 - dy),
                    (b.0 + dx, b.1 + dy),
                    (a.0 + dx, a.1 + dy),
                ]);
            }
        }
        sheet.path(if inner.known && outer.known { "n br" } else { "u" }, &batons);
    }

    /// The seconds' place beside the axis, where it has one.
    fn small_seconds(&self) -> Option<(f64, f64)> {
        let of_dial = self.watch.dial.as_ref().and_then(|d| d.small_seconds).map(|s| (s.at, s.radius));
        let of_movement = self.watch.movement.as_ref().and_then(|m| m.seconds_at);
        let (clock, r) = match (of_movement, of_dial) {
            (Some((clock, r)), _) => (Some(clock), Some(r)),
            (None, Some(place)) => place,
            (None, None) => return None,
        };
        Some((clock.filter(|v| v.is_finite()).unwrap_or(180.0), size(r).unwrap_or(7.0)))
    }

    fn sweeps(&self, sheet: &mut Sheet) {
        for hand in &self.watch.hands {
            let Some(length) = size(hand.length) else { continue };
            match (hand.role, self.small_seconds()) {
                (Role::Seconds, Some((clock, r))) => {
                    let (x, y) = self.at(clock, r);
                    sheet.circle("x", x, y, length * self.scale);
                }
                _ => self.circle(sheet, "x", length),
            }
        }
    }

    fn feet(&self, sheet: &mut Sheet) {
        let holes = self.watch.movement.as_ref().map_or(&[][..], |m| &m.foot_holes[..]);
        for hole in holes {
            if let (Some((x, y)), Some(d)) = (self.place(hole), size(hole.diameter).or(Some(0.8))) {
                sheet.circle("n pp", x, y, (d / 2.0).max(0.35) * self.scale);
            }
        }
        let feet = self.watch.dial.as_ref().map_or(&[][..], |d| &d.feet[..]);
        for foot in feet {
            let Some((x, y)) = self.place(foot) else { continue };
            let r = (size(foot.diameter).unwrap_or(0.7) / 2.0).max(0.3) * self.scale;
            if foot.cut {
                sheet.circle("p pp", x, y, r);
                let mut cross = Path::default();
                cross.to(x - 3.2, y - 3.2).line(x + 3.2, y + 3.2).to(x + 3.2, y - 3.2).line(x - 3.2, y + 3.2);
                sheet.path("n", &cross);
            } else {
                sheet.circle("s", x, y, r);
            }
        }
    }

    fn place(&self, foot: &Foot) -> Option<(f64, f64)> {
        let clock = foot.at.filter(|v| v.is_finite())?;
        size(foot.radius).map(|r| self.at(clock.rem_euclid(360.0), r))
    }

    fn windows(&self, sheet: &mut Sheet) {
        let Some(dial) = &self.watch.dial else { return };
        let movement = self.watch.movement.as_ref();
        let pairs = [
            (dial.date_window, movement.and_then(|m| m.date)),
            (dial.day_window, movement.and_then(|m| m.day)),
        ];
        for (window, shown) in pairs {
            if let Some(corners) = window.and_then(|w| self.window(&w)) {
                sheet.polygon("o pp", &corners);
                if let Some(corners) = shown.and_then(|s| self.window(&s)) {
                    sheet.polygon("n w", &corners);
                    sheet.polygon("o", &self.window(&window.unwrap_or_default()).unwrap_or_default());
                }
            }
        }
    }

    fn window(&self, window: &Window) -> Option<Vec<(f64, f64)>> {
        let clock = window.at.filter(|v| v.is_finite())?.rem_euclid(360.0);
        let (r, along, across) = (size(window.radius)?, size(window.along)?, size(window.across)?);
        let angle = clock / 180.0 * PI;
        let (dx, dy) =
            (libm::cos(angle) * across / 2.0 * self.scale, libm::sin(angle) * across / 2.0 * self.scale);
        let (a, b) = (self.at(clock, r - along / 2.0), self.at(clock, r + along / 2.0));
        Some(vec![(a.0 - dx, a.1 - dy), (b.0 - dx, b.1 - dy), (b.0 + dx, b.1 + dy), (a.0 + dx, a.1 + dy)])
    }

    /// The hands at ten past ten, each as long and as wide as it was measured.
    fn hands(&self, sheet: &mut Sheet) {
        for (role, clock) in TEN_PAST_TEN {
            let Some(hand) = self.watch.hands.iter().find(|hand| hand.role == role) else { continue };
            let usual = if role == Role::Seconds { 3.0 } else { self.dial.mm * 0.7 };
            let length = Coordinate::size(hand.length, usual);
            let small = self.small_seconds().filter(|_| role == Role::Seconds);
            let centre = small.map_or(self.middle, |(clock, r)| self.at(clock, r));
            let angle = clock / 180.0 * PI;
            let (ux, uy) = (libm::sin(angle), -libm::cos(angle));
            let k = self.scale;
            let point = |along: f64, side: f64| {
                (centre.0 + (ux * along - uy * side) * k, centre.1 + (uy * along + ux * side) * k)
            };
            let class = if length.known { "o pp" } else { "u" };
            if role == Role::Seconds {
                let tail = size(hand.tail).unwrap_or(0.0);
                let (a, b) = (point(-tail, 0.0), point(length.mm, 0.0));
                sheet.line(if length.known { "o" } else { "u" }, a.0, a.1, b.0, b.1);
                sheet.circle("s", centre.0, centre.1, if small.is_some() { 2.0 } else { 2.6 });
                continue;
            }
            let half = size(hand.width).map_or(0.65, |w| w / 2.0).min(length.mm * 0.3);
            let boss = 1.0_f64.min(length.mm * 0.3);
            let tail = size(hand.tail).unwrap_or(0.0);
            let (near, wide) = (boss * 0.9, length.mm * 0.62);
            let mut leaf = Path::default();
            leaf.polygon(&[
                point(near, half * 0.45),
                point(wide, half),
                point(length.mm, 0.0),
                point(wide, -half),
                point(near, -half * 0.45),
            ]);
            if tail > boss {
                leaf.polygon(&[
                    point(-near, half * 0.4),
                    point(-tail, half * 0.6),
                    point(-tail, -half * 0.6),
                    point(-near, -half * 0.4),
                ]);
            }
            sheet.path(class, &leaf);
        }
        let centre = self.watch.hands.iter().any(|hand| hand.role != Role::Seconds);
        if centre {
            self.circle(sheet, "o pp", 1.0);
            self.circle(sheet, "s", 0.25);
        }
    }

    fn clearance(&self, place: Place) -> Option<&Clearance> {
        self.watch.clearances.iter().find(|c| c.place == place)
    }

    /// What is named, from twelve o'clock round.
    fn notes(&self) -> Vec<Note> {
        let mut notes = Vec::new();
        self.dial_notes(&mut notes);
        self.hand_notes(&mut notes);
        self.foot_notes(&mut notes);
        self.window_notes(&mut notes);
        self.case_notes(&mut notes);
        notes.sort_by(|a, b| a.at.0.total_cmp(&b.at.0).then(a.at.1.total_cmp(&b.at.1)));
        notes
    }

    fn case_notes(&self, notes: &mut Vec<Note>) {
        let none = |value: Option<f64>| size(value).is_none();
        if let (Some(measures), Some(case)) = (&self.watch.case, self.case) {
            if !case.known {
                notes.push(Note::unmeasured((335.0, case.mm), "diameter of the case"));
            }
            if none(measures.lug_width) || none(measures.lug_to_lug) {
                let what = if none(measures.lug_to_lug) { "lug to lug" } else { "between the lugs" };
                notes.push(Note::unmeasured((330.0, case.mm * 1.08), what));
            }
            if let Some(crown) = self.watch.crown {
                let at = (self.crown_at.mm, case.mm + 1.4);
                let name = format!("crown at {}", clock_words(self.crown_at.mm));
                notes.push(if none(crown.diameter) {
                    Note::unmeasured(at, &format!("{name}, its diameter"))
                } else {
                    Note::plain(at, name, String::new())
                });
            }
        }
        if self.watch.crystal.is_some_and(|crystal| none(crystal.diameter)) {
            notes.push(Note::unmeasured((345.0, self.dial.mm + 0.9), "diameter of the crystal"));
        }
    }

    fn dial_notes(&self, notes: &mut Vec<Note>) {
        let Some(dial) = &self.watch.dial else { return };
        let mm = |d: f64| figure(d, 2);
        let seat = self.watch.case.as_ref().and_then(|c| size(c.dial_seat));
        let mut note = match size(dial.diameter) {
            Some(d) => Note::plain((262.0, d / 2.0), format!("dial {}", mm(d)), String::new()),
            None => Note::unmeasured((262.0, self.dial.mm), "diameter of the dial"),
        };
        if let Some(seat) = seat {
            note.more = format!("in a seat of {}", mm(seat));
        }
        notes.push(note.judged(self.clearance(Place::Seat)));
        if let Some(came) = size(dial.diameter_as_came)
            && (came / 2.0 - self.dial.mm).abs() > 0.005
        {
            let by = size(dial.diameter).map_or_else(String::new, |now| {
                if came > now { format!("turned down by {}", mm(came - now)) } else { String::new() }
            });
            let mut note = Note::plain((303.0, came / 2.0), format!("dial {} as it came", mm(came)), by);
            note.verdict = self.clearance(Place::Seat).and_then(|c| c.as_came).map(|(_, verdict)| verdict);
            notes.push(note);
        }
        if self.watch.case.is_some() || self.watch.chapter_ring.is_some() {
            let opening = self.opening();
            let note = if opening.known {
                let mut note = Note::plain(
                    (40.0, opening.mm),
                    format!("opening {}", mm(opening.mm * 2.0)),
                    String::new(),
                );
                if let Some(by) = self.clearance(Place::Opening).and_then(|c| c.figure) {
                    note.more = format!("covered by {}", mm(by));
                }
                note
            } else {
                Note::unmeasured((40.0, opening.mm), "opening over the dial")
            };
            notes.push(note.judged(self.clearance(Place::Opening)));
        }
        if let Some(track) = self.clearance(Place::Track).filter(|c| c.accented() || c.accepted)
            && let Some(d) = size(dial.track_diameter)
        {
            let by = track.figure.map_or_else(String::new, |v| {
                if v < 0.0 { format!("cut away by {}", mm(-v)) } else { format!("{} from the edge", mm(v)) }
            });
            let r = (d / 2.0).min(self.dial.mm);
            notes.push(Note::plain((20.0, r), format!("minute track {}", mm(d)), by).judged(Some(track)));
        }
    }

    fn hand_notes(&self, notes: &mut Vec<Note>) {
        for hand in &self.watch.hands {
            let small = self.small_seconds().filter(|_| hand.role == Role::Seconds);
            let clock = match hand.role {
                Role::Hour => 226.0,
                Role::SecondTime => 214.0,
                Role::Minute => 108.0,
                Role::Seconds => 72.0,
            };
            let Some(length) = size(hand.length) else {
                let what = format!("length of the {} hand", hand.role.word());
                notes.push(Note::unmeasured((clock, self.dial.mm * 0.6), &what));
                continue;
            };
            let at = small.map_or((clock, length), |(at, r)| (at, (r + length).min(self.dial.mm)));
            let mut note =
                Note::plain(at, format!("{} {}", hand.role.word(), figure(length, 2)), String::new());
            let place = if small.is_some() { Place::SmallSeconds } else { Place::InRing(hand.role) };
            let clearance = self.clearance(place);
            // An hour hand is far from its ring on most watches.
            let near = hand.role != Role::Hour || clearance.is_some_and(Clearance::accented);
            if let (Place::InRing(_), true, Some(by)) = (place, near, clearance.and_then(|c| c.figure)) {
                let ring = if self.watch.chapter_ring.is_some() { "chapter ring" } else { "rehaut" };
                note.more = if by < 0.0 {
                    format!("{} into the {ring}", figure(-by, 2))
                } else {
                    format!("{} inside the {ring}", figure(by, 2))
                };
            }
            notes.push(note.judged(clearance.filter(|_| near)));
        }
    }

    fn foot_notes(&self, notes: &mut Vec<Note>) {
        let feet = self.watch.dial.as_ref().map_or(&[][..], |d| &d.feet[..]);
        for (i, foot) in feet.iter().enumerate().take(4) {
            let clearance = self.clearance(Place::Foot(i + 1));
            let name = if feet.len() > 1 { format!("foot {}", i + 1) } else { "foot".to_owned() };
            let name = if foot.cut { format!("{name}, cut off") } else { name };
            match (foot.at.filter(|v| v.is_finite()), size(foot.radius)) {
                (Some(clock), Some(r)) => {
                    let more = clearance
                        .and_then(|c| c.figure)
                        .map_or_else(String::new, |v| format!("{} of room in its hole", figure(v, 2)));
                    let mut note = Note::plain((clock.rem_euclid(360.0), r), name, more);
                    if !foot.cut {
                        note = note.judged(clearance);
                    }
                    notes.push(note);
                }
                _ => notes.push(Note::unmeasured((150.0, self.dial.mm * 0.9), &format!("place of {name}"))),
            }
        }
        // One hole stands for all, unless a foot stands in it.
        let holes = self.watch.movement.as_ref().map_or(&[][..], |m| &m.foot_holes[..]);
        let apart = |hole: &&Foot| {
            self.place(hole).is_some_and(|(x, y)| {
                feet.iter()
                    .filter_map(|foot| self.place(foot))
                    .all(|(a, b)| (x - a).abs() + (y - b).abs() > 1.2 * self.scale)
            })
        };
        if let Some(hole) = holes.iter().find(apart) {
            let at = (hole.at.unwrap_or(0.0).rem_euclid(360.0), hole.radius.unwrap_or(0.0));
            notes.push(Note::plain(at, "hole for a foot".to_owned(), "of the calibre".to_owned()));
        }
    }

    fn window_notes(&self, notes: &mut Vec<Note>) {
        let Some(dial) = &self.watch.dial else { return };
        if let Some(window) = dial.date_window {
            let worst = [Place::DateAlong, Place::DateAcross]
                .into_iter()
                .filter_map(|place| self.clearance(place))
                .max_by_key(|c| c.verdict);
            let clock = window.at.filter(|v| v.is_finite()).unwrap_or(90.0).rem_euclid(360.0);
            let more = worst
                .and_then(|c| c.figure.map(|v| format!("{} {}", c.label, figure(v, 2))))
                .unwrap_or_default();
            let at = (clock, size(window.radius).unwrap_or(self.dial.mm * 0.75));
            notes.push(Note::plain(at, "date window".to_owned(), more).judged(worst));
        }
    }

    /// Labels in two columns, each at the height of its place, moved apart; the y below them.
    fn labels(&self, sheet: &mut Sheet, notes: &[Note]) -> f64 {
        let reach = (self.case.map_or(self.dial.mm, |case| case.mm) + 3.2) * self.scale;
        let room = (self.width / 2.0 - reach - 8.0).max(110.0);
        let (mut lines, mut accented) = (Path::default(), Path::default());
        let mut below: f64 = self.half * 2.0;
        for right in [false, true] {
            let mut column: Vec<&Note> = notes.iter().filter(|n| (n.at.0 < 180.0) == right).collect();
            column.sort_by(|a, b| self.at(a.at.0, a.at.1).1.total_cmp(&self.at(b.at.0, b.at.1).1));
            let labels: Vec<Label> = column.iter().map(|note| note.label(room)).collect();
            let heights: Vec<f64> = labels.iter().map(Label::height).collect();
            let wanted: Vec<f64> = column
                .iter()
                .map(|note| {
                    // Further out than it is, so that leaders fan.
                    let (_, y) = self.at(note.at.0, note.at.1);
                    self.middle.1 + (y - self.middle.1) * 1.25
                })
                .collect();
            let places = spread(&wanted, &heights, 8.0, 4.0);
            for ((note, label), middle) in column.iter().zip(&labels).zip(&places) {
                let top = middle - label.height() / 2.0;
                let (px, py) = self.at(note.at.0, note.at.1);
                let (x, from) = if right {
                    (self.width - room, self.width - room - 6.0)
                } else {
                    (room - label.width(), room + 6.0)
                };
                label.draw(sheet, x.max(0.0), top);
                let line = if note.accented { &mut accented } else { &mut lines };
                line.to(from, top + 6.5).line(px, py);
                sheet.circle(if note.accented { "ra" } else { "r" }, px, py, 1.8);
                below = below.max(top + label.height());
            }
        }
        sheet.path("x", &lines);
        sheet.path("xa", &accented);
        below
    }

    /// Numbers in circles around the watch; the y below them.
    fn numbers(&self, sheet: &mut Sheet, notes: &[Note]) -> f64 {
        const R: f64 = 9.0;
        let mut spots: Vec<(f64, f64)> = Vec::new();
        if let (Some(_), Some(case)) = (self.watch.crown, self.case) {
            spots.push(self.at(self.crown_at.mm, case.mm + 1.4));
        }
        let (mut lines, mut accented) = (Path::default(), Path::default());
        let mut below: f64 = self.half * 2.0;
        let reach = (self.case.map_or(self.dial.mm, |case| case.mm) + 0.6) * self.scale + R + 4.0;
        for (i, note) in notes.iter().enumerate() {
            let (px, py) = self.at(note.at.0, note.at.1);
            // At its own angle outside of the case, then turning away from those that stand there.
            let free = |(x, y): &(f64, f64)| {
                let inside = R < *x && *x < self.width - R && R < *y;
                inside
                    && spots.iter().all(|(a, b)| (a - x).powi(2) + (b - y).powi(2) > (2.0 * R + 3.0).powi(2))
            };
            let candidates = (0..60_u8).flat_map(|step| {
                let turn = f64::from(step) * 6.0;
                [turn, -turn].map(|turn| {
                    let angle = (note.at.0 + turn) / 180.0 * PI;
                    let beyond = if note.at.1 * self.scale > reach - R { R * 2.0 + 12.0 } else { 0.0 };
                    let r = reach + beyond;
                    (self.middle.0 + r * libm::sin(angle), self.middle.1 - r * libm::cos(angle))
                })
            });
            let spot = candidates.into_iter().find(free).unwrap_or_else(|| {
                #[expect(clippy::cast_precision_loss, reason = "a dozen notes")]
                let column = spots.len() as f64;
                (R + 1.0 + (column % 14.0) * 22.0, below + R + 4.0 + (column / 14.0).floor() * 22.0)
            });
            spots.push(spot);
            below = below.max(spot.1 + R);
            let (dx, dy) = (px - spot.0, py - spot.1);
            let away = libm::sqrt(dx * dx + dy * dy).max(1.0);
            let line = if note.accented { &mut accented } else { &mut lines };
            line.to(spot.0 + dx / away * R, spot.1 + dy / away * R).line(px, py);
            let dot = if note.accented { "ra" } else { "r" };
            sheet.circle(dot, px, py, 1.8);
            sheet.circle(if note.accented { "xa pp" } else { "n pp" }, spot.0, spot.1, R);
            let class = if note.accented { "b a" } else { "b" };
            sheet.text(class, spot.0, spot.1 + 4.7, Anchor::Middle, &(i + 1).to_string());
        }
        sheet.path("x", &lines);
        sheet.path("xa", &accented);
        below
    }

    /// The width between the lugs above, the scale below; the drawing's height.
    fn frame(&self, sheet: &mut Sheet, below: f64) -> f64 {
        let (x, y) = self.middle;
        let lug = self.watch.case.as_ref().and_then(|c| size(c.lug_width));
        let end = self.watch.case.as_ref().and_then(|c| size(c.lug_to_lug)).map(|d| d / 2.0);
        if let (false, Some(lug), Some(end), Some(case)) = (self.narrow, lug, end, self.case)
            && lug * self.scale > 60.0
            && end > case.mm
            && lug < case.mm * 1.9
        {
            let half = lug / 2.0 * self.scale;
            let top = y - end * self.scale;
            let mut lines = Path::default();
            lines.to(x - half, top - 4.0).line(x - half, top - 24.0);
            lines.to(x + half, top - 4.0).line(x + half, top - 24.0);
            sheet.path("x", &lines);
            overall(sheet, top - 20.0, x - half, x + half, &figure(lug, 1));
        }
        let y = below + 20.0;
        let wide = 5.0 * self.scale;
        let right = self.width - 8.0;
        let mut bar = Path::default();
        bar.to(right - wide, y - 6.0).line(right - wide, y).line(right, y).line(right, y - 6.0);
        sheet.path("n", &bar);
        sheet.text("q", right - wide - 6.0, y + 1.0, Anchor::End, "5 mm");
        y + 8.0
    }
}

impl Note {
    fn plain(at: (f64, f64), name: String, more: String) -> Note {
        Note { at, name, more, verdict: None, accented: false }
    }

    fn unmeasured(at: (f64, f64), what: &str) -> Note {
        Note {
            at,
            name: what.to_owned(),
            more: String::new(),
            verdict: Some(Verdict::Unmeasured),
            accented: true,
        }
    }

    /// With the verdict of a finding, unless it says already that it was not measured.
    fn judged(mut self, clearance: Option<&Clearance>) -> Note {
        if let Some(clearance) = clearance
            && self.verdict.is_none()
        {
            self.verdict = Some(clearance.verdict);
            self.accented = clearance.accented();
        }
        self
    }

    fn label(&self, room: f64) -> Label {
        let mut names = Style::Name.wrapped(&self.more, room);
        if let Some(verdict) = self.verdict.filter(|v| *v == Verdict::Unmeasured || self.accented) {
            let mut label = Label::name(&self.name, room);
            label.names.append(&mut names);
            label.verdict = Some(verdict);
            label.accented = self.accented;
            return label;
        }
        if let Some(verdict) = self.verdict {
            let last = names.pop().unwrap_or_default();
            let told = if last.is_empty() {
                verdict.word().to_owned()
            } else {
                format!("{last}: {}", verdict.word())
            };
            names.extend(Style::Name.wrapped(&told, room));
        }
        Label { figure: Style::Figure.fitted(&self.name, room), names, ..Label::default() }
    }
}

/// `3h`, `3h30`: a place by the clock.
fn clock_words(degrees: f64) -> String {
    let minutes = (degrees.rem_euclid(360.0) * 2.0).round();
    let (hours, rest) = ((minutes / 60.0).floor(), minutes % 60.0);
    let hours = if hours < 1.0 { 12.0 } else { hours };
    if rest < 0.5 { format!("{hours:.0}h") } else { format!("{hours:.0}h{rest:02.0}") }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::testing::{any_watch, lantern, texts_apart, well_formed};
    use proptest::prelude::*;

    #[test]
    fn circles_are_to_scale() {
        let watch = lantern();
        let svg = plan(&watch, "p");
        let scale = Plan::new(&watch, false).scale;
        for (what, diameter) in [("dial", 27.1), ("as it came", 28.5), ("case", 35.5), ("minute", 24.0)] {
            let r = crate::draw::svg::Px(diameter / 2.0 * scale).to_string();
            assert!(svg.contains(&format!("r=\"{r}\"")), "{what} {r}");
        }
    }

    #[test]
    fn places_by_the_clock_have_words() {
        assert_eq!(clock_words(90.0), "3h");
        assert_eq!(clock_words(114.0), "3h48");
        assert_eq!(clock_words(0.0), "12h");
        assert_eq!(clock_words(359.99), "12h");
    }

    #[test]
    fn the_key_tells_what_the_numbers_stand_for() {
        let key = plan_key(&lantern());
        let numbers: Vec<usize> = key.iter().map(|line| line.number).collect();
        assert_eq!(numbers, (1..=key.len()).collect::<Vec<_>>());
        let dial = key.iter().find(|line| line.name == "dial 27.10").unwrap();
        assert_eq!((dial.note.as_str(), dial.verdict), ("in a seat of 27.22", Some(Verdict::Clear)));
        assert!(key.iter().any(|line| line.name == "foot 1, cut off"));
        let svg = narrow_plan(&lantern(), "n");
        for line in &key {
            assert!(svg.contains(&format!(">{}<", line.number)), "{}", line.number);
        }
    }

    #[test]
    fn the_front_goes_into_its_frame_at_the_scale_of_all() {
        // 35.5 across at 4.4 px for a millimetre.
        assert!(front(&lantern()).contains("cx=\"160\" cy=\"120\" r=\"78.1\""));
        let mut large = lantern();
        large.case.as_mut().unwrap().lug_to_lug = Some(70.0);
        // 70 from lug to lug on 224 px.
        assert!(front(&large).contains("r=\"56.8\""), "{}", front(&large));
    }

    #[test]
    fn the_crown_stands_where_the_case_has_it() {
        let mut watch = lantern();
        watch.case.as_mut().unwrap().crown_at = Some(120.0);
        let key = plan_key(&watch);
        assert!(key.iter().any(|line| line.name == "crown at 4h"));
    }

    #[test]
    fn a_plan_is_light() {
        let (wide, narrow) = (plan(&lantern(), "p").len(), narrow_plan(&lantern(), "n").len());
        assert!(wide < 7_500 && narrow < 6_500, "{wide} {narrow}");
    }

    proptest! {
        #[test]
        fn any_watch_is_drawn_and_its_labels_stand_apart(watch in any_watch()) {
            for svg in [plan(&watch, "p"), narrow_plan(&watch, "n"), front(&watch)] {
                well_formed(&svg);
                texts_apart(&svg);
            }
        }
    }
}
