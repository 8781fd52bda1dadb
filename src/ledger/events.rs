//! The log as events in the order in which they happened.

use jiff::civil::DateTime;

use crate::journal::entry::{Alteration, Left};
use crate::journal::{Build, Entry, Slot, Spec, Subject};
use crate::text::{Located, Span};

use super::midnight;

/// Something that an entry says happened.
#[derive(Debug)]
pub(super) struct Event<'a> {
    pub(super) at: DateTime,
    pub(super) build: &'a Build,
    pub(super) entry: &'a Entry,
    pub(super) what: Action<'a>,
}

/// What happened; the order is that within a day.
#[derive(Debug)]
pub(super) enum Action<'a> {
    Had(&'a Located<String>),
    Removed(&'a Located<Slot>),
    Measured(&'a Located<Subject>, &'a Spec),
    Altered(&'a Alteration),
    Fitted(&'a Located<Slot>, Option<&'a Located<String>>),
    Left(&'a Left),
}

impl Action<'_> {
    fn rank(&self) -> u8 {
        match self {
            Action::Had(_) => 0,
            Action::Removed(_) => 1,
            Action::Measured(..) => 2,
            Action::Altered(_) => 3,
            Action::Fitted(..) => 4,
            Action::Left(_) => 5,
        }
    }
}

/// All events of some builds' logs, in order.
pub(super) fn events<'a>(builds: &[&'a Build]) -> Vec<Event<'a>> {
    let mut events = Vec::new();
    for build in builds {
        for entry in &build.entries {
            let at = entry
                .time
                .map_or_else(|| midnight(entry.date.value), |time| entry.date.value.to_datetime(time));
            let mut push = |what| events.push(Event { at, build, entry, what });
            entry.had.iter().for_each(|part| push(Action::Had(part)));
            entry.removed.iter().for_each(|slot| push(Action::Removed(slot)));
            entry.measured.iter().for_each(|(subject, sizes)| push(Action::Measured(subject, sizes)));
            entry.altered.iter().for_each(|alteration| push(Action::Altered(alteration)));
            entry.fitted.iter().for_each(|(slot, part)| push(Action::Fitted(slot, part.as_ref())));
            entry.left.iter().for_each(|left| push(Action::Left(left)));
        }
    }
    // Stable: within an entry the order of writing stays, and builds and entries are in path order.
    events.sort_by(|a, b| {
        (a.at, a.what.rank(), &a.build.slug, &a.entry.name).cmp(&(
            b.at,
            b.what.rank(),
            &b.build.slug,
            &b.entry.name,
        ))
    });
    events
}

impl Event<'_> {
    pub(super) fn span(&self) -> Span {
        match &self.what {
            Action::Had(part) => part.span,
            Action::Removed(slot) | Action::Fitted(slot, _) => slot.span,
            Action::Measured(subject, _) => subject.span,
            Action::Altered(alteration) => alteration.part.span,
            Action::Left(left) => left.part.span,
        }
    }
}
