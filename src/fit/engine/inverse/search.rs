//! The search for the nominal values of a dimension that make a measure clear.

use std::sync::Arc;

use crate::fit::engine::expression::compiled::Compiled;
use crate::fit::engine::expression::expr::Term;
use crate::fit::engine::expression::program::Scratch;
use crate::fit::engine::numbers::interval::Interval;
use crate::fit::engine::statistics::distribution::{Extent, Study};
use crate::fit::engine::verdict::{Band, CLEAR_CHANCE, HALF_DIGIT, Verdict, judge};

use super::question::{Goal, Question, Range, Solved, Tolerance, Unsolvable};

/// Solves a measure for one of its dimensions.
pub fn solve(
    compiled: &Compiled,
    band: Band,
    contact: Band,
    question: &Question<'_>,
) -> Result<Solved, Unsolvable> {
    let leaf = compiled.position(question.dimension).ok_or(Unsolvable::NotThere)?;
    let mut compiled = compiled.clone();
    let present = compiled.terms[leaf].value;
    let others = compiled.terms.iter_mut().enumerate().filter(|(index, _)| *index != leaf);
    for (_, term) in others {
        if let Some(other) = question.stand_ins.iter().find(|other| other.name == term.name) {
            *term = Term { tag: term.tag, ..other.clone() };
        }
    }
    let missing: Vec<Term> = compiled
        .terms
        .iter()
        .enumerate()
        .filter(|(index, term)| *index != leaf && term.value.is_none())
        .map(|(_, term)| term.clone())
        .collect();
    if !missing.is_empty() {
        return Err(Unsolvable::Missing(missing));
    }
    let (from, to) = question.search;
    let mut numbers = Scratch::new();
    let straight = compiled.is_linear().then(|| {
        let mut slopes = Vec::new();
        compiled.gradient(&compiled.nominals(), &mut slopes, &mut numbers);
        slopes.into()
    });
    let mut solver = Solver {
        compiled,
        leaf,
        band,
        contact,
        question,
        scratch: Scratch::new(),
        slopes: Vec::new(),
        straight,
        numbers,
        found: Vec::new(),
        nearest: (f64::INFINITY, 0.5 * (from + to)),
        vain: 0,
    };
    solver.search(from, to, 0);
    if solver.vain >= MOST_VAIN {
        return Err(Unsolvable::Vain);
    }
    Ok(solver.answer(present))
}

/// Cells no wider than this are judged by their middle where nothing else decides them.
const CELL: f64 = 0.02;
/// How near an end is found before it is rounded.
const END: f64 = 1e-5;
/// Wider stretches are halved before anything in them is judged value by value.
const NARROW: f64 = 0.5;

struct Solver<'a> {
    compiled: Compiled,
    leaf: usize,
    band: Band,
    contact: Band,
    question: &'a Question<'a>,
    scratch: Scratch<Interval>,
    slopes: Vec<Interval>,
    /// Those of a straight formula, which are the same for every value.
    straight: Option<Arc<[f64]>>,
    numbers: Scratch<f64>,
    found: Vec<Segment>,
    /// The least chance of lying outside that was met, and where.
    nearest: (f64, f64),
    /// How many values were judged in vain.
    vain: usize,
}

/// Values that are judged in vain before the search is given up; each costs as much as thousands of
/// others.
const MOST_VAIN: usize = 3;

/// Good values from one number to another.
struct Segment {
    low: f64,
    high: f64,
    /// Whether the ends are those of cells judged by their middles.
    rough: (bool, bool),
}

enum Whole {
    Good,
    Bad,
    /// Undecided, but the result only rises or only falls with the dimension.
    Monotone,
    Open,
}

impl Solver<'_> {
    fn search(&mut self, low: f64, high: f64, depth: usize) {
        match self.look(low, high) {
            Whole::Good => self.found.push(Segment { low, high, rough: (false, false) }),
            Whole::Bad => {}
            // Halves that are good or bad as a whole cost next to nothing to tell.
            Whole::Monotone if high - low > NARROW => {
                let middle = 0.5 * (low + high);
                self.search(low, middle, depth + 1);
                self.search(middle, high, depth + 1);
            }
            Whole::Monotone => self.between(low, high),
            Whole::Open if high - low > CELL && depth < 40 => {
                let middle = 0.5 * (low + high);
                self.search(low, middle, depth + 1);
                self.search(middle, high, depth + 1);
            }
            Whole::Open => {
                if self.good(0.5 * (low + high)) {
                    self.found.push(Segment { low, high, rough: (true, true) });
                }
            }
        }
    }

    /// What can be said of all values between two at once.
    fn look(&mut self, low: f64, high: f64) -> Whole {
        let (at_low, at_high) = ((self.question.tolerance)(low), (self.question.tolerance)(high));
        let clear = self.question.goal == Goal::Clear;
        let limits: Vec<Interval> = self
            .compiled
            .terms
            .iter()
            .enumerate()
            .map(|(index, term)| {
                let value = term.value.unwrap_or(0.0);
                let (from, to) = if index == self.leaf { (low, high) } else { (value, value) };
                let (plus, minus) = if !clear {
                    (0.0, 0.0)
                } else if index == self.leaf {
                    (at_low.plus.max(at_high.plus), at_low.minus.max(at_high.minus))
                } else {
                    (term.plus, term.minus)
                };
                Interval { lo: from - minus, hi: to + plus }
            })
            .collect();
        let range = self.compiled.gradient(&limits, &mut self.slopes, &mut self.scratch);
        let band = if clear { self.band } else { self.contact };
        if band.holds(range.lo) && band.holds(range.hi) && self.no_contact(range) {
            return Whole::Good;
        }
        let under = band.low.is_some_and(|low| range.hi < low - HALF_DIGIT);
        let over = band.high.is_some_and(|high| high + HALF_DIGIT < range.lo);
        if under || over {
            return Whole::Bad;
        }
        let slope = self.slopes[self.leaf];
        let one_way = slope.lo >= 0.0 || slope.hi <= 0.0;
        if one_way && (!clear || at_low == at_high) { Whole::Monotone } else { Whole::Open }
    }

    fn no_contact(&self, range: Interval) -> bool {
        self.contact.holds(range.lo) && self.contact.holds(range.hi)
    }

    /// The good values between two where the result goes one way: a single range, around the
    /// value that lies outside at either end with equal chance.
    fn between(&mut self, low: f64, high: f64) {
        let rising = self.slopes[self.leaf].lo >= 0.0;
        let (mut from, mut to) = (low, high);
        let mut inside = [low, high].into_iter().find(|&end| self.good(end));
        if inside.is_none() && self.lies_low(low, rising) == self.lies_low(high, rising) {
            return;
        }
        while inside.is_none() && to - from > END {
            let middle = 0.5 * (from + to);
            if self.good(middle) {
                inside = Some(middle);
            } else if self.lies_low(middle, rising) {
                from = middle;
            } else {
                to = middle;
            }
        }
        if let Some(inside) = inside {
            let (low, high) = (self.end(inside, low), self.end(inside, high));
            self.found.push(Segment { low, high, rough: (false, false) });
        }
    }

    /// Whether the dimension would have to be greater for the result to lie evenly in the band.
    fn lies_low(&mut self, value: f64, rising: bool) -> bool {
        let (below, above) = self.outside(value);
        (below > above) == rising
    }

    /// The last good value on the way from a good one to another.
    fn end(&mut self, good: f64, other: f64) -> f64 {
        if self.good(other) {
            return other;
        }
        let (mut good, mut bad) = (good, other);
        while libm::fabs(good - bad) > END {
            let middle = 0.5 * (good + bad);
            if self.good(middle) {
                good = middle;
            } else {
                bad = middle;
            }
        }
        good
    }

    fn good(&mut self, value: f64) -> bool {
        let (below, above) = self.outside(value);
        let chance = below + above;
        if chance < self.nearest.0 {
            self.nearest = (chance, value);
        }
        chance <= CLEAR_CHANCE && {
            let nominal = self.nominal();
            judge(nominal, chance, self.contact) == Verdict::Clear
        }
    }

    /// The chances of lying below and above the band; 0 or 1 where only contact counts.
    fn outside(&mut self, value: f64) -> (f64, f64) {
        let Tolerance { plus, minus, shape } = (self.question.tolerance)(value);
        let term = &mut self.compiled.terms[self.leaf];
        (term.value, term.plus, term.minus, term.shape) = (Some(value), plus, minus, shape);
        match self.question.goal {
            Goal::Clear if self.vain >= MOST_VAIN => (1.0, 1.0),
            Goal::Clear => {
                let extent = match self.straight.clone() {
                    Some(slopes) => {
                        let nominal = self.nominal();
                        Extent::straight(&self.compiled.terms, slopes, nominal)
                    }
                    None => Extent::of(&self.compiled),
                };
                self.vain += usize::from(!extent.worst.exact);
                if extent.worst.lies_in(self.band) {
                    return (0.0, 0.0);
                }
                Study::of(&self.compiled, &extent).outside(self.band.low, self.band.high)
            }
            Goal::NotFouling => {
                let nominal = self.nominal();
                let under = self.contact.low.is_some_and(|low| nominal < low - HALF_DIGIT);
                let over = self.contact.high.is_some_and(|high| high + HALF_DIGIT < nominal);
                (f64::from(u8::from(under)), f64::from(u8::from(over)))
            }
        }
    }

    fn nominal(&mut self) -> f64 {
        self.compiled.value(&self.compiled.nominals(), &mut self.numbers)
    }

    fn answer(mut self, present: Option<f64>) -> Solved {
        let mut merged: Vec<Segment> = Vec::new();
        for next in std::mem::take(&mut self.found) {
            match merged.last_mut() {
                Some(last) if next.low - last.high < 1e-9 => {
                    (last.high, last.rough.1) = (next.high, next.rough.1);
                }
                _ => merged.push(next),
            }
        }
        let (from, to) = self.question.search;
        for segment in &mut merged {
            if segment.rough.0 && segment.low > from {
                segment.low = self.end(segment.low + 0.25 * CELL, (segment.low - CELL).max(from));
            }
            if segment.rough.1 && segment.high < to {
                segment.high = self.end(segment.high - 0.25 * CELL, (segment.high + CELL).min(to));
            }
        }
        let widest = merged.iter().fold(None, |widest: Option<&Segment>, next| match widest {
            Some(so_far) if so_far.high - so_far.low >= next.high - next.low => widest,
            _ => Some(next),
        });
        let widest = widest.and_then(|segment| rounded(segment, from, to));
        let ranges: Vec<Range> = merged.iter().filter_map(|segment| rounded(segment, from, to)).collect();
        let range = match present {
            Some(value) => {
                ranges.iter().copied().min_by(|a, b| a.distance(value).total_cmp(&b.distance(value)))
            }
            None => widest,
        };
        let too_wide = range.is_none() && self.spread_exceeds_band();
        Solved { range, ranges, too_wide }
    }

    fn spread_exceeds_band(&mut self) -> bool {
        if self.question.goal == Goal::NotFouling {
            return false;
        }
        let nearest = self.nearest.1;
        self.outside(nearest);
        let study = Study::new(&self.compiled);
        self.band.width().is_some_and(|width| study.outside_of_width(width) > CLEAR_CHANCE)
    }
}

/// The range with its ends rounded inwards, as coarsely as leaves something of it; an end at the
/// end of the search is open.
fn rounded(segment: &Segment, from: f64, to: f64) -> Option<Range> {
    let (open_low, open_high) = (segment.low <= from + 1e-9, segment.high >= to - 1e-9);
    let steps = if segment.high - segment.low < 0.1 { [1e3, 1e4, 1e5] } else { [1e2, 1e3, 1e4] };
    steps.into_iter().find_map(|step| {
        let low = libm::ceil(segment.low * step - 1e-7) / step;
        let high = libm::floor(segment.high * step + 1e-7) / step;
        let range = Range { low: (!open_low).then_some(low), high: (!open_high).then_some(high) };
        (open_low || open_high || low <= high).then_some(range)
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::fit::engine::assessment::assess_compiled;
    use crate::fit::engine::expression::expr::{Expr, Shape};
    use crate::fit::engine::fixtures::{self, size};

    const GAUGE: Tolerance = Tolerance { plus: 0.02, minus: 0.02, shape: Shape::Normal };

    fn ask<'a>(dimension: &'a str, tolerance: &'a dyn Fn(f64) -> Tolerance) -> Question<'a> {
        Question { dimension, goal: Goal::Clear, search: (0.0, 100.0), tolerance, stand_ins: &[] }
    }

    /// The verdict with one dimension at another value.
    fn verdict(compiled: &Compiled, name: &str, value: f64, bands: (Band, Band)) -> Verdict {
        let mut compiled = compiled.clone();
        for term in compiled.terms.iter_mut().filter(|term| &*term.name == name) {
            (term.value, term.plus, term.minus) = (Some(value), GAUGE.plus, GAUGE.minus);
            term.shape = GAUGE.shape;
        }
        assess_compiled(&compiled, bands.0, bands.1).map_or(Verdict::Unmeasured, |found| found.verdict)
    }

    #[test]
    fn a_missing_shelf_has_a_least_height() {
        let shelf = Expr::leaf(Term {
            name: "case.shelf".into(),
            value: None,
            plus: 0.0,
            minus: 0.0,
            shape: Shape::Normal,
            tag: 0,
        });
        let compiled = Compiled::new(&(shelf - size("hand.top", 1.30, 0.02, 0.02)));
        let bands = (Band::at_least(0.30), Band::at_least(0.05));
        let solved = solve(&compiled, bands.0, bands.1, &ask("case.shelf", &|_| GAUGE));
        let range = solved.ok().and_then(|solved| solved.range).expect("there is one");
        assert_eq!((range.low, range.high), (Some(1.63), None));
        assert_eq!(verdict(&compiled, "case.shelf", 1.63, bands), Verdict::Clear);
        assert_eq!(verdict(&compiled, "case.shelf", 1.62, bands), Verdict::Tight);
        let contact = Question { goal: Goal::NotFouling, ..ask("case.shelf", &|_| GAUGE) };
        let solved = solve(&compiled, bands.0, bands.1, &contact).expect("it is asked well");
        assert_eq!(solved.range, Some(Range { low: Some(1.35), high: None }));
    }

    #[test]
    fn a_band_narrower_than_the_spread_has_no_answer() {
        let compiled = Compiled::new(&(size("post", 0.9, 0.02, 0.02) - size("bore", 0.885, 0.02, 0.02)));
        let band = Band::between(0.005, 0.015);
        let solved = solve(&compiled, band, Band::OPEN, &ask("bore", &|_| GAUGE)).expect("asked well");
        assert_eq!((solved.range, solved.too_wide), (None, true));
    }

    #[test]
    fn two_ranges_are_both_found_and_the_nearer_one_is_told() {
        let off = (size("a", 40.0, 0.0, 0.0) - size("b", 20.0, 0.02, 0.02)).abs();
        let compiled = Compiled::new(&off);
        let band = Band::between(9.0, 11.0);
        let solved = solve(&compiled, band, band, &ask("b", &|_| GAUGE)).expect("asked well");
        assert_eq!(solved.ranges.len(), 2);
        let near = solved.range.expect("there are two");
        assert!(near.holds(30.0) && !near.holds(50.0) && near.holds(29.02) && !near.holds(28.99));
    }

    #[test]
    fn other_missing_dimensions_take_a_stand_in() {
        let mut missing =
            Term { name: "b".into(), value: None, plus: 0.0, minus: 0.0, shape: Shape::Normal, tag: 0 };
        let compiled = Compiled::new(&(size("a", 1.0, 0.0, 0.0) - Expr::leaf(missing.clone())));
        let band = Band::at_least(0.5);
        let found = solve(&compiled, band, band, &ask("a", &|_| GAUGE));
        assert!(matches!(found, Err(Unsolvable::Missing(names)) if &*names[0].name == "b"));
        missing.value = Some(2.0);
        let question = Question { stand_ins: &[missing], ..ask("a", &|_| GAUGE) };
        let found = solve(&compiled, band, band, &question).expect("b stands in");
        assert!(found.range.is_some_and(|range| range.low == Some(2.52)));
        assert_eq!(solve(&compiled, band, band, &ask("c", &|_| GAUGE)), Err(Unsolvable::NotThere));
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(6))]
        #[test]
        fn ends_are_clear_and_just_outside_is_not(seed in 0u64..1000) {
            // A few of the formulas each time: an unoptimised sample takes long.
            for (name, expr) in fixtures::formulas(seed).into_iter().skip(seed as usize % 5).step_by(5) {
                let compiled = Compiled::new(&expr);
                let Ok(now) = assess_compiled(&compiled, Band::OPEN, Band::OPEN) else { continue };
                let band = Band::between(now.nominal - 0.3, now.nominal + 0.3);
                let dimension = compiled.terms[seed as usize % compiled.terms.len()].name.clone();
                let value = compiled.terms[seed as usize % compiled.terms.len()].value.unwrap_or(0.0);
                let search = (value - 3.0, value + 3.0);
                let question = Question { search, ..ask(&dimension, &|_| GAUGE) };
                let Ok(solved) = solve(&compiled, band, band, &question) else { continue };
                for range in &solved.ranges {
                    for (end, step) in [(range.low, -0.011), (range.high, 0.011)] {
                        let Some(end) = end else { continue };
                        let at = |x: f64| verdict(&compiled, &dimension, x, (band, band));
                        prop_assert_eq!(at(end), Verdict::Clear, "{}: {} at {}", name, &dimension, end);
                        prop_assert_ne!(at(end + step), Verdict::Clear, "{}: {} beyond {}", name, &dimension, end);
                    }
                }
                if verdict(&compiled, &dimension, value, (band, band)) == Verdict::Clear {
                    prop_assert!(
                        solved.ranges.iter().any(|range| range.distance(value) < 0.011),
                        "{}: {} = {} is clear", name, &dimension, value
                    );
                }
            }
        }
    }
}
