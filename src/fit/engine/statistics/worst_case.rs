//! The worst case: the least and the greatest that a formula can come to while every dimension
//! stays between its limits.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use super::simplify;
use crate::fit::engine::expression::program::{Op, Program, Scratch};
use crate::fit::engine::numbers::interval::Interval;
use crate::fit::engine::verdict::Band;

/// How near, in the formula's unit, the reported ends lie to values really attained.
pub const NEAR: f64 = 1e-6;

/// The worst case of a formula.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct WorstCase {
    /// The least value; no point of the box lies more than [`NEAR`] below it.
    pub low: f64,
    /// The greatest value; no point of the box lies more than [`NEAR`] above it.
    pub high: f64,
    /// Whether both ends are attained within [`NEAR`]. Where not, the search came to its limit
    /// of work and the ends are outer bounds: nothing lies beyond them, but they may be wide.
    pub exact: bool,
}

impl WorstCase {
    /// Whether nothing lies outside a band, compared at 0.1 um: then there is no chance that anything does.
    pub fn lies_in(self, band: Band) -> bool {
        band.holds(self.low) && band.holds(self.high)
    }

    fn hull(self, other: WorstCase) -> WorstCase {
        WorstCase {
            low: self.low.min(other.low),
            high: self.high.max(other.high),
            exact: self.exact && other.exact,
        }
    }
}

/// The worst case over a box.
pub fn worst_case(program: &Program, limits: &[Interval]) -> WorstCase {
    of_parts(program, limits, &|program, limits| {
        let mut search = Search::new(program);
        let (low, low_exact) = search.least(limits, 1.0);
        let (high, high_exact) = search.least(limits, -1.0);
        WorstCase { low, high: -high, exact: low_exact && high_exact }
    })
}

/// What the worst case cannot go beyond, without a search: often that is enough to know.
pub(in crate::fit::engine) fn bounds(program: &Program, limits: &[Interval]) -> WorstCase {
    of_parts(program, limits, &|program, limits| {
        let range = program.value(limits, &mut Scratch::new());
        WorstCase { low: range.lo, high: range.hi, exact: false }
    })
}

/// A worst case, where `of` tells that of a program which has been made as simple as can be.
fn of_parts(
    program: &Program,
    limits: &[Interval],
    of: &dyn Fn(&Program, &[Interval]) -> WorstCase,
) -> WorstCase {
    let mut scratch = Scratch::new();
    let program = simplify::pruned(program, limits, &mut scratch);
    if let Some(programs) = simplify::split_turns(&program, limits, &mut scratch) {
        let each = programs.iter().map(|program| of_parts(program, limits, of));
        return each.reduce(WorstCase::hull).unwrap_or(WorstCase { low: 0.0, high: 0.0, exact: false });
    }
    // Either side of a jump is held at its rim beyond it (see `Expr::choose`): what it comes to over
    // the whole box, it comes to on its own side.
    if let Some([before, beyond]) = simplify::split_jump(&program, limits, &mut scratch) {
        return of_parts(&before, limits, of).hull(of_parts(&beyond, limits, of));
    }
    let (program, limits) = simplify::lumped(&program, limits, &mut scratch);
    if let (Op::Leaf(_), [range]) = (program.ops[program.result as usize], &limits[..]) {
        return WorstCase { low: range.lo, high: range.hi, exact: true };
    }
    of(&program, &limits)
}

/// Boxes looked at before the search gives up and reports its outer bound.
const MOST_BOXES: usize = 12_000;
/// A dimension that can move the result by no more than this need not be searched.
const NEGLIGIBLE: f64 = 1e-10;
/// Steps of descent from the middle of the first box.
const STEPS: usize = 12;

/// Branch and bound. `sign` 1 looks for the least value, -1 for the greatest (as the least of
/// the formula with its sign turned).
struct Search<'a> {
    program: &'a Program,
    intervals: Scratch<Interval>,
    numbers: Scratch<f64>,
    slopes: Vec<Interval>,
    point: Vec<f64>,
    gradient: Vec<f64>,
}

struct Open {
    /// No value in the box lies below it.
    bound: f64,
    /// Its age; the youngest of equals goes first, so that the search dives.
    age: usize,
    limits: Vec<Interval>,
    /// The dimension to halve next.
    split: usize,
}

impl<'a> Search<'a> {
    fn new(program: &'a Program) -> Search<'a> {
        Search {
            program,
            intervals: Scratch::new(),
            numbers: Scratch::new(),
            slopes: Vec::new(),
            point: Vec::new(),
            gradient: Vec::new(),
        }
    }

    fn least(&mut self, limits: &[Interval], sign: f64) -> (f64, bool) {
        let mut best = f64::INFINITY;
        let mut heap = BinaryHeap::new();
        let mut looked_at = 0;
        let first = self.look(limits.to_vec(), sign, 0, &mut best);
        if let Some(first) = first {
            self.descend(&first, sign, &mut best);
            heap.push(first);
        }
        while let Some(open) = heap.pop() {
            if open.bound >= best - NEAR {
                return (best, true);
            }
            if looked_at >= MOST_BOXES {
                return (open.bound, false);
            }
            let middle = open.limits[open.split].middle();
            for upper in [false, true] {
                looked_at += 1;
                let mut half = open.limits.clone();
                let side = &mut half[open.split];
                if upper {
                    side.lo = middle;
                } else {
                    side.hi = middle;
                }
                if let Some(half) = self.look(half, sign, looked_at, &mut best)
                    && half.bound < best - NEAR
                {
                    heap.push(half);
                }
            }
        }
        (best, true)
    }

    /// Bounds a box and tries points in it; `None` where a tried point is its least.
    fn look(&mut self, mut limits: Vec<Interval>, sign: f64, age: usize, best: &mut f64) -> Option<Open> {
        let mut bound;
        loop {
            let range = self.program.gradient(&limits, &mut self.slopes, &mut self.intervals);
            bound = if sign > 0.0 { range.lo } else { -range.hi };
            if bound >= *best - NEAR {
                return None;
            }
            if !self.settle(&mut limits, sign) {
                break;
            }
        }
        let middle_value = self.try_middle(&limits, sign, best);
        if limits.iter().all(|limit| limit.width() == 0.0) {
            return None;
        }
        self.try_corner(&limits, sign, best);
        bound = bound.max(middle_value - self.reach(&limits));
        let split = self.widest(&limits);
        // A box that can no longer be halved is as good as its middle.
        let middle = limits[split].middle();
        if middle <= limits[split].lo || middle >= limits[split].hi {
            return None;
        }
        Some(Open { bound, age, limits, split })
    }

    /// Puts every dimension in which the formula only rises or only falls to the end where it is
    /// least. Whether any moved.
    fn settle(&self, limits: &mut [Interval], sign: f64) -> bool {
        let mut moved = false;
        for (limit, &slope) in limits.iter_mut().zip(&self.slopes) {
            let width = limit.width();
            if width == 0.0 {
                continue;
            }
            let (down, up) = if sign > 0.0 { (slope.lo, slope.hi) } else { (-slope.hi, -slope.lo) };
            if down >= 0.0 || slope.magnitude() * width < NEGLIGIBLE {
                limit.hi = limit.lo;
                moved = true;
            } else if up <= 0.0 {
                limit.lo = limit.hi;
                moved = true;
            }
        }
        moved
    }

    fn try_middle(&mut self, limits: &[Interval], sign: f64, best: &mut f64) -> f64 {
        self.point.clear();
        self.point.extend(limits.iter().map(|limit| limit.middle()));
        let value = sign * self.program.value(&self.point, &mut self.numbers);
        *best = best.min(value);
        value
    }

    /// Tries the corner to which the slopes at the middle point.
    fn try_corner(&mut self, limits: &[Interval], sign: f64, best: &mut f64) {
        self.point.clear();
        self.point.extend(limits.iter().map(|limit| limit.middle()));
        self.program.gradient(&self.point, &mut self.gradient, &mut self.numbers);
        for ((x, limit), slope) in self.point.iter_mut().zip(limits).zip(&self.gradient) {
            *x = if sign * slope > 0.0 { limit.lo } else { limit.hi };
        }
        *best = best.min(sign * self.program.value(&self.point, &mut self.numbers));
    }

    /// How far the formula can lie from its value in the middle, by its slopes over the box.
    fn reach(&self, limits: &[Interval]) -> f64 {
        let part = |(limit, slope): (&Interval, &Interval)| match limit.width() {
            0.0 => 0.0,
            width => 0.5 * width * slope.magnitude(),
        };
        limits.iter().zip(&self.slopes).map(part).sum::<f64>() * (1.0 + 1e-12) + 1e-13
    }

    /// The dimension that moves the result most within the box.
    fn widest(&self, limits: &[Interval]) -> usize {
        let mut widest = (0, -1.0);
        for (index, (limit, slope)) in limits.iter().zip(&self.slopes).enumerate() {
            let width = limit.width();
            // An unbounded slope goes first, the widest of them before the others.
            let effect = if width == 0.0 { 0.0 } else { width * f64::min(slope.magnitude(), 1e9) };
            if effect > widest.1 {
                widest = (index, effect);
            }
        }
        widest.0
    }

    /// Steps down the slope towards the box's bound, kept inside the box. Each step is as long
    /// as it would take a straight slope to reach the bound, which brings a cone to its tip.
    fn descend(&mut self, open: &Open, sign: f64, best: &mut f64) {
        let limits = &open.limits;
        self.point.clear();
        self.point.extend(limits.iter().map(|limit| limit.middle()));
        for _ in 0..STEPS {
            let value = sign * self.program.gradient(&self.point, &mut self.gradient, &mut self.numbers);
            *best = best.min(value);
            let steep = |(slope, limit): (&f64, &Interval)| {
                let part = slope * limit.width();
                part * part
            };
            let steepness: f64 = self.gradient.iter().zip(limits).map(steep).sum();
            if steepness <= 0.0 || !(steepness + open.bound).is_finite() || value - open.bound < NEAR {
                return;
            }
            let step = (value - open.bound) / steepness;
            for ((x, slope), limit) in self.point.iter_mut().zip(&self.gradient).zip(limits) {
                let moved = *x - sign * step * slope * limit.width() * limit.width();
                *x = moved.max(limit.lo).min(limit.hi);
            }
        }
    }
}

impl PartialEq for Open {
    fn eq(&self, other: &Open) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Open {}

impl PartialOrd for Open {
    fn partial_cmp(&self, other: &Open) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Open {
    /// The heap gives its greatest: the lowest bound, then the youngest.
    fn cmp(&self, other: &Open) -> Ordering {
        other.bound.total_cmp(&self.bound).then(self.age.cmp(&other.age))
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::fit::engine::expression::compiled::Compiled;
    use crate::fit::engine::fixtures;

    #[test]
    fn a_linear_formula_is_attained_at_its_corners() {
        let compiled =
            Compiled::new(&(fixtures::size("a", 27.22, 0.02, 0.02) - fixtures::size("b", 27.1, 0.0, 0.05)));
        let found = worst_case(&compiled, &compiled.limits());
        assert!((found.low - 0.10).abs() < 1e-12 && (found.high - 0.19).abs() < 1e-12);
        assert!(found.exact);
    }

    #[test]
    fn a_turning_point_inside_the_box_is_found() {
        let x = fixtures::size("x", 0.0, 1.0, 0.5);
        let compiled = Compiled::new(&((x.clone() - 0.3).square() - &x));
        let found = worst_case(&compiled, &compiled.limits());
        assert!((found.low - -0.55).abs() < NEAR && (found.high - 1.14).abs() < NEAR);
    }

    /// A ring that narrows upwards is flat at its rim, where many boxes are equally good: it may be
    /// left at an outer bound; everything else is always searched to its end.
    #[test]
    fn hardly_any_formula_comes_to_the_limit_of_work() {
        let mut left = 0;
        for seed in 0..400 {
            for (name, expr) in fixtures::formulas(seed) {
                let compiled = Compiled::new(&expr);
                let exact = worst_case(&compiled, &compiled.limits()).exact;
                assert!(exact || name == "ring", "{name}, seed {seed}");
                left += usize::from(!exact);
            }
        }
        assert!(left <= 4, "{left} of 400");
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(10))]
        #[test]
        fn the_worst_case_is_never_beaten(seed in any::<u64>()) {
            for (name, expr) in fixtures::formulas(seed) {
                let compiled = Compiled::new(&expr);
                let limits = compiled.limits();
                let found = worst_case(&compiled, &limits);
                prop_assert!(found.exact || name == "ring", "{name}: stopped at its limit of work");
                let (low, high) = fixtures::beaten_by(&compiled, &limits, seed);
                prop_assert!(found.low <= low + 2.0 * NEAR, "{name}: {} beaten by {low}", found.low);
                prop_assert!(high <= found.high + 2.0 * NEAR, "{name}: {} beaten by {high}", found.high);
                if !found.exact {
                    continue;
                }
                // Attained: the attackers come near where the formula has no sharp peak.
                prop_assert!(low - found.low <= 0.2 * (high - low) + 1e-3, "{name}: {} far below {low}", found.low);
                prop_assert!(found.high - high <= 0.2 * (high - low) + 1e-3, "{name}: {} far above {high}", found.high);
            }
        }
    }
}
