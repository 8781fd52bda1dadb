//! From a formula to its flat program.

use std::ops::Deref;
use std::sync::Arc;

use crate::fit::engine::numbers::interval::Interval;

use super::expr::{Expr, Node, Term};
use super::program::{Op, Program};

pub use super::program::Scratch;

/// A compiled formula: its dimensions, and a program whose variables they are in this order.
#[derive(Clone, Debug)]
pub struct Compiled {
    /// The dimensions; the same name occurs once.
    pub terms: Vec<Term>,
    program: Program,
}

impl Deref for Compiled {
    type Target = Program;
    fn deref(&self) -> &Program {
        &self.program
    }
}

/// As many dimensions and operations as most formulas have at most.
const USUAL: usize = 16;

impl Compiled {
    /// Lays a formula out.
    pub fn new(expr: &Expr) -> Compiled {
        let program = Program { ops: Vec::with_capacity(USUAL), ..Program::default() };
        let mut compiled = Compiled { terms: Vec::with_capacity(USUAL), program };
        compiled.program.result = compiled.lay(expr, &mut Vec::new());
        compiled
    }

    /// The result with every dimension at its nominal value; an unknown one counts as 0.
    pub fn nominal(&self) -> f64 {
        self.value(&self.nominals(), &mut Scratch::new())
    }

    /// The nominal values of the dimensions; of an unknown one, 0.
    pub(in crate::fit::engine) fn nominals(&self) -> Vec<f64> {
        self.terms.iter().map(|term| term.value.unwrap_or(0.0)).collect()
    }

    /// The box of the dimensions' limits, in their order. Every dimension needs its value; one without
    /// counts as 0.
    pub fn limits(&self) -> Vec<Interval> {
        let limit = |term: &Term| {
            let value = term.value.unwrap_or(0.0);
            Interval { lo: value - term.minus.max(0.0), hi: value + term.plus.max(0.0) }
        };
        self.terms.iter().map(limit).collect()
    }

    /// The number of a dimension.
    pub fn position(&self, name: &str) -> Option<usize> {
        self.terms.iter().position(|term| &*term.name == name)
    }

    fn lay(&mut self, expr: &Expr, seen: &mut Vec<(*const Node, u32)>) -> u32 {
        let shared = Arc::strong_count(&expr.0) > 1;
        if shared && let Some(&(_, slot)) = seen.iter().find(|(node, _)| *node == Arc::as_ptr(&expr.0)) {
            return slot;
        }
        let mut go = |part: &Expr| self.lay(part, seen);
        let op = match &*expr.0 {
            Node::Const(x) => Op::Const(*x),
            Node::Leaf(term) => Op::Leaf(self.leaf(term)),
            Node::Neg(a) => Op::Neg(go(a)),
            Node::Abs(a) => Op::Abs(go(a)),
            Node::Sqrt(a) => Op::Sqrt(go(a)),
            Node::SinDeg(a) => Op::SinDeg(go(a)),
            Node::CosDeg(a) => Op::CosDeg(go(a)),
            Node::Add(a, b) => Op::Add(go(a), go(b)),
            Node::Sub(a, b) => Op::Sub(go(a), go(b)),
            Node::Mul(a, b) => match (go(a), go(b)) {
                (a, b) if a == b => Op::Square(a),
                (a, b) => Op::Mul(a, b),
            },
            Node::Div(a, b) => Op::Div(go(a), go(b)),
            Node::Min(a, b) => Op::Min(go(a), go(b)),
            Node::Max(a, b) => Op::Max(go(a), go(b)),
            Node::Hypot(a, b) => Op::Hypot(go(a), go(b)),
            Node::Turn { angle, pitch } => Op::Turn(go(angle), go(pitch)),
            Node::Apart { r, other, angle } => Op::Apart(go(r), go(other), go(angle)),
            Node::Named { of, .. } => return go(of),
            Node::Sag { r, aperture, rise } => Op::Sag(go(r), go(aperture), go(rise)),
            Node::Choose { at_most_zero, then, otherwise } => {
                Op::Choose(go(at_most_zero), go(then), go(otherwise))
            }
            Node::Pairing { gaps, foot } => {
                let slots: Vec<u32> = gaps.iter().flatten().map(&mut go).collect();
                let start = self.program.row(&slots);
                Op::Pairing { start, feet: gaps.len() as u8, holes: gaps[0].len() as u8, foot: *foot as u8 }
            }
        };
        let slot = self.program.push(op);
        if shared {
            seen.push((Arc::as_ptr(&expr.0), slot));
        }
        slot
    }

    fn leaf(&mut self, term: &Term) -> u32 {
        let known = self.terms.iter().position(|other| other.name == term.name);
        known.unwrap_or_else(|| {
            self.terms.push(term.clone());
            self.program.leaves += 1;
            self.terms.len() - 1
        }) as u32
    }
}
