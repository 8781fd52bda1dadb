//! How a result is likely to spread, and the chance that it lies outside a band.

use std::sync::Arc;

use super::sample::{FURTHEST, Sample};
use super::simplify;
use super::spread::{Spread, share_of_variance};
use super::worst_case::{WorstCase, worst_case};
use crate::fit::engine::expression::compiled::Compiled;
use crate::fit::engine::expression::expr::{Shape, Term};
use crate::fit::engine::expression::program::{Program, Scratch};
use crate::fit::engine::numbers::interval::Interval;
use crate::fit::engine::verdict::HALF_DIGIT;

/// A formula's nominal value, worst case and distribution.
#[derive(Clone, Debug)]
pub struct Study {
    /// With every dimension at its nominal value.
    pub nominal: f64,
    /// With every dimension anywhere between its limits.
    pub worst: WorstCase,
    /// How the result spreads.
    pub distribution: Distribution,
    /// Each dimension's part of the variance, in the order of the dimensions; together 1, or all 0 where
    /// no dimension moves the result.
    pub shares: Vec<f64>,
}

/// What a formula comes to, without how likely: far cheaper to tell, and often enough.
#[derive(Clone, Debug)]
pub(in crate::fit::engine) struct Extent {
    /// With every dimension at its nominal value.
    pub(in crate::fit::engine) nominal: f64,
    /// With every dimension anywhere between its limits.
    pub(in crate::fit::engine) worst: WorstCase,
    /// The slopes of a straight formula, which are the same everywhere.
    slopes: Option<Arc<[f64]>>,
}

/// How a result spreads.
#[derive(Clone, Debug)]
pub enum Distribution {
    /// The first order, which is the whole of a straight formula.
    FirstOrder(Spread),
    /// A fixed sample: the formula bends, or jumps, inside the box.
    Sampled(Sample),
}

impl Study {
    /// Studies a formula all of whose dimensions are known; an unknown one counts as 0.
    pub fn new(compiled: &Compiled) -> Study {
        Study::of(compiled, &Extent::of(compiled))
    }

    /// The same for a formula whose extent is known already.
    pub(in crate::fit::engine) fn of(compiled: &Compiled, extent: &Extent) -> Study {
        if let Some(slopes) = &extent.slopes {
            let centre =
                compiled.terms.iter().zip(&**slopes).fold(extent.nominal, |centre, (term, slope)| {
                    centre + 0.5 * (slope * term.plus - slope * term.minus)
                });
            return first_order(&compiled.terms, extent, centre, slopes);
        }
        let reach = reach(&compiled.terms);
        let mut intervals = Scratch::new();
        let program = simplify::pruned(compiled, &reach, &mut intervals);
        let mut ranges = Vec::new();
        program.gradient(&reach, &mut ranges, &mut intervals);
        let middle: Vec<f64> = compiled.terms.iter().map(|term| term.middle_and_half().0).collect();
        let mut slopes = Vec::new();
        let centre = program.gradient(&middle, &mut slopes, &mut Scratch::new());
        if program.bends(&intervals) || curved(&compiled.terms, &slopes, &ranges) {
            return sampled(&program, &compiled.terms, extent);
        }
        first_order(&compiled.terms, extent, centre, &slopes)
    }

    /// The chances of lying below `low` and above `high`, compared at 0.1 um; exactly 0 on a
    /// side that even the worst case does not reach.
    pub fn outside(&self, low: Option<f64>, high: Option<f64>) -> (f64, f64) {
        let (low, high) = (low.map(|low| low - HALF_DIGIT), high.map(|high| high + HALF_DIGIT));
        let below = low.filter(|&low| self.worst.low < low).map_or(0.0, |low| self.below(low));
        let above = high.filter(|&high| self.worst.high > high).map_or(0.0, |high| self.above(high));
        (below, above)
    }

    /// The ends between which 95 of 100 results lie; never beyond the worst case.
    pub fn likely(&self) -> (f64, f64) {
        let (low, high) = match &self.distribution {
            Distribution::FirstOrder(spread) => spread.likely(),
            Distribution::Sampled(sample) => sample.likely(),
        };
        (low.max(self.worst.low), high.min(self.worst.high))
    }

    /// The least chance of lying outside that a band of the given width could leave, were it
    /// where the result is likeliest.
    pub fn outside_of_width(&self, width: f64) -> f64 {
        let width = width + 2.0 * HALF_DIGIT;
        if self.worst.high - self.worst.low <= width {
            return 0.0;
        }
        match &self.distribution {
            Distribution::FirstOrder(spread) => {
                let (low, high) = spread.likely();
                2.0 * spread.below(0.5 * (low + high) - 0.5 * width)
            }
            Distribution::Sampled(sample) => sample.outside_of_width(width),
        }
    }

    fn below(&self, x: f64) -> f64 {
        match &self.distribution {
            Distribution::FirstOrder(spread) => spread.below(x),
            Distribution::Sampled(sample) => sample.below(x),
        }
    }

    fn above(&self, x: f64) -> f64 {
        match &self.distribution {
            Distribution::FirstOrder(spread) => spread.above(x),
            Distribution::Sampled(sample) => sample.above(x),
        }
    }
}

impl Extent {
    /// Of a formula all of whose dimensions are known; an unknown one counts as 0.
    pub(in crate::fit::engine) fn of(compiled: &Compiled) -> Extent {
        if !compiled.is_linear() {
            return Extent {
                nominal: compiled.nominal(),
                worst: worst_case(compiled, &compiled.limits()),
                slopes: None,
            };
        }
        let mut slopes = Vec::new();
        let nominal = compiled.gradient(&compiled.nominals(), &mut slopes, &mut Scratch::new());
        Extent::straight(&compiled.terms, slopes.into(), nominal)
    }

    /// Of a straight formula whose slopes and nominal result are known already.
    pub(in crate::fit::engine) fn straight(terms: &[Term], slopes: Arc<[f64]>, nominal: f64) -> Extent {
        let (mut low, mut high) = (nominal, nominal);
        for (term, &slope) in terms.iter().zip(&*slopes) {
            let (down, up) = (slope * term.minus, slope * term.plus);
            low -= if slope > 0.0 { down } else { -up };
            high += if slope > 0.0 { up } else { -down };
        }
        Extent { nominal, worst: WorstCase { low, high, exact: true }, slopes: Some(slopes) }
    }
}

fn first_order(terms: &[Term], extent: &Extent, centre: f64, slopes: &[f64]) -> Study {
    let part = |(term, slope): (&Term, &f64)| (slope * term.middle_and_half().1, term.shape);
    let spread = Spread::new(centre, terms.iter().zip(slopes).map(part));
    Study {
        nominal: extent.nominal,
        worst: extent.worst,
        distribution: Distribution::FirstOrder(spread),
        shares: shares(effects(terms, slopes)),
    }
}

fn sampled(program: &Program, terms: &[Term], extent: &Extent) -> Study {
    let effects = Sample::effects(program, terms);
    Study {
        nominal: extent.nominal,
        worst: extent.worst,
        distribution: Distribution::Sampled(Sample::new(program, terms)),
        shares: shares(effects),
    }
}

/// The box that the sample may reach: a normal error can lie beyond its three deviations.
fn reach(terms: &[Term]) -> Vec<Interval> {
    let range = |term: &Term| {
        let (middle, half) = term.middle_and_half();
        let half = match term.shape {
            Shape::Normal => FURTHEST * half,
            Shape::Uniform => half,
        };
        Interval { lo: middle - half, hi: middle + half }
    };
    terms.iter().map(range).collect()
}

/// Whether the slopes change too much inside the box for the first order to stand for the whole.
fn curved(terms: &[Term], slopes: &[f64], ranges: &[Interval]) -> bool {
    let (mut straight, mut bent) = (0.0, 0.0);
    for ((term, slope), range) in terms.iter().zip(slopes).zip(ranges) {
        let (_, half) = term.middle_and_half();
        if half > 0.0 {
            straight += libm::fabs(*slope) * half;
            bent += 0.5 * range.width() * half;
        }
    }
    bent > MOST_BENT * straight
}

/// The part of the straight spread by which the slopes' change may move a result.
const MOST_BENT: f64 = 0.1;

fn effects(terms: &[Term], slopes: &[f64]) -> Vec<f64> {
    let effect =
        |(term, slope): (&Term, &f64)| share_of_variance(slope * term.middle_and_half().1, term.shape);
    terms.iter().zip(slopes).map(effect).collect()
}

fn shares(mut effects: Vec<f64>) -> Vec<f64> {
    let total: f64 = effects.iter().sum();
    if total > 0.0 {
        for effect in &mut effects {
            *effect /= total;
        }
    }
    effects
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fit::engine::fixtures;

    /// Chances and likely ends against 20,000 plain random points, for every kind of formula.
    #[test]
    fn chances_agree_with_a_plain_monte_carlo() {
        for seed in 0..3 {
            for (name, expr) in fixtures::formulas(seed) {
                let compiled = Compiled::new(&expr);
                let study = Study::new(&compiled);
                let values = fixtures::monte_carlo(&compiled, 20_000, seed);
                let at = |part: f64| values[(part * values.len() as f64) as usize];
                for part in [0.01, 0.1, 0.5, 0.9, 0.99] {
                    // A value that many points share lies neither above nor below itself.
                    let (from, to) = (study.below(at(part)), 1.0 - study.above(at(part)));
                    // 2048 points here, 20,000 there, and a first order that may bend by a tenth.
                    let slack = 0.004 + 0.08 * (part * (1.0 - part));
                    assert!(
                        from - slack < part && part < to + slack,
                        "{name}, seed {seed}: {from}..{to} for {part}"
                    );
                }
                let (low, high) = study.likely();
                let scale = at(0.975) - at(0.025);
                assert!(
                    (low - at(0.025)).abs() <= 0.05 * scale,
                    "{name}, seed {seed}: {low} for {}",
                    at(0.025)
                );
                assert!(
                    (high - at(0.975)).abs() <= 0.05 * scale,
                    "{name}, seed {seed}: {high} for {}",
                    at(0.975)
                );
            }
        }
    }

    #[test]
    fn nothing_lies_outside_where_the_worst_case_lies_inside() {
        for (name, expr) in fixtures::formulas(3) {
            let study = Study::new(&Compiled::new(&expr));
            let out = study.outside(Some(study.worst.low), Some(study.worst.high));
            assert_eq!(out, (0.0, 0.0), "{name}");
        }
    }

    #[test]
    fn shares_are_those_of_the_variance() {
        let gap = fixtures::size("seat", 27.2, 0.02, 0.02)
            - fixtures::shaped("dial", 27.1, 0.03, 0.05, Shape::Uniform);
        let study = Study::new(&Compiled::new(&gap));
        let (seat, dial) = (0.02f64 * 0.02 / 9.0, 0.04f64 * 0.04 / 3.0);
        assert!((study.shares[0] - seat / (seat + dial)).abs() < 1e-12);
        assert!((study.shares[1] - dial / (seat + dial)).abs() < 1e-12);
    }

    #[test]
    fn a_formula_that_nothing_moves_has_no_shares() {
        let fixed = fixtures::size("a", 2.0, 0.0, 0.0) - fixtures::size("b", 1.0, 0.0, 0.0);
        let study = Study::new(&Compiled::new(&fixed));
        assert_eq!(study.shares, [0.0, 0.0]);
        assert_eq!(study.outside(Some(1.0), Some(1.0)), (0.0, 0.0));
        assert_eq!(study.outside(Some(1.001), None), (1.0, 0.0));
    }
}
