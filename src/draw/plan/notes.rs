//! What the plan names: places on the watch, and the words for them.

use super::layout::Plan;
use crate::draw::drafting::{Label, size};
use crate::draw::svg::{Style, figure};
use crate::draw::watch::{Clearance, Foot, Place, Role};
use crate::fit::verdict::Verdict;

/// Something that the plan names: a place on the watch, and the words for it.
pub(super) struct Note {
    /// Where its leader ends: clock angle and radius.
    pub(super) at: (f64, f64),
    pub(super) name: String,
    pub(super) more: String,
    pub(super) verdict: Option<Verdict>,
    pub(super) accented: bool,
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

    pub(super) fn label(&self, room: f64) -> Label {
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

impl Plan<'_> {
    /// What is named, from twelve o'clock round.
    pub(super) fn notes(&self) -> Vec<Note> {
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

    #[test]
    fn places_by_the_clock_have_words() {
        assert_eq!(clock_words(90.0), "3h");
        assert_eq!(clock_words(114.0), "3h48");
        assert_eq!(clock_words(0.0), "12h");
        assert_eq!(clock_words(359.99), "12h");
    }
}
