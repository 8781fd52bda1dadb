//! The events of the log, one after the other, over the parts of the bin.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::DateTime;

use crate::journal::{Build, BuildState, Filling, Journal, Kind, Slot, Spec, Subject};
use crate::problem::Problem;
use crate::text::{Located, Span};

use super::events::{Action, Event, events};
use super::{Altered, Change, Departure, Ledger, Stay, Unit, When, end_of, midnight};

/// Replays what `builds` say of the parts whose ids are `only` (`None`: of all). What other builds say
/// of them is not asked.
pub(super) fn replay(journal: &Journal, builds: Vec<&Build>, only: Option<&BTreeSet<String>>) -> Ledger {
    let mut replay = Replay {
        journal,
        builds,
        only,
        ledger: Ledger::default(),
        fitted: BTreeMap::new(),
        emptied: BTreeMap::new(),
    };
    replay.take_in_the_bin();
    let events = events(&replay.builds);
    replay.begin(&events);
    for event in &events {
        replay.apply(event);
    }
    replay.end(&events);
    let mut ledger = replay.ledger;
    ledger.units.values_mut().for_each(Unit::settle);
    crate::problem::sort(&mut ledger.problems);
    ledger
}

struct Replay<'a> {
    journal: &'a Journal,
    builds: Vec<&'a Build>,
    only: Option<&'a BTreeSet<String>>,
    ledger: Ledger,
    /// What is in each build's slots now.
    fitted: BTreeMap<(&'a str, Slot), Sits>,
    /// Where each slot was last emptied.
    emptied: BTreeMap<(&'a str, Slot), Span>,
}

/// A part in a slot.
struct Sits {
    id: String,
    from: Option<DateTime>,
    span: Span,
    /// An entry says so; else it is taken from build.md and from the day the build was begun.
    said: bool,
}

impl<'a> Replay<'a> {
    fn take_in_the_bin(&mut self) {
        let parts: Vec<_> = match self.only {
            Some(only) => only.iter().filter_map(|id| self.journal.parts.get(id)).collect(),
            None => self.journal.parts.values().collect(),
        };
        for part in parts {
            let mut unit = unit(part.id.value.clone(), part.name(), part.kind, &part.spec, part.id.span);
            unit.had = part.from.date.as_ref().map(|date| When { at: midnight(date.value), span: date.span });
            unit.count = part.count.as_ref().map(|count| count.value);
            self.ledger.units.insert(unit.id.clone(), unit);
        }
        for build in &self.builds {
            for (slot, filling) in &build.slots {
                let Filling::Written { kind, spec, span } = filling else { continue };
                let id = format!("{}/{}", build.slug, slot.name());
                if self.only.is_some_and(|only| !only.contains(&id)) {
                    continue;
                }
                let name = spec.text("name").unwrap_or(slot.words());
                self.ledger.units.insert(id.clone(), unit(id, name, kind, spec, *span));
            }
        }
    }

    /// Slots whose first mention is their emptying, or that are never mentioned, were filled at first.
    fn begin(&mut self, events: &[Event<'a>]) {
        let mut first: BTreeMap<(&str, Slot), bool> = BTreeMap::new();
        for event in events {
            match &event.what {
                Action::Removed(slot) => first.entry((&event.build.slug, slot.value)).or_insert(true),
                Action::Fitted(slot, _) => first.entry((&event.build.slug, slot.value)).or_insert(false),
                _ => continue,
            };
        }
        for build in &self.builds {
            for (slot, filling) in &build.slots {
                let Some(id) = Ledger::occupant(build, *slot) else { continue };
                if *first.get(&(build.slug.as_str(), *slot)).unwrap_or(&true) {
                    let sits = Sits { id, from: begun(build), span: span_of(filling), said: false };
                    self.fitted.insert((&build.slug, *slot), sits);
                }
            }
        }
    }

    fn apply(&mut self, event: &Event<'a>) {
        let when = When { at: event.at, span: event.span() };
        match &event.what {
            Action::Had(part) => {
                if let Some(unit) = self.ledger.units.get_mut(&part.value)
                    && unit.had.is_none()
                {
                    unit.had = Some(when);
                }
            }
            Action::Removed(slot) => self.remove(event, slot),
            Action::Fitted(slot, part) => self.fit(event, slot, *part),
            Action::Measured(subject, sizes) => {
                let becomes = sizes
                    .text("as")
                    .map(|id| Located::new(id.to_owned(), sizes.span("as").unwrap_or(when.span)));
                let mut sizes = (*sizes).clone();
                if becomes.is_some() {
                    sizes = without(&sizes, "as");
                }
                self.change(event, subject, sizes, None, becomes.as_ref());
            }
            Action::Altered(alteration) => {
                let altered = Altered { how: alteration.how.value.clone(), by: alteration.by.clone() };
                self.change(
                    event,
                    &alteration.part,
                    alteration.to.clone(),
                    Some(altered),
                    alteration.becomes.as_ref(),
                );
            }
            Action::Left(left) => {
                if let Some(unit) = self.ledger.units.get_mut(&left.part.value) {
                    unit.gone.push(Departure { when, how: left.how.value.clone(), count: left.count });
                }
            }
        }
    }

    fn remove(&mut self, event: &Event<'a>, slot: &Located<Slot>) {
        let key = (event.build.slug.as_str(), slot.value);
        let before = self.emptied.insert(key, slot.span);
        if let Some(sits) = self.fitted.remove(&key) {
            return self.stay(event.build, slot.value, &sits, Some(event.at));
        }
        let files = &self.journal.files;
        let (name, key) = (slot.value.words(), slot.value.name());
        let message = format!(
            "the {name} was removed, and nothing says that one was fitted before: write when under `fitted: {{ {key}: ... }}`"
        );
        let (other, words) = match (before, event.build.slots.get(&slot.value)) {
            (Some(before), _) => (files.place(before), format!("the {name} was removed here already")),
            (None, Some(filling)) => {
                (files.place(span_of(filling)), format!("build.md says that it has no {name}"))
            }
            (None, None) => {
                let at = event.build.slots_at.unwrap_or(event.build.file.start());
                (files.place(at), format!("build.md names no {name}"))
            }
        };
        self.ledger.problems.push(Problem::warning(files.place(slot.span), message).and(other, words));
    }

    fn fit(&mut self, event: &Event<'a>, slot: &Located<Slot>, part: Option<&Located<String>>) {
        let Some(id) =
            part.map(|part| part.value.clone()).or_else(|| Ledger::occupant(event.build, slot.value))
        else {
            return;
        };
        let span = part.map_or(slot.span, |part| part.span);
        if let Some(old) = self.fitted.remove(&(event.build.slug.as_str(), slot.value)) {
            if old.id == id {
                self.fitted.insert((&event.build.slug, slot.value), old);
                return;
            }
            // A new part in the slot says that the old one came out.
            self.stay(event.build, slot.value, &old, Some(event.at));
        }
        self.fitted
            .insert((&event.build.slug, slot.value), Sits { id, from: Some(event.at), span, said: true });
    }

    fn change(
        &mut self,
        event: &Event<'a>,
        subject: &Located<Subject>,
        sizes: Spec,
        altered: Option<Altered>,
        becomes: Option<&Located<String>>,
    ) {
        let when = When { at: event.at, span: subject.span };
        let id = match &subject.value {
            Subject::Part(id) => Some(id.clone()),
            Subject::Slot(slot) => self
                .fitted
                .get(&(event.build.slug.as_str(), *slot))
                .map(|sits| sits.id.clone())
                .or_else(|| Ledger::occupant(event.build, *slot)),
        };
        let place = || self.journal.files.place(subject.span);
        let Some(id) = id.filter(|id| self.ledger.units.contains_key(id)) else {
            if let Subject::Slot(slot) = &subject.value {
                let message = format!("the build lists no {}: name one under `parts:`", slot.words());
                self.ledger.problems.push(Problem::warning(place(), message));
            }
            return;
        };
        let id = match becomes {
            Some(new) => match self.split(&id, new, when) {
                Some(one) => {
                    if let Subject::Slot(slot) = subject.value {
                        self.exchange(event, slot, &id, one.clone());
                    }
                    one
                }
                None => return,
            },
            None => id,
        };
        self.ledger.subjects.insert(subject.span, id.clone());
        if let Some(unit) = self.ledger.units.get_mut(&id) {
            unit.changes.push(Change {
                when,
                build: event.build.slug.clone(),
                entry: event.entry.name.clone(),
                sizes,
                altered,
            });
        }
    }

    /// The piece of a lot that sits in a slot has become a part of its own.
    fn exchange(&mut self, event: &Event<'a>, slot: Slot, lot: &str, one: String) {
        let key = (event.build.slug.as_str(), slot);
        let Some(sits) = self.fitted.remove(&key) else { return };
        let span = sits.span;
        if sits.id != lot {
            self.fitted.insert(key, sits);
            return;
        }
        self.stay(event.build, slot, &sits, Some(event.at));
        self.fitted.insert(key, Sits { id: one, from: Some(event.at), span, said: true });
    }

    /// One of a lot becomes a part of its own, with the lot's sizes so far.
    fn split(&mut self, lot: &str, new: &Located<String>, when: When) -> Option<String> {
        let unit = self.ledger.units.get_mut(lot)?;
        if self.journal.parts.contains_key(&new.value) {
            let place = self.journal.files.place(new.span);
            let message =
                format!("`{}` is a part of parts/ already: give the one of the lot a new id", new.value);
            self.ledger.problems.push(Problem::error(place, message));
            return None;
        }
        if unit.count.is_none() {
            let place = self.journal.files.place(new.span);
            let message = format!(
                "`{lot}` is one part, and `as:` gives a new id to one of several: leave it out, or write `count:` where the part stands"
            );
            let problem = Problem::warning(place, message);
            self.ledger.problems.push(problem.and(self.journal.files.place(unit.span), "it stands here"));
        }
        unit.gone.push(Departure { when, how: "split".into(), count: 1 });
        let one = Unit {
            had: unit.had,
            split_from: Some(lot.to_owned()),
            split: Some(When { span: new.span, ..when }),
            changes: unit.changes.clone(),
            ..self::unit(new.value.clone(), &unit.name, unit.kind, &unit.came, new.span)
        };
        self.ledger.units.insert(new.value.clone(), one);
        Some(new.value.clone())
    }

    /// Whatever is fitted at the end of the log stays, or left with its build.
    fn end(&mut self, events: &[Event<'a>]) {
        let mut last: BTreeMap<&str, DateTime> = BTreeMap::new();
        for event in events {
            last.insert(&event.build.slug, event.at);
        }
        for ((slug, slot), sits) in std::mem::take(&mut self.fitted) {
            let Some(build) = self.journal.build(slug) else { continue };
            let to = ended(build, last.get(slug).copied());
            self.stay(build, slot, &sits, to);
        }
    }

    fn stay(&mut self, build: &Build, slot: Slot, sits: &Sits, to: Option<DateTime>) {
        let Some(unit) = self.ledger.units.get_mut(&sits.id) else { return };
        // Where only build.md speaks, a part that came after the build was begun went in when it came.
        let came =
            unit.came_on().map(|came| came.at).filter(|came| !sits.said && to.is_none_or(|to| *came < to));
        let from = sits.from.max(came);
        let planned = build.state == BuildState::Planned;
        unit.stays.push(Stay { build: build.slug.clone(), slot, from, to, span: sits.span, planned });
    }
}

/// A part of which nothing is known yet but what is written where it stands.
fn unit(id: String, name: &str, kind: &'static Kind, came: &Spec, span: Span) -> Unit {
    Unit {
        id,
        name: name.to_owned(),
        kind,
        came: came.clone(),
        span,
        had: None,
        split_from: None,
        split: None,
        count: None,
        changes: Vec::new(),
        stays: Vec::new(),
        gone: Vec::new(),
        by_build: Vec::new(),
        overbooked: false,
    }
}

fn begun(build: &Build) -> Option<DateTime> {
    let first = || build.entries.first().map(|entry| midnight(entry.date.value));
    build.begun.as_ref().map(|date| midnight(date.value)).or_else(first)
}

/// When a build's parts became free; `None` while it stands.
///
/// One taken apart without a date came apart on the last day of its log, or on the day it was begun:
/// its parts were free from then on.
fn ended(build: &Build, last: Option<DateTime>) -> Option<DateTime> {
    let said = build.ended.as_ref().map(|date| end_of(date.value));
    match build.state {
        BuildState::TakenApart => said.or(last).or_else(|| begun(build)).or(Some(DateTime::MIN)),
        _ => said,
    }
}

fn without(spec: &Spec, left_out: &str) -> Spec {
    let mut kept = Spec::default();
    spec.iter()
        .filter(|(path, _)| *path != left_out)
        .for_each(|(path, content)| kept.set(path.to_owned(), content.clone()));
    kept
}

pub(super) fn span_of(filling: &Filling) -> Span {
    match filling {
        Filling::None(span) | Filling::Written { span, .. } => *span,
        Filling::Part(id) => id.span,
    }
}
