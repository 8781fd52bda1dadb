//! A check solved for one dimension: where it must lie for the finding to be clear.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::Deserialize;

use crate::journal::Slot;
use crate::journal::fields::{Field, FieldShape, Kind};
use crate::measure::{Dimension, Origin, Quantity, figure};

use super::assembly::{Assembly, parted};
use super::assessment::TOO_WIDE;
use super::bands::Advised;
use super::compiled::Compiled;
use super::expr::{Shape, Term};
use super::finding::Finding;
use super::inverse::{self, Goal, Question, Range, Solved, Tolerance, Unsolvable};

/// Fills in, for a finding that something is missing for, where each missing dimension must lie.
///
/// With several missing the others are taken for what is usual for their kind, which is said; where
/// there is no typical value, that is said instead.
pub fn ranges(watch: &Assembly, finding: &mut Finding) {
    let (Some(formula), Some(advised)) = (&finding.formula, &finding.advised) else { return };
    let missing = formula.missing();
    let compiled = Compiled::new(formula);
    for wanted in &mut finding.missing {
        let others = missing.iter().filter(|term| *term.name != *wanted.name);
        let mut stand_ins = Vec::new();
        let mut taken = Vec::new();
        let mut unknown = Vec::new();
        for other in others {
            match usual(&other.name) {
                Some(value) => {
                    taken.push(format!("{} taken for {}", other.name, figure(value)));
                    let size = sized(watch, &other.name, value);
                    stand_ins.push(Term {
                        value: Some(value),
                        plus: size.plus,
                        minus: size.minus,
                        shape: Shape::Normal,
                        ..other.clone()
                    });
                }
                None => unknown.push(other.name.to_string()),
            }
        }
        if !unknown.is_empty() {
            wanted.note = format!(
                "how large it may be depends on {}, which has no typical value",
                unknown.join(" and ")
            );
            continue;
        }
        let solved = solve(watch, &compiled, advised, &wanted.name, &stand_ins, Goal::Clear);
        let Ok(solved) = solved else { continue };
        wanted.range = solved.range.map(|range| (range.low, range.high));
        wanted.note = match (&solved.range, solved.too_wide) {
            (None, true) => TOO_WIDE.to_owned(),
            (None, false) => "no value makes this clear".to_owned(),
            (Some(_), _) => taken.join(", "),
        };
    }
}

/// Solves a finding's formula for a dimension, known or not.
pub fn solve_finding(
    watch: &Assembly,
    finding: &Finding,
    dimension: &str,
    goal: Goal,
) -> Option<Result<Solved, Unsolvable>> {
    let (formula, advised) = (finding.formula.as_ref()?, finding.advised.as_ref()?);
    let compiled = Compiled::new(formula);
    compiled.position(dimension)?;
    Some(solve(watch, &compiled, advised, dimension, &[], goal))
}

fn solve(
    watch: &Assembly,
    compiled: &Compiled,
    advised: &Advised,
    dimension: &str,
    stand_ins: &[Term],
    goal: Goal,
) -> Result<Solved, Unsolvable> {
    let (tolerances, origin, quantity) = (watch.tolerances(), origin(watch, dimension), quantity(dimension));
    let tolerance = |value: f64| {
        let either = tolerances.of(origin, quantity, value);
        Tolerance { plus: either, minus: either, shape: Shape::Normal }
    };
    let question = Question { dimension, goal, search: search(dimension), tolerance: &tolerance, stand_ins };
    inverse::solve(compiled, advised.band, advised.contact, &question)
}

/// A dimension at a value, once it is known: as well as a measured one, or as it is known already
/// where that is better.
pub(super) fn sized(watch: &Assembly, name: &str, value: f64) -> Dimension {
    let (quantity, origin) = (quantity(name), origin(watch, name));
    let tolerance = watch.tolerances().of(origin, quantity, value);
    Dimension { plus: tolerance, minus: tolerance, ..Dimension::exact(value, quantity, origin) }
}

/// How a dimension will be known: by measuring, or as it is known already where that is better.
fn origin(watch: &Assembly, name: &str) -> Origin {
    watch.known(name).map_or(Origin::Measured, |known| known.size.origin.min(Origin::Measured))
}

/// What a dimension measures, by the table of fields.
pub fn quantity(name: &str) -> Quantity {
    match field(name).map(|field| field.shape) {
        Some(FieldShape::Size(quantity)) => quantity,
        _ => Quantity::Length,
    }
}

/// The field of a dimension's name; `None` where there is no such dimension.
pub fn field(name: &str) -> Option<&'static Field> {
    let (slot, path) = parted(name)?;
    Kind::of(slot.kind())?.field(path)
}

/// Where the values of a dimension are looked for.
fn search(name: &str) -> (f64, f64) {
    match quantity(name) {
        Quantity::Clock | Quantity::Turn => (0.0, 360.0),
        Quantity::Height => (-20.0, 60.0),
        Quantity::Nominal => (0.0, 5.0),
        _ => (0.0, 100.0),
    }
}

/// A dimension's typical value; `None` where it has none.
pub fn usual(name: &str) -> Option<f64> {
    let (slot, path) = parted(name)?;
    USUAL.get(slot.kind())?.get(path).map(|usual| usual.value)
}

/// What a dimension is taken for, and who says so.
#[derive(Debug, Deserialize)]
struct Usual {
    value: f64,
    #[expect(dead_code, reason = "read so that no value stands in the file without its source")]
    source: String,
}

static USUAL: LazyLock<BTreeMap<String, BTreeMap<String, Usual>>> = LazyLock::new(|| {
    serde_yaml::from_str(include_str!("data/typical.yaml")).expect("the built-in table is read by every test")
});

/// One finding's say in where a dimension may lie.
#[derive(Clone, Debug)]
pub struct Share {
    /// The finding's key.
    pub key: String,
    /// What it is about.
    pub title: String,
    /// The ranges that make it clear; `None` where something else is missing.
    pub ranges: Option<Vec<Range>>,
}

/// The range of a dimension that makes every check clear which asks for it.
#[derive(Clone, Debug)]
pub struct Allowed {
    /// The dimension.
    pub name: String,
    /// What it is now, if it is known.
    pub now: Option<Dimension>,
    /// Where all agree, from the least to the greatest; empty: nowhere.
    pub ranges: Vec<Range>,
    /// What each finding says that asks for it.
    pub shares: Vec<Share>,
}

/// Solves every finding of a watch for one dimension.
pub fn allowed(watch: &Assembly, findings: &[Finding], name: &str) -> Allowed {
    let mut shares = Vec::new();
    for finding in findings {
        let Some(solved) = solve_finding(watch, finding, name, Goal::Clear) else { continue };
        let ranges = solved.ok().map(|solved| solved.ranges);
        shares.push(Share { key: finding.key(), title: finding.title.clone(), ranges });
    }
    let ranges = inverse::common(shares.iter().filter_map(|share| share.ranges.as_deref()));
    Allowed {
        name: name.to_owned(),
        now: watch.known(name).map(|known| known.size),
        ranges: if shares.is_empty() { Vec::new() } else { ranges },
        shares,
    }
}

impl Allowed {
    /// The findings that set an end of a range, with what they allow.
    pub fn limited_by(&self) -> Vec<&Share> {
        let sets = |share: &&Share| {
            share.ranges.as_ref().is_some_and(|own| {
                own.is_empty()
                    || self.ranges.is_empty()
                    || self.ranges.iter().any(|range| {
                        own.iter().any(|own| {
                            own.low.is_some() && own.low == range.low
                                || own.high.is_some() && own.high == range.high
                        })
                    })
            })
        };
        self.shares.iter().filter(sets).collect()
    }
}

/// Names of all dimensions that a build's parts could have, for nearest words.
pub fn names(watch: &Assembly) -> Vec<String> {
    let slots = watch.parts().map(|(slot, _)| slot);
    let mut out = Vec::new();
    for slot in slots.collect::<Vec<Slot>>() {
        let Some(kind) = Kind::of(slot.kind()) else { continue };
        out.extend(kind.sizes().into_iter().map(|(path, _)| format!("{}.{path}", slot.name())));
    }
    out
}
