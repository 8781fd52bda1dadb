//! What the checks see of a build: its parts, and the dimensions that formulas are written over.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use serde::Serialize;

use crate::journal::{HeldBy, Kind, Slot, Spec, spec::Content};
use crate::measure::{Dimension, Origin, Quantity, Tolerances};
use crate::timing::{Sitting, SittingFigures};

use super::bands::Bands;
use super::expr::{Expr, Name, Shape, Term};
use super::fitted::Fitted;
use super::key::Key;
use super::records::PressureRecord;
use super::standards::Standards;
use super::trace::{Question, Trace};

/// One build's parts with their sizes, and all else that its checks may ask: nothing leads from here to
/// the journal, to the ledger or to a place in a file.
///
/// A dimension is named by its slot and path: `dial.diameter`, `movement.posts.hour.top`.
#[derive(Clone, Debug, Serialize)]
pub struct Assembly {
    parts: BTreeMap<Slot, Arc<Fitted>>,
    /// How the dial is held, where it was said.
    held: Option<HeldBy>,
    facts: Arc<Facts>,
    /// Takes down what is asked, where somebody wants to know.
    #[serde(skip)]
    trace: Option<Arc<Trace>>,
}

/// What stays as it is, whichever parts are tried.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Facts {
    /// The build's slug.
    pub(super) slug: String,
    /// The slots that are `none`.
    pub(super) without: BTreeSet<Slot>,
    /// Parts as they came, where that is not as they are.
    pub(super) came: BTreeMap<Slot, Spec>,
    /// The pressure that it should hold, bar.
    pub(super) target_water: Option<f64>,
    /// The rate that it should keep: value - minus .. value + plus, s/d.
    pub(super) target_rate: Option<Dimension>,
    /// The timing readings that count: the latest.
    pub(super) readings: Option<Sitting>,
    /// What stands of its pressure tests.
    pub(super) pressure: PressureRecord,
    /// The test that stands is more than twelve months old.
    pub(super) test_is_old: bool,
    /// Findings that are accepted, by check or key, each with the reason.
    pub(super) accepted: Vec<(String, String)>,
    /// What it is judged by.
    pub(super) standards: Arc<Standards>,
}

/// A dimension that a formula used.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Known {
    /// The size.
    pub size: Dimension,
}

impl Facts {
    /// Those of a build of which nothing was written.
    pub(super) fn of(standards: Arc<Standards>) -> Facts {
        Facts {
            slug: String::new(),
            without: BTreeSet::new(),
            came: BTreeMap::new(),
            target_water: None,
            target_rate: None,
            readings: None,
            pressure: PressureRecord::Untested,
            test_is_old: false,
            accepted: Vec::new(),
            standards,
        }
    }
}

impl Assembly {
    pub(super) fn new(parts: BTreeMap<Slot, Arc<Fitted>>, held: Option<HeldBy>, facts: Facts) -> Assembly {
        Assembly { parts, held, facts: Arc::new(facts), trace: None }
    }

    /// A build without a part and without a log, with the pressure that it should hold: what a search
    /// begins with.
    pub fn empty(standards: &Arc<Standards>, target_water: Option<f64>) -> Assembly {
        let facts = Facts { target_water, ..Facts::of(Arc::clone(standards)) };
        Assembly::new(BTreeMap::new(), None, facts)
    }

    /// Names all that a report of it can depend on.
    pub fn key(&self) -> Key {
        Key::of(self)
    }

    /// The same build with these parts and no others: what a search tries out.
    #[must_use]
    pub fn of_parts(&self, parts: BTreeMap<Slot, Arc<Fitted>>, held: Option<HeldBy>) -> Assembly {
        Assembly { parts, held, ..self.clone() }
    }

    /// The same build with its parts as they came, before anything was altered.
    #[must_use]
    pub fn as_came(&self) -> Assembly {
        let mut came = self.clone();
        for (slot, spec) in &self.facts.came {
            if let Some(part) = came.parts.get_mut(slot) {
                let part = Arc::make_mut(part);
                part.spec = spec.clone();
                part.set_by_alteration.clear();
            }
        }
        came
    }

    /// The same build, with everything that is asked of it taken down.
    #[must_use]
    pub fn traced(self, trace: &Arc<Trace>) -> Assembly {
        Assembly { trace: Some(Arc::clone(trace)), ..self }
    }

    /// The same build with one part's sizes changed: what advice and search try out.
    #[must_use]
    pub fn with(&self, slot: Slot, spec: Spec) -> Assembly {
        let mut changed = self.clone();
        if let Some(part) = changed.parts.get_mut(&slot) {
            Arc::make_mut(part).spec = spec;
        }
        changed
    }

    /// The same build with a slot filled by another part (or emptied).
    #[must_use]
    pub fn with_part(&self, slot: Slot, part: Option<Fitted>) -> Assembly {
        let mut changed = self.clone();
        match part {
            Some(part) => changed.parts.insert(slot, Arc::new(part)),
            None => changed.parts.remove(&slot),
        };
        changed
    }

    /// The same build with its dial held another way.
    #[must_use]
    pub fn held_by(self, held: HeldBy) -> Assembly {
        Assembly { held: Some(held), ..self }
    }

    /// The build's slug.
    pub fn slug(&self) -> &str {
        &self.facts.slug
    }

    /// The bands in force.
    pub fn bands(&self) -> &Bands {
        self.facts.standards.bands()
    }

    /// The tolerances of sizes written without one.
    pub fn tolerances(&self) -> &Tolerances {
        self.facts.standards.tolerances()
    }

    /// The pressure that it should hold, bar.
    pub fn target_water(&self) -> Option<f64> {
        self.facts.target_water
    }

    /// The rate that it should keep: value - minus .. value + plus, s/d.
    pub fn target_rate(&self) -> Option<Dimension> {
        self.facts.target_rate
    }

    /// What stands of its pressure tests.
    pub fn pressure(&self) -> &PressureRecord {
        &self.facts.pressure
    }

    /// Whether the test that stands is more than twelve months old.
    pub fn test_is_old(&self) -> bool {
        self.facts.test_is_old
    }

    /// Findings that are accepted, by check or key, each with the reason.
    pub fn accepted(&self) -> &[(String, String)] {
        &self.facts.accepted
    }

    /// What the latest set of timing readings says; `None` where nothing was timed.
    pub fn timing(&self) -> Option<SittingFigures> {
        Some(self.facts.readings.as_ref()?.figures(self.value("movement.lift_angle")))
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
        self.facts.without.contains(&slot)
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
            return Some(Known { size: self.facts.standards.wrist()? });
        }
        if let Some(figure) = name.strip_prefix("timing.") {
            return self.timed(figure);
        }
        let (slot, path) = asked(name)?;
        self.note(|| Question::Size(slot, path.to_owned()));
        self.sized(slot, path)
    }

    /// Whether a dimension is known.
    pub fn knows(&self, name: &str) -> bool {
        self.term_of(name).is_some()
    }

    /// A dimension that stands in a formula: that it is known decides which formula there is.
    fn term_of(&self, name: &str) -> Option<Known> {
        let Some((slot, path)) = asked(name) else { return self.known(name) };
        self.note(|| Question::Knows(slot, path.to_owned()));
        self.sized(slot, path)
    }

    fn sized(&self, slot: Slot, path: &str) -> Option<Known> {
        Some(Known { size: self.parts.get(&slot)?.spec.size(path)?.value })
    }

    /// A figure of the latest readings by its name: `timing.rate`.
    fn timed(&self, name: &str) -> Option<Known> {
        let figures = self.timing()?;
        let (value, quantity) = match name {
            "rate" => (figures.mean_rate, Quantity::Rate),
            "horizontal_amplitude" => (figures.horizontal_amplitude?, Quantity::Turn),
            "vertical_amplitude" => (figures.vertical_amplitude?, Quantity::Turn),
            "beat_error" => (figures.greatest_beat_error?, Quantity::Beat),
            _ => return None,
        };
        Some(Known { size: Dimension::exact(value, quantity, Origin::Measured) })
    }

    fn note(&self, question: impl FnOnce() -> Question) {
        if let Some(trace) = &self.trace {
            trace.note(question());
        }
    }

    /// Whether any field of a group is known: `dial.date_window`.
    pub fn has_any(&self, group: &str) -> bool {
        let Some((slot, path)) = asked(group) else { return false };
        self.note(|| Question::Any(slot, path.to_owned()));
        self.parts.get(&slot).is_some_and(|part| part.has_any(path))
    }

    /// The nominal value of a dimension, if it is known.
    pub fn value(&self, name: &str) -> Option<f64> {
        self.known(name).map(|known| known.size.value)
    }

    /// A word or text of a part, by the same names as dimensions: `crystal.form`.
    pub fn word(&self, name: &str) -> Option<&str> {
        let (slot, path) = asked(name)?;
        self.note(|| Question::Word(slot, path.to_owned()));
        self.parts.get(&slot)?.spec.text(path)
    }

    /// A list of a part, such as `dial.feet`; `Some(&[])` where it was written empty.
    pub fn items(&self, name: &str) -> Option<&[Spec]> {
        let (slot, path) = asked(name)?;
        self.note(|| Question::Items(slot, path.to_owned()));
        self.parts.get(&slot)?.spec.items(path)
    }

    /// How many items a list of a part has; `None` where it was not written.
    pub fn count(&self, name: &str) -> Option<usize> {
        let (slot, path) = asked(name)?;
        self.note(|| Question::Count(slot, path.to_owned()));
        Some(self.parts.get(&slot)?.spec.items(path)?.len())
    }

    /// A flag of a part.
    pub fn flag(&self, name: &str) -> Option<bool> {
        let (slot, path) = asked(name)?;
        self.note(|| Question::Flag(slot, path.to_owned()));
        match self.parts.get(&slot)?.spec.get(path)?.value {
            Content::Flag(flag) => Some(flag),
            _ => None,
        }
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
        let tolerance = self.tolerances().of(Origin::Assumed, Quantity::Length, value);
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

/// A name that a check, a drawing or a page asks for, parted. All of them are written in the program: one
/// that the table of fields does not have is a typo, and would read as a dimension that nobody measured.
/// What is worked out from several has a plain word for a name, such as `centring`.
fn asked(name: &str) -> Option<(Slot, &str)> {
    let parted = parted(name);
    let listed = |(slot, path): (Slot, &str)| Kind::of(slot.kind())?.field(path);
    debug_assert!(
        parted.and_then(listed).is_some() || !name.contains('.') || name.starts_with("timing."),
        "the table of fields has no `{name}`"
    );
    parted
}

/// A dimension's name into its slot and the path within the part.
pub fn parted(name: &str) -> Option<(Slot, &str)> {
    // Asked for every dimension of every formula.
    let dot = name.bytes().position(|byte| byte == b'.')?;
    Some((Slot::of(&name[..dot])?, &name[dot + 1..]))
}
