//! A build's parts as they are in it: the dimensions that formulas are written over.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::sync::Arc;

use jiff::civil::{Date, DateTime};

use crate::journal::{Build, BuildState, Filling, HeldBy, Journal, Slot, Spec, spec::Content};
use crate::ledger::{Ledger, Stay};
use crate::measure::{Dimension, Origin, Quantity};
use crate::text::{Located, Span};

use super::expr::{Expr, Name, Shape, Term};
use super::trace::{self, Question, Trace};

/// Which state of altered parts is judged.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Stage {
    /// As they came, before anything was altered.
    AsCame,
    /// As they are in the build.
    AsIs,
}

/// One build's parts, with their sizes at the build's time.
///
/// A dimension is named by its slot and path: `dial.diameter`, `movement.posts.hour.top`.
pub struct Watch<'a> {
    /// The journal it stands in.
    pub journal: &'a Journal,
    /// Every part through time.
    pub ledger: &'a Ledger,
    /// The build.
    pub build: &'a Build,
    /// The last day that the journal speaks of: what "today" is to a check.
    pub as_of: Date,
    parts: BTreeMap<Slot, Arc<Fitted>>,
    /// How the dial is held, where it was said.
    held: Option<HeldBy>,
    /// Takes down what is asked, where somebody wants to know.
    trace: Option<&'a Trace>,
}

/// The part that fills a slot.
#[derive(Clone, Debug)]
pub struct Fitted {
    /// Its id in the ledger.
    pub id: String,
    /// What it is called.
    pub name: String,
    /// Its sizes in the build; a movement's are its own over its sheet's.
    pub spec: Spec,
    /// Where the part is written.
    pub span: Span,
    /// Until when it was in the build; `None`: still.
    pub until: Option<DateTime>,
}

/// A dimension that a formula used: what it is, and where it is written.
#[derive(Clone, PartialEq, Debug)]
pub struct Known {
    /// The size.
    pub size: Dimension,
    /// Where it is written; the part's own place where a default stands in for it.
    pub span: Span,
}

impl<'a> Watch<'a> {
    /// Assembles a build.
    pub fn of(
        journal: &'a Journal,
        ledger: &'a Ledger,
        build: &'a Build,
        as_of: Date,
        stage: Stage,
    ) -> Watch<'a> {
        let held = build.dial_held_by.as_ref().map(|held| held.value);
        let mut watch = Watch { journal, ledger, build, as_of, parts: BTreeMap::new(), held, trace: None };
        for slot in build.slots.keys() {
            let Some(id) = Ledger::occupant(build, *slot) else { continue };
            let Some(unit) = ledger.units.get(&id) else { continue };
            let until = until(build, unit.stay(&build.slug, *slot), &unit.stays);
            let spec = match stage {
                Stage::AsCame => unit.as_came(),
                Stage::AsIs => unit.spec_in(&build.slug, until),
            };
            let spec = if *slot == Slot::Movement { with_sheet(journal, &spec) } else { spec };
            let part = Fitted { id, name: unit.name.clone(), spec, span: unit.span, until };
            watch.parts.insert(*slot, Arc::new(part));
        }
        watch
    }

    /// The same build with these parts and no others: what a search tries out.
    #[must_use]
    pub fn of_parts(&self, parts: BTreeMap<Slot, Arc<Fitted>>, held: Option<HeldBy>) -> Watch<'a> {
        Watch { parts, held, ..*self }
    }

    /// The same watch, with everything that is asked of it taken down.
    #[must_use]
    pub fn traced(self, trace: &'a Trace) -> Watch<'a> {
        Watch { trace: Some(trace), ..self }
    }

    /// The same watch with one part's sizes changed: what advice and search try out.
    #[must_use]
    pub fn with(&self, slot: Slot, spec: Spec) -> Watch<'a> {
        let mut parts = self.parts.clone();
        if let Some(part) = parts.get_mut(&slot) {
            Arc::make_mut(part).spec = spec;
        }
        Watch { parts, ..*self }
    }

    /// The same watch with a slot filled by another part (or emptied).
    #[must_use]
    pub fn with_part(&self, slot: Slot, part: Option<Fitted>) -> Watch<'a> {
        let mut parts = self.parts.clone();
        match part {
            Some(part) => parts.insert(slot, Arc::new(part)),
            None => parts.remove(&slot),
        };
        Watch { parts, ..*self }
    }

    /// The same watch with its dial held another way.
    #[must_use]
    pub fn held_by(self, held: HeldBy) -> Watch<'a> {
        Watch { held: Some(held), ..self }
    }

    /// How the dial is held, where build.md says so or a trial does.
    pub fn said_held_by(&self) -> Option<HeldBy> {
        self.note(|| Question::Held);
        self.held
    }

    /// The part in a slot; `None` where the slot is open or the build has none.
    pub fn part(&self, slot: Slot) -> Option<&Fitted> {
        self.note(|| Question::Whole(slot));
        self.parts.get(&slot).map(Arc::as_ref)
    }

    /// Whether a slot is filled.
    pub fn has(&self, slot: Slot) -> bool {
        self.note(|| Question::Filled(slot));
        self.parts.contains_key(&slot)
    }

    /// Whether every one of these slots is filled.
    pub fn filled<const N: usize>(&self, slots: [Slot; N]) -> bool {
        slots.into_iter().all(|slot| self.has(slot))
    }

    /// Whether the build says that it has no part there: `slot: none`.
    pub fn without(&self, slot: Slot) -> bool {
        matches!(self.build.slots.get(&slot), Some(Filling::None(_)))
    }

    /// Every filled slot and its part.
    pub fn parts(&self) -> impl Iterator<Item = (Slot, &Fitted)> {
        Slot::ALL.into_iter().for_each(|slot| self.note(|| Question::Whole(slot)));
        self.parts.iter().map(|(slot, part)| (*slot, part.as_ref()))
    }

    /// A dimension by its name; `None` where it was not measured or its slot is open.
    ///
    /// `wrist` is journal.yaml's, `timing.rate` and its like what the log's latest readings say.
    pub fn known(&self, name: &str) -> Option<Known> {
        if name == "wrist" {
            let wrist = self.journal.settings.wrist.as_ref()?;
            return Some(Known { size: wrist.value, span: wrist.span });
        }
        if let Some(figure) = name.strip_prefix("timing.") {
            return self.timed(figure);
        }
        let (slot, path) = parted(name)?;
        self.note(|| Question::Size(slot, path.to_owned()));
        self.sized(slot, path)
    }

    /// Whether a dimension is known.
    pub fn knows(&self, name: &str) -> bool {
        self.term_of(name).is_some()
    }

    /// A dimension that stands in a formula: that it is known decides which formula there is.
    fn term_of(&self, name: &str) -> Option<Known> {
        let Some((slot, path)) = parted(name) else { return self.known(name) };
        self.note(|| Question::Knows(slot, path.to_owned()));
        self.sized(slot, path)
    }

    fn sized(&self, slot: Slot, path: &str) -> Option<Known> {
        let Located { value: size, span } = self.parts.get(&slot)?.spec.size(path)?;
        Some(Known { size, span })
    }

    fn note(&self, question: impl FnOnce() -> Question) {
        if let Some(trace) = self.trace {
            trace.note(question());
        }
    }

    /// Whether any field of a group is known: `dial.date_window`.
    pub fn has_any(&self, group: &str) -> bool {
        let Some((slot, path)) = parted(group) else { return false };
        self.note(|| Question::Any(slot, path.to_owned()));
        self.parts.get(&slot).is_some_and(|part| trace::has_any(part, path))
    }

    /// The nominal value of a dimension, if it is known.
    pub fn value(&self, name: &str) -> Option<f64> {
        self.known(name).map(|known| known.size.value)
    }

    /// A word or text of a part, by the same names as dimensions: `crystal.form`.
    pub fn word(&self, name: &str) -> Option<&str> {
        let (slot, path) = parted(name)?;
        self.note(|| Question::Word(slot, path.to_owned()));
        self.parts.get(&slot)?.spec.text(path)
    }

    /// A list of a part, such as `dial.feet`; `Some(&[])` where it was written empty.
    pub fn items(&self, name: &str) -> Option<&[Spec]> {
        let (slot, path) = parted(name)?;
        self.note(|| Question::Items(slot, path.to_owned()));
        self.parts.get(&slot)?.spec.items(path)
    }

    /// How many items a list of a part has; `None` where it was not written.
    pub fn count(&self, name: &str) -> Option<usize> {
        let (slot, path) = parted(name)?;
        self.note(|| Question::Count(slot, path.to_owned()));
        Some(self.parts.get(&slot)?.spec.items(path)?.len())
    }

    /// A flag of a part.
    pub fn flag(&self, name: &str) -> Option<bool> {
        let (slot, path) = parted(name)?;
        self.note(|| Question::Flag(slot, path.to_owned()));
        match self.parts.get(&slot)?.spec.get(path)?.value {
            Content::Flag(flag) => Some(flag),
            _ => None,
        }
    }

    /// Where a field is written.
    pub fn span(&self, name: &str) -> Option<Span> {
        let (slot, path) = parted(name)?;
        self.parts.get(&slot)?.spec.span(path)
    }

    /// A dimension in a formula; where it was not measured, the formula is without a value there.
    pub fn dim(&self, name: impl Into<Cow<'static, str>>) -> Expr {
        let name = name.into();
        match self.term_of(&name) {
            Some(known) => term(name, &known.size),
            None => Expr::leaf(Term {
                name: name.into(),
                value: None,
                plus: 0.0,
                minus: 0.0,
                shape: Shape::Normal,
                tag: 0,
            }),
        }
    }

    /// A dimension, or a value assumed for it where it was not measured.
    pub fn dim_or(&self, name: impl Into<Cow<'static, str>>, assumed: f64) -> Expr {
        let name = name.into();
        if self.knows(&name) {
            return self.dim(name);
        }
        term(name, &self.assumed(assumed))
    }

    /// A size that is assumed, with the tolerance of that origin.
    pub fn assumed(&self, value: f64) -> Dimension {
        let tolerance = self.journal.settings.tolerances.of(Origin::Assumed, Quantity::Length, value);
        let exact = Dimension::exact(value, Quantity::Length, Origin::Assumed);
        Dimension { plus: tolerance, minus: tolerance, ..exact }
    }

    /// How the dial is held: as build.md says, else by its feet where it has any.
    pub fn dial_held_by(&self) -> Option<HeldBy> {
        if let Some(held) = self.said_held_by() {
            return Some(held);
        }
        match self.count("dial.feet") {
            Some(0) => None,
            _ => Some(HeldBy::Feet),
        }
    }

    /// Whether feet hold the dial to the movement.
    pub fn on_feet(&self) -> bool {
        self.dial_held_by() == Some(HeldBy::Feet)
    }
}

/// A known size as a term of a formula.
pub fn term(name: impl Into<Name>, size: &Dimension) -> Expr {
    let shape = if size.origin.uniform() { Shape::Uniform } else { Shape::Normal };
    Expr::leaf(Term {
        name: name.into(),
        value: Some(size.value),
        plus: size.plus,
        minus: size.minus,
        shape,
        tag: 0,
    })
}

/// A dimension's name into its slot and the path within the part.
pub fn parted(name: &str) -> Option<(Slot, &str)> {
    // Asked for every dimension of every formula.
    let dot = name.bytes().position(|byte| byte == b'.')?;
    Some((Slot::of(&name[..dot])?, &name[dot + 1..]))
}

/// A movement's own fields over those of its calibre sheet.
pub fn with_sheet(journal: &Journal, own: &Spec) -> Spec {
    match own.text("calibre").and_then(|id| journal.sheets.get(id)) {
        Some(sheet) => own.over(&sheet.spec),
        None => own.clone(),
    }
}

/// Until when a build's part counts as it was in the build; `None` where later work still counts.
///
/// A part that came out only to be worked on and goes back in is judged with that work. One that
/// went into another watch, or came out with the build's end, is judged as it was on that day.
fn until(build: &Build, stay: Option<&Stay>, stays: &[Stay]) -> Option<DateTime> {
    let to = stay?.to?;
    // They are in the order of their beginnings.
    let later = &stays[stays.partition_point(|other| other.from < Some(to))..];
    let elsewhere = later.iter().any(|other| other.build != build.slug && !other.planned);
    (build.state == BuildState::TakenApart || elsewhere).then_some(to)
}
