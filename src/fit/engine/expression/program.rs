//! A formula laid out flat, so that it can be evaluated many times, with any kind of number,
//! forwards for its value and backwards for its slopes.

use crate::fit::engine::numbers::interval::Interval;
use crate::fit::engine::numbers::interval_functions::decided_turns;
use crate::fit::engine::numbers::number::Number;
use crate::fit::engine::numbers::polar;
use crate::fit::engine::numbers::possible_pairings::possible_pairings;
use crate::fit::engine::numbers::sag;

/// The operations of a formula, each after those that it needs; equal parts once.
#[derive(Clone, Debug, Default)]
pub struct Program {
    pub(in crate::fit::engine) ops: Vec<Op>,
    /// Slots of the gaps of pairings, row after row.
    pub(in crate::fit::engine) gaps: Vec<u32>,
    pub(in crate::fit::engine) result: u32,
    /// How many variables it takes.
    pub(in crate::fit::engine) leaves: usize,
}

#[derive(Clone, Copy, PartialEq, Debug)]
pub(in crate::fit::engine) enum Op {
    Const(f64),
    Leaf(u32),
    Neg(u32),
    Square(u32),
    Abs(u32),
    Sqrt(u32),
    SinDeg(u32),
    CosDeg(u32),
    Add(u32, u32),
    Sub(u32, u32),
    Mul(u32, u32),
    Div(u32, u32),
    Min(u32, u32),
    Max(u32, u32),
    Hypot(u32, u32),
    Turn(u32, u32),
    Apart(u32, u32, u32),
    Sag(u32, u32, u32),
    Choose(u32, u32, u32),
    Pairing { start: u32, feet: u8, holes: u8, foot: u8 },
}

/// Memory to work in, kept between evaluations.
#[derive(Clone, Debug, Default)]
pub struct Scratch<T> {
    pub(in crate::fit::engine) slots: Vec<T>,
    slopes: Vec<T>,
    row: Vec<T>,
    row_slopes: Vec<T>,
}

impl<T> Scratch<T> {
    /// Nothing yet.
    pub fn new() -> Scratch<T> {
        Scratch { slots: Vec::new(), slopes: Vec::new(), row: Vec::new(), row_slopes: Vec::new() }
    }
}

impl Program {
    /// Whether the slopes are the same everywhere.
    pub fn is_linear(&self) -> bool {
        let fixed = |slot: u32| matches!(self.ops[slot as usize], Op::Const(_));
        self.ops.iter().all(|op| match *op {
            Op::Const(_) | Op::Leaf(_) | Op::Neg(_) | Op::Add(..) | Op::Sub(..) => true,
            Op::Mul(a, b) => fixed(a) || fixed(b),
            Op::Div(_, b) => fixed(b),
            _ => false,
        })
    }

    /// The formula's value where the dimensions, in their order, have the given ones.
    pub fn value<T: Number>(&self, leaves: &[T], scratch: &mut Scratch<T>) -> T {
        scratch.slots.clear();
        scratch.slots.reserve(self.ops.len());
        for op in &self.ops {
            let s = &scratch.slots;
            let at = |slot: u32| s[slot as usize];
            let value = match *op {
                Op::Const(x) => T::of(x),
                Op::Leaf(leaf) => leaves[leaf as usize],
                Op::Neg(a) => -at(a),
                Op::Square(a) => at(a).square(),
                Op::Abs(a) => at(a).abs(),
                Op::Sqrt(a) => at(a).sqrt(),
                Op::SinDeg(a) => at(a).sin_deg(),
                Op::CosDeg(a) => at(a).cos_deg(),
                Op::Add(a, b) => at(a) + at(b),
                Op::Sub(a, b) => at(a) - at(b),
                Op::Mul(a, b) => at(a) * at(b),
                Op::Div(a, b) => at(a) / at(b),
                Op::Min(a, b) => at(a).min(at(b)),
                Op::Max(a, b) => at(a).max(at(b)),
                Op::Hypot(a, b) => at(a).hypot(at(b)),
                Op::Turn(a, b) => at(a).nearest_turn(at(b)),
                Op::Apart(a, b, c) => T::apart(at(a), at(b), at(c)),
                Op::Sag(a, b, c) => T::sag(at(a), at(b), at(c)),
                Op::Choose(a, b, c) => at(a).choose(at(b), at(c)),
                Op::Pairing { start, feet, holes, foot } => {
                    let row = &mut scratch.row;
                    row.clear();
                    row.extend(self.gaps_of(start, feet, holes).iter().map(|&gap| at(gap)));
                    T::pairing(row, holes.into(), foot.into())
                }
            };
            scratch.slots.push(value);
        }
        scratch.slots[self.result as usize]
    }

    /// The value, and into `slopes` the slope in each dimension.
    pub fn gradient<T: Number>(&self, leaves: &[T], slopes: &mut Vec<T>, scratch: &mut Scratch<T>) -> T {
        let value = self.value(leaves, scratch);
        slopes.clear();
        slopes.resize(self.leaves, T::of(0.0));
        self.slope_back(scratch);
        for (op, &slope) in self.ops.iter().zip(&scratch.slopes) {
            if let Op::Leaf(leaf) = *op {
                slopes[leaf as usize] = slope;
            }
        }
        value
    }

    /// The slope of the result in every slot, by the chain rule from the last to the first.
    fn slope_back<T: Number>(&self, scratch: &mut Scratch<T>) {
        let Scratch { slots, slopes, row, row_slopes } = scratch;
        slopes.clear();
        slopes.resize(self.ops.len(), T::of(0.0));
        slopes[self.result as usize] = T::of(1.0);
        for (index, op) in self.ops.iter().enumerate().rev() {
            let slope = slopes[index];
            if slope.is_zero() {
                continue;
            }
            let at = |slot: u32| slots[slot as usize];
            let mut pass = |slot: u32, part: T| {
                slopes[slot as usize] = slopes[slot as usize] + part;
            };
            match *op {
                Op::Const(_) | Op::Leaf(_) => {}
                Op::Neg(a) => pass(a, -slope),
                Op::Square(a) => pass(a, slope * (at(a) + at(a))),
                Op::Abs(a) => pass(a, slope * at(a).abs_slope()),
                Op::Sqrt(a) => pass(a, slope * at(a).sqrt_slope(slots[index])),
                Op::SinDeg(a) => pass(a, slope * at(a).cos_deg() * T::of(PER_DEGREE)),
                Op::CosDeg(a) => pass(a, -(slope * at(a).sin_deg() * T::of(PER_DEGREE))),
                Op::Add(a, b) => {
                    pass(a, slope);
                    pass(b, slope);
                }
                Op::Sub(a, b) => {
                    pass(a, slope);
                    pass(b, -slope);
                }
                Op::Mul(a, b) => {
                    pass(a, slope * at(b));
                    pass(b, slope * at(a));
                }
                Op::Div(a, b) => {
                    let share = slope / at(b);
                    pass(a, share);
                    pass(b, -(share * slots[index]));
                }
                Op::Min(a, b) => {
                    let (in_a, in_b) = at(a).min_slopes(at(b));
                    pass(a, slope * in_a);
                    pass(b, slope * in_b);
                }
                Op::Max(a, b) => {
                    let (in_b, in_a) = at(a).min_slopes(at(b));
                    pass(a, slope * in_a);
                    pass(b, slope * in_b);
                }
                Op::Hypot(a, b) => {
                    pass(a, slope * at(a).hypot_slope(slots[index]));
                    pass(b, slope * at(b).hypot_slope(slots[index]));
                }
                Op::Turn(a, b) => {
                    let (in_a, in_b) = at(a).turn_slopes(at(b));
                    pass(a, slope * in_a);
                    pass(b, slope * in_b);
                }
                Op::Apart(a, b, c) => {
                    let (in_a, in_b, in_c) = T::apart_slopes(at(a), at(b), at(c), slots[index]);
                    pass(a, slope * in_a);
                    pass(b, slope * in_b);
                    pass(c, slope * in_c);
                }
                Op::Sag(a, b, c) => {
                    let (in_a, in_b, in_c) = T::sag_slopes(at(a), at(b), at(c));
                    pass(a, slope * in_a);
                    pass(b, slope * in_b);
                    pass(c, slope * in_c);
                }
                Op::Choose(a, b, c) => {
                    let (in_a, in_b, in_c) = at(a).choose_slopes();
                    pass(a, slope * in_a);
                    pass(b, slope * in_b);
                    pass(c, slope * in_c);
                }
                Op::Pairing { start, feet, holes, foot } => {
                    let gaps = self.gaps_of(start, feet, holes);
                    row.clear();
                    row.extend(gaps.iter().map(|&gap| at(gap)));
                    row_slopes.clear();
                    row_slopes.resize(gaps.len(), T::of(0.0));
                    T::pairing_slopes(row, holes.into(), foot.into(), row_slopes);
                    for (&gap, &part) in gaps.iter().zip(row_slopes.iter()) {
                        if !part.is_zero() {
                            pass(gap, slope * part);
                        }
                    }
                }
            }
        }
    }

    /// Whether the formula bends sharply or jumps somewhere in the box; then its first order
    /// there is not defined. To be asked right after [`Program::gradient`] over that box.
    pub fn bends(&self, scratch: &Scratch<Interval>) -> bool {
        let zero_inside = |x: Interval| x.lo < 0.0 && 0.0 < x.hi;
        self.ops.iter().zip(&scratch.slopes).enumerate().any(|(index, (op, slope))| {
            let at = |slot: u32| scratch.slots[slot as usize];
            if slope.is_zero() {
                return false;
            }
            match *op {
                Op::Abs(a) => zero_inside(at(a)),
                Op::Sqrt(a) => at(a).lo <= 0.0,
                Op::Min(a, b) | Op::Max(a, b) => at(a).lo <= at(b).hi && at(b).lo <= at(a).hi,
                Op::Hypot(a, b) => at(a).holds(0.0) && at(b).holds(0.0),
                Op::Turn(a, b) => decided_turns(at(a), at(b)).is_none(),
                Op::Apart(..) => polar::may_touch(scratch.slots[index]),
                Op::Sag(a, b, c) => sag::edge_inside(at(a), at(b), at(c)),
                Op::Choose(a, ..) => at(a).lo <= 0.0 && 0.0 < at(a).hi,
                Op::Pairing { start, feet, holes, .. } => {
                    let gaps = self.gaps_of(start, feet, holes);
                    let row: Vec<Interval> = gaps.iter().map(|&gap| at(gap)).collect();
                    possible_pairings(&row, holes.into()).len() > 1
                }
                _ => false,
            }
        })
    }

    pub(in crate::fit::engine) fn gaps_of(&self, start: u32, feet: u8, holes: u8) -> &[u32] {
        let start = start as usize;
        &self.gaps[start..start + usize::from(feet) * usize::from(holes)]
    }

    /// The variables that it really uses, each once.
    pub(in crate::fit::engine) fn used(&self) -> impl Iterator<Item = usize> {
        self.ops.iter().filter_map(|op| match *op {
            Op::Leaf(leaf) => Some(leaf as usize),
            _ => None,
        })
    }

    /// Adds an operation, or finds the equal one that is there already.
    pub(in crate::fit::engine) fn push(&mut self, op: Op) -> u32 {
        // What takes a slot stands behind it.
        let (inputs, count) = op.inputs();
        let from = inputs[..count].iter().max().map_or(0, |last| *last as usize + 1);
        let known = self.ops[from..].iter().position(|other| *other == op);
        let at = known.map_or(self.ops.len(), |at| from + at);
        if at == self.ops.len() {
            self.ops.push(op);
        }
        at as u32
    }

    /// Adds an operation of another program, whose slots stand here at `place`.
    pub(in crate::fit::engine) fn copy(&mut self, from: &Program, op: Op, place: &[u32]) -> u32 {
        let op = match op {
            Op::Pairing { start, feet, holes, foot } => {
                let gaps = from.gaps_of(start, feet, holes);
                let row: Vec<u32> = gaps.iter().map(|&gap| place[gap as usize]).collect();
                let start = self.row(&row);
                Op::Pairing { start, feet, holes, foot }
            }
            op => op.moved(|slot| place[slot as usize]),
        };
        self.push(op)
    }

    /// Where the gaps of a pairing stand; the pairings of several feet share them.
    pub(in crate::fit::engine) fn row(&mut self, slots: &[u32]) -> u32 {
        if let Some(start) = self.gaps.windows(slots.len()).position(|row| row == slots) {
            return start as u32;
        }
        self.gaps.extend_from_slice(slots);
        (self.gaps.len() - slots.len()) as u32
    }
}

impl Op {
    /// The slots that it takes, a pairing's gaps apart.
    pub(in crate::fit::engine) fn inputs(self) -> ([u32; 3], usize) {
        match self {
            Op::Const(_) | Op::Leaf(_) | Op::Pairing { .. } => ([0; 3], 0),
            Op::Neg(a) | Op::Square(a) | Op::Abs(a) | Op::Sqrt(a) | Op::SinDeg(a) | Op::CosDeg(a) => {
                ([a, 0, 0], 1)
            }
            Op::Add(a, b)
            | Op::Sub(a, b)
            | Op::Mul(a, b)
            | Op::Div(a, b)
            | Op::Min(a, b)
            | Op::Max(a, b)
            | Op::Hypot(a, b)
            | Op::Turn(a, b) => ([a, b, 0], 2),
            Op::Apart(a, b, c) | Op::Sag(a, b, c) | Op::Choose(a, b, c) => ([a, b, c], 3),
        }
    }

    /// The same operation on other slots, a pairing's gaps apart.
    pub(in crate::fit::engine) fn moved(self, to: impl Fn(u32) -> u32) -> Op {
        match self {
            Op::Const(_) | Op::Leaf(_) | Op::Pairing { .. } => self,
            Op::Neg(a) => Op::Neg(to(a)),
            Op::Square(a) => Op::Square(to(a)),
            Op::Abs(a) => Op::Abs(to(a)),
            Op::Sqrt(a) => Op::Sqrt(to(a)),
            Op::SinDeg(a) => Op::SinDeg(to(a)),
            Op::CosDeg(a) => Op::CosDeg(to(a)),
            Op::Add(a, b) => Op::Add(to(a), to(b)),
            Op::Sub(a, b) => Op::Sub(to(a), to(b)),
            Op::Mul(a, b) => Op::Mul(to(a), to(b)),
            Op::Div(a, b) => Op::Div(to(a), to(b)),
            Op::Min(a, b) => Op::Min(to(a), to(b)),
            Op::Max(a, b) => Op::Max(to(a), to(b)),
            Op::Hypot(a, b) => Op::Hypot(to(a), to(b)),
            Op::Turn(a, b) => Op::Turn(to(a), to(b)),
            Op::Apart(a, b, c) => Op::Apart(to(a), to(b), to(c)),
            Op::Sag(a, b, c) => Op::Sag(to(a), to(b), to(c)),
            Op::Choose(a, b, c) => Op::Choose(to(a), to(b), to(c)),
        }
    }
}

const PER_DEGREE: f64 = std::f64::consts::PI / 180.0;

#[cfg(test)]
mod tests {
    use super::super::compiled::Compiled;
    use super::*;
    use crate::fit::engine::fixtures::{self, Dice};

    /// At points of a box, values and slopes lie in what intervals say of the box.
    #[test]
    fn intervals_enclose_every_point() {
        for seed in 0..40 {
            let mut dice = Dice(seed);
            for (name, expr) in fixtures::formulas(seed) {
                let compiled = Compiled::new(&expr);
                let limits = compiled.limits();
                let (mut ranges, mut slopes) = (Vec::new(), Vec::new());
                let (mut wide, mut scratch) = (Scratch::new(), Scratch::new());
                let range = compiled.gradient(&limits, &mut ranges, &mut wide);
                for _ in 0..30 {
                    let within = |limit: &Interval| limit.lo + dice.unit() * limit.width();
                    let point: Vec<f64> = limits.iter().map(within).collect();
                    let value = compiled.gradient(&point, &mut slopes, &mut scratch);
                    assert!(range.holds(value), "{name}, seed {seed}: {value} in {range:?}");
                    for (n, (slope, range)) in slopes.iter().zip(&ranges).enumerate() {
                        let slack = 1e-9 * (1.0 + slope.abs());
                        let inside = range.lo - slack <= *slope && *slope <= range.hi + slack;
                        let term = &compiled.terms[n].name;
                        assert!(inside, "{name}, seed {seed}, {term}: {slope} in {range:?}");
                    }
                }
            }
        }
    }

    /// Slopes are those of small differences, away from bends and jumps.
    #[test]
    fn slopes_are_those_of_differences() {
        for seed in 0..40 {
            for (name, expr) in fixtures::formulas(seed) {
                let compiled = Compiled::new(&expr);
                let point: Vec<f64> = compiled.terms.iter().filter_map(|term| term.value).collect();
                let (mut slopes, mut ranges) = (Vec::new(), Vec::new());
                let (mut scratch, mut wide) = (Scratch::new(), Scratch::new());
                compiled.gradient(&point, &mut slopes, &mut scratch);
                let step = 1e-5;
                let near: Vec<Interval> =
                    point.iter().map(|x| Interval::new(x - 2.0 * step, x + 2.0 * step)).collect();
                compiled.gradient(&near, &mut ranges, &mut wide);
                if compiled.bends(&wide) {
                    continue;
                }
                for (n, slope) in slopes.iter().enumerate() {
                    let mut moved = point.clone();
                    moved[n] += step;
                    let above = compiled.value(&moved, &mut scratch);
                    moved[n] -= 2.0 * step;
                    let difference = (above - compiled.value(&moved, &mut scratch)) / (2.0 * step);
                    let term = &compiled.terms[n].name;
                    assert!(
                        (slope - difference).abs() < 1e-4 * (1.0 + slope.abs()),
                        "{name}, seed {seed}, {term}: {slope} and {difference}"
                    );
                }
            }
        }
    }
}
