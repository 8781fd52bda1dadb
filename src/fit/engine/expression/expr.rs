//! A check's formula, written once over named dimensions.
//!
//! The same [`Expr`] is evaluated with numbers, with intervals and with derivatives (see
//! [`super::compiled`]), and printed with symbols ([`Expr::symbols`]) or with numbers ([`Expr::numbers`]).

use std::borrow::Cow;
use std::fmt;
use std::ops::{Add, Deref, Div, Mul, Neg, Sub};
use std::sync::Arc;

use crate::fit::engine::numbers::pairing::{MOST_FEET, NO_HOLE};

/// How a dimension is spread between its limits.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Shape {
    /// Normal; half the distance of the limits is three standard deviations.
    Normal,
    /// Every value between the limits is as likely as any other.
    Uniform,
}

/// What a dimension is called. Most names stand in the checks themselves, and all of them are told with
/// findings again and again: none is copied.
#[derive(Clone)]
pub enum Name {
    /// Written in the program.
    Fixed(&'static str),
    /// Put together.
    Made(Arc<str>),
}

impl Deref for Name {
    type Target = str;
    fn deref(&self) -> &str {
        match self {
            Name::Fixed(name) => name,
            Name::Made(name) => name,
        }
    }
}

impl PartialEq for Name {
    fn eq(&self, other: &Name) -> bool {
        **self == **other
    }
}

impl fmt::Debug for Name {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(&**self, f)
    }
}

impl fmt::Display for Name {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self)
    }
}

impl From<Cow<'static, str>> for Name {
    fn from(name: Cow<'static, str>) -> Name {
        match name {
            Cow::Borrowed(name) => Name::Fixed(name),
            Cow::Owned(name) => Name::Made(name.into()),
        }
    }
}

impl From<&'static str> for Name {
    fn from(name: &'static str) -> Name {
        Name::Fixed(name)
    }
}

impl From<String> for Name {
    fn from(name: String) -> Name {
        Name::Made(name.into())
    }
}

/// A named dimension inside a formula: everything the engine needs to know of it.
#[derive(Clone, PartialEq, Debug)]
pub struct Term {
    /// As the journal names it, such as `dial.diameter`; within one formula the same name is
    /// the same dimension, and the first of its terms counts.
    pub name: Name,
    /// Nominal value in the formula's unit, mm or degrees; `None`: it was not measured.
    pub value: Option<f64>,
    /// How far the true value may lie above the nominal one; never below zero.
    pub plus: f64,
    /// How far it may lie below; never below zero.
    pub minus: f64,
    /// The spread between the two limits.
    pub shape: Shape,
    /// The caller's own mark, handed back unread.
    pub tag: u32,
}

impl Term {
    /// The middle of its limits, and how far they lie from it.
    pub(in crate::fit::engine) fn middle_and_half(&self) -> (f64, f64) {
        let value = self.value.unwrap_or(0.0);
        (value + 0.5 * (self.plus - self.minus), 0.5 * (self.plus + self.minus))
    }
}

/// A formula over dimensions. Cheap to clone; parts may be shared.
#[derive(Clone, Debug)]
pub struct Expr(pub(in crate::fit::engine) Arc<Node>);

#[derive(Debug)]
pub(in crate::fit::engine) enum Node {
    Const(f64),
    Leaf(Term),
    Neg(Expr),
    Abs(Expr),
    Sqrt(Expr),
    SinDeg(Expr),
    CosDeg(Expr),
    Add(Expr, Expr),
    Sub(Expr, Expr),
    Mul(Expr, Expr),
    Div(Expr, Expr),
    Min(Expr, Expr),
    Max(Expr, Expr),
    Hypot(Expr, Expr),
    Turn {
        angle: Expr,
        pitch: Expr,
    },
    Apart {
        r: Expr,
        other: Expr,
        angle: Expr,
    },
    Sag {
        r: Expr,
        aperture: Expr,
        rise: Expr,
    },
    Choose {
        at_most_zero: Expr,
        then: Expr,
        otherwise: Expr,
    },
    Pairing {
        gaps: Vec<Vec<Expr>>,
        foot: usize,
    },
    /// The same as what it holds; printed by its label.
    Named {
        label: &'static str,
        of: Expr,
    },
}

impl Expr {
    /// A dimension.
    pub fn leaf(term: Term) -> Expr {
        Expr::node(Node::Leaf(term))
    }

    /// The size without its sign.
    pub fn abs(self) -> Expr {
        Expr::node(Node::Abs(self))
    }

    /// The square root; of a negative number it is 0.
    pub fn sqrt(self) -> Expr {
        Expr::node(Node::Sqrt(self))
    }

    /// The sine of an angle in degrees.
    pub fn sin_deg(self) -> Expr {
        Expr::node(Node::SinDeg(self))
    }

    /// The cosine of an angle in degrees.
    pub fn cos_deg(self) -> Expr {
        Expr::node(Node::CosDeg(self))
    }

    /// The smaller of two.
    pub fn min(self, other: impl Into<Expr>) -> Expr {
        Expr::node(Node::Min(self, other.into()))
    }

    /// The greater of two.
    pub fn max(self, other: impl Into<Expr>) -> Expr {
        Expr::node(Node::Max(self, other.into()))
    }

    /// The length of the hypotenuse over two legs.
    pub fn hypot(self, other: impl Into<Expr>) -> Expr {
        Expr::node(Node::Hypot(self, other.into()))
    }

    /// The square.
    pub fn square(self) -> Expr {
        self.clone() * self
    }

    /// An angle moved by the whole number of pitches that brings it nearest to zero. The pitch
    /// is above zero.
    pub fn nearest_turn(self, pitch: impl Into<Expr>) -> Expr {
        Expr::node(Node::Turn { angle: self, pitch: pitch.into() })
    }

    /// How far a dome stands over its foot at the radius `r`: `rise` in the middle, 0 from the
    /// aperture's radius on. A sphere; the rise counts up to the aperture's radius (half a ball).
    pub fn sag(r: impl Into<Expr>, aperture: impl Into<Expr>, rise: impl Into<Expr>) -> Expr {
        Expr::node(Node::Sag { r: r.into(), aperture: aperture.into(), rise: rise.into() })
    }

    /// The distance of two points that lie `r` and `other` from one centre (neither below zero)
    /// and `angle` degrees apart as seen from there.
    pub fn apart(r: impl Into<Expr>, other: impl Into<Expr>, angle: impl Into<Expr>) -> Expr {
        Expr::node(Node::Apart { r: r.into(), other: other.into(), angle: angle.into() })
    }

    /// `then` where the condition is at most zero, `otherwise` above it.
    ///
    /// Each part must be held at the rim beyond its own side (by a `min` or `max` of the condition's
    /// parts): wherever the other side is, it may come to nothing that it does not come to on its
    /// own. Then the worst case of the whole is that of its two parts.
    pub fn choose(at_most_zero: impl Into<Expr>, then: impl Into<Expr>, otherwise: impl Into<Expr>) -> Expr {
        Expr::node(Node::Choose {
            at_most_zero: at_most_zero.into(),
            then: then.into(),
            otherwise: otherwise.into(),
        })
    }

    /// The gap of one foot (counted from 0) in the one-to-one pairing of feet with holes whose
    /// least gap is greatest; where two pairings share their least gap, the next least decides.
    /// `gaps[foot][hole]`, each row of the same length. As many feet as can be are paired; one
    /// that stays without a hole has a gap far below zero. Only the first `MOST_FEET` feet and
    /// `MOST_HOLES` holes are looked at: what goes beyond has no gap.
    pub fn pairing(mut gaps: Vec<Vec<Expr>>, foot: usize) -> Expr {
        gaps.truncate(MOST_FEET);
        let holes = gaps.iter().map(Vec::len).min().unwrap_or(0).min(MOST_HOLES);
        if foot >= gaps.len() || holes == 0 {
            return Expr::from(NO_HOLE);
        }
        for row in &mut gaps {
            row.truncate(holes);
        }
        Expr::node(Node::Pairing { gaps, foot })
    }

    /// The same formula under a name of its own: printed with symbols it is the label, with numbers
    /// what it comes to. For parts that would hide the sum they stand in.
    pub fn named(self, label: &'static str) -> Expr {
        Expr::node(Node::Named { label, of: self })
    }

    /// Whether a dimension stands in the formula.
    pub fn names(&self, dimension: &str) -> bool {
        self.terms().iter().any(|term| &*term.name == dimension)
    }

    /// The least of several; `None` of none.
    pub fn least(several: impl IntoIterator<Item = Expr>) -> Option<Expr> {
        several.into_iter().reduce(Expr::min)
    }

    /// The greatest of several; `None` of none.
    pub fn greatest(several: impl IntoIterator<Item = Expr>) -> Option<Expr> {
        several.into_iter().reduce(Expr::max)
    }

    /// Every dimension of the formula, each name once, in reading order.
    pub fn terms(&self) -> Vec<Term> {
        let mut found = Vec::new();
        gather(self, &mut found, &mut Vec::new());
        found
    }

    /// The dimensions without a value.
    pub fn missing(&self) -> Vec<Term> {
        self.terms().into_iter().filter(|term| term.value.is_none()).collect()
    }

    fn node(node: Node) -> Expr {
        Expr(Arc::new(node))
    }

    pub(in crate::fit::engine) fn constant(&self) -> Option<f64> {
        match *self.0 {
            Node::Const(x) => Some(x),
            _ => None,
        }
    }
}

/// The most foot holes that a pairing looks at.
pub const MOST_HOLES: usize = 8;

impl Node {
    pub(in crate::fit::engine) fn children(&self) -> Vec<&Expr> {
        match self {
            Node::Const(_) | Node::Leaf(_) => Vec::new(),
            Node::Neg(a)
            | Node::Abs(a)
            | Node::Sqrt(a)
            | Node::SinDeg(a)
            | Node::CosDeg(a)
            | Node::Named { of: a, .. } => vec![a],
            Node::Add(a, b)
            | Node::Sub(a, b)
            | Node::Mul(a, b)
            | Node::Div(a, b)
            | Node::Min(a, b)
            | Node::Max(a, b)
            | Node::Hypot(a, b)
            | Node::Turn { angle: a, pitch: b } => vec![a, b],
            Node::Sag { r: a, aperture: b, rise: c }
            | Node::Apart { r: a, other: b, angle: c }
            | Node::Choose { at_most_zero: a, then: b, otherwise: c } => vec![a, b, c],
            Node::Pairing { gaps, .. } => gaps.iter().flatten().collect(),
        }
    }
}

fn gather(expr: &Expr, found: &mut Vec<Term>, seen: &mut Vec<*const Node>) {
    if let Node::Leaf(term) = &*expr.0 {
        if !found.iter().any(|other| other.name == term.name) {
            found.push(term.clone());
        }
        return;
    }
    if Arc::strong_count(&expr.0) > 1 {
        let place = Arc::as_ptr(&expr.0);
        if seen.contains(&place) {
            return;
        }
        seen.push(place);
    }
    for child in expr.0.children() {
        gather(child, found, seen);
    }
}

impl From<f64> for Expr {
    fn from(x: f64) -> Expr {
        Expr::node(Node::Const(x))
    }
}

impl From<Term> for Expr {
    fn from(term: Term) -> Expr {
        Expr::leaf(term)
    }
}

impl From<&Expr> for Expr {
    fn from(expr: &Expr) -> Expr {
        expr.clone()
    }
}

impl Neg for Expr {
    type Output = Expr;
    fn neg(self) -> Expr {
        match self.constant() {
            Some(x) => Expr::from(-x),
            None => Expr::node(Node::Neg(self)),
        }
    }
}

macro_rules! operator {
    ($name:ident, $method:ident, $left_neutral:expr, $right_neutral:expr) => {
        impl $name<Expr> for Expr {
            type Output = Expr;
            fn $method(self, other: Expr) -> Expr {
                let (left, right) = (self.constant(), other.constant());
                if let (Some(a), Some(b)) = (left, right) {
                    return Expr::from(a.$method(b));
                }
                let (left_neutral, right_neutral): (Option<f64>, f64) = ($left_neutral, $right_neutral);
                if right == Some(right_neutral) {
                    return self;
                }
                if left.is_some() && left == left_neutral {
                    return other;
                }
                Expr::node(Node::$name(self, other))
            }
        }
        impl $name<&Expr> for Expr {
            type Output = Expr;
            fn $method(self, other: &Expr) -> Expr {
                self.$method(other.clone())
            }
        }
        impl $name<Expr> for &Expr {
            type Output = Expr;
            fn $method(self, other: Expr) -> Expr {
                self.clone().$method(other)
            }
        }
        impl $name<&Expr> for &Expr {
            type Output = Expr;
            fn $method(self, other: &Expr) -> Expr {
                self.clone().$method(other.clone())
            }
        }
        impl $name<f64> for Expr {
            type Output = Expr;
            fn $method(self, other: f64) -> Expr {
                self.$method(Expr::from(other))
            }
        }
        impl $name<f64> for &Expr {
            type Output = Expr;
            fn $method(self, other: f64) -> Expr {
                self.clone().$method(Expr::from(other))
            }
        }
        impl $name<Expr> for f64 {
            type Output = Expr;
            fn $method(self, other: Expr) -> Expr {
                Expr::from(self).$method(other)
            }
        }
        impl $name<&Expr> for f64 {
            type Output = Expr;
            fn $method(self, other: &Expr) -> Expr {
                Expr::from(self).$method(other.clone())
            }
        }
    };
}

operator!(Add, add, Some(0.0), 0.0);
operator!(Sub, sub, None, 0.0);
operator!(Mul, mul, Some(1.0), 1.0);
operator!(Div, div, None, 1.0);
