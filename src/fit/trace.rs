//! What a check asked of a watch while it ran: the dependencies of its answer, found by running it.

use std::sync::{Mutex, MutexGuard};

use crate::journal::Slot;
use crate::journal::spec::Content;

use super::fitted::Fitted;

/// One thing that was asked of the part in a slot, or of an open slot. Formulas' own terms ask only
/// whether the size is known: what it is comes in when the formula is worked out.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Question {
    /// Whether the slot is filled.
    Filled(Slot),
    /// Everything of the part.
    Whole(Slot),
    /// How the dial is held, where a trial says so: asked of the dial's slot.
    Held,
    /// Whether a size is known, and with what doubt it is spread.
    Knows(Slot, String),
    /// A size with its limits and origin.
    Size(Slot, String),
    /// A word.
    Word(Slot, String),
    /// A flag.
    Flag(Slot, String),
    /// How many items a list has.
    Count(Slot, String),
    /// A list with all that stands in it.
    Items(Slot, String),
    /// Whether any field of a group is known.
    Any(Slot, String),
}

impl Question {
    /// The slot that was asked.
    pub fn slot(&self) -> Slot {
        match self {
            Question::Held => Slot::Dial,
            Question::Filled(slot)
            | Question::Whole(slot)
            | Question::Knows(slot, _)
            | Question::Size(slot, _)
            | Question::Word(slot, _)
            | Question::Flag(slot, _)
            | Question::Count(slot, _)
            | Question::Items(slot, _)
            | Question::Any(slot, _) => *slot,
        }
    }

    /// The answer that a part gives, in words that are equal exactly where the answers are; of an
    /// open slot it is empty. `held` is what a trial says of the dial.
    pub fn answer(&self, part: Option<&Fitted>, held: &str) -> String {
        let Some(part) = part else { return String::new() };
        let spec = &part.spec;
        match self {
            Question::Filled(_) => "filled".into(),
            Question::Whole(_) => format!("{} {:?} {:?}", part.id, part.spec, part.set_by_alteration),
            Question::Held => format!("held {held}"),
            Question::Knows(_, path) => if spec.size(path).is_some() { "known" } else { "-" }.into(),
            Question::Size(_, path) => match spec.size(path) {
                Some(size) => format!("{:?}", size.value),
                None => "-".into(),
            },
            Question::Word(_, path) => spec.text(path).map_or("-".into(), |word| format!("={word}")),
            Question::Flag(_, path) => match spec.get(path).map(|content| &content.value) {
                Some(Content::Flag(flag)) => format!("{flag}"),
                _ => "-".into(),
            },
            Question::Count(_, path) => spec.items(path).map_or("-".into(), |items| items.len().to_string()),
            Question::Items(_, path) => format!("{:?}", spec.items(path)),
            Question::Any(_, path) => if part.has_any(path) { "any" } else { "-" }.into(),
        }
    }
}

/// Takes down what is asked of a watch.
#[derive(Debug, Default)]
pub struct Trace(Mutex<Vec<Question>>);

impl Trace {
    /// What was asked since it was last emptied, each once, in the order of asking.
    pub fn take(&self) -> Vec<Question> {
        std::mem::take(&mut *self.open())
    }

    pub(super) fn note(&self, question: Question) {
        let mut asked = self.open();
        if !asked.contains(&question) {
            asked.push(question);
        }
    }

    fn open(&self) -> MutexGuard<'_, Vec<Question>> {
        self.0.lock().unwrap_or_else(std::sync::PoisonError::into_inner)
    }
}
