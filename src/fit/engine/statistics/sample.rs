//! A fixed sample of points in the tolerance box, for formulas whose first order does not say
//! how they spread.

use std::sync::LazyLock;

use crate::fit::engine::expression::expr::{Shape, Term};
use crate::fit::engine::expression::program::{Program, Scratch};
use crate::fit::engine::numbers::batch::{Batch, POINTS_AT_ONCE};

/// Levels of each dimension; prime, so that the columns below exist.
const LEVELS: usize = 61;
/// Points of the sample: one for each pair of levels of any two dimensions.
pub(in crate::fit::engine) const POINTS: usize = LEVELS * LEVELS;
/// No point lies further from the middle than this many half widths.
pub(in crate::fit::engine) const FURTHEST: f64 = 1.2;

/// The formula's values at the points.
#[derive(Clone, Debug)]
pub struct Sample {
    values: Vec<f64>,
}

impl Sample {
    /// Evaluates the formula; the same terms give the same sample, on every machine.
    pub(in crate::fit::engine) fn new(program: &Program, terms: &[Term]) -> Sample {
        let mut scratch = Scratch::new();
        let used = Drawn::of(program, terms);
        let mut leaves = starting(terms);
        let mut values = Vec::with_capacity(POINTS);
        for first in (0..POINTS).step_by(POINTS_AT_ONCE) {
            for dimension in &used {
                leaves[dimension.leaf].0 = std::array::from_fn(|k| dimension.at((first + k).min(POINTS - 1)));
            }
            values.extend_from_slice(&program.value(&leaves, &mut scratch).0);
        }
        values.truncate(POINTS);
        Sample { values }
    }

    /// The part of the points below `x`.
    pub fn below(&self, x: f64) -> f64 {
        self.values.iter().filter(|&&value| value < x).count() as f64 / POINTS as f64
    }

    /// The part of the points above `x`.
    pub fn above(&self, x: f64) -> f64 {
        self.values.iter().filter(|&&value| value > x).count() as f64 / POINTS as f64
    }

    /// The values that cut off 1 in 40 points at either end.
    pub fn likely(&self) -> (f64, f64) {
        let mut values = self.values.clone();
        let cut = POINTS / 40;
        let (_, low, rest) = values.select_nth_unstable_by(cut, f64::total_cmp);
        let low = *low;
        let (_, high, _) = rest.select_nth_unstable_by(POINTS - 2 - 2 * cut, f64::total_cmp);
        (low, *high)
    }

    /// The least part of the points that a band of the given width can leave out.
    pub fn outside_of_width(&self, width: f64) -> f64 {
        let mut values = self.values.clone();
        values.sort_unstable_by(f64::total_cmp);
        let inside =
            |(first, low): (usize, &f64)| values.partition_point(|&value| value <= low + width) - first;
        let most = values.iter().enumerate().map(inside).max().unwrap_or(0);
        (POINTS - most) as f64 / POINTS as f64
    }

    /// How far each dimension moves the result, squared and averaged over points of the sample,
    /// as a part of the variance that it would make alone.
    pub(in crate::fit::engine) fn effects(program: &Program, terms: &[Term]) -> Vec<f64> {
        let mut scratch = Scratch::new();
        let mut slopes = Vec::new();
        let mut effects = vec![0.0; terms.len()];
        let used = Drawn::of(program, terms);
        let mut leaves = starting(terms);
        for first in (0..SLOPES).step_by(POINTS_AT_ONCE) {
            for dimension in &used {
                leaves[dimension.leaf].0 =
                    std::array::from_fn(|k| dimension.at((first + k) * SLOPE_STRIDE % POINTS));
            }
            program.gradient(&leaves, &mut slopes, &mut scratch);
            for ((effect, slope), term) in effects.iter_mut().zip(&slopes).zip(terms) {
                let (_, half) = term.middle_and_half();
                let part = |slope: &f64| super::spread::share_of_variance(slope * half, term.shape);
                *effect += slope.0.iter().map(part).sum::<f64>();
            }
        }
        effects
    }
}

/// Points at which slopes are taken, and how far they lie apart in the sample.
const SLOPES: usize = 64;
const SLOPE_STRIDE: usize = 997;

/// Every dimension at its middle.
fn starting(terms: &[Term]) -> Vec<Batch> {
    terms.iter().map(|term| Batch([term.middle_and_half().0; POINTS_AT_ONCE])).collect()
}

/// A dimension on its way through the points.
struct Drawn {
    leaf: usize,
    middle: f64,
    half: f64,
    strips: &'static [f64; POINTS],
    column: &'static [u16],
    rotated: usize,
}

impl Drawn {
    /// The dimensions that the program uses and that have a tolerance.
    fn of(program: &Program, terms: &[Term]) -> Vec<Drawn> {
        let mut used: Vec<usize> = program.used().collect();
        used.sort_unstable();
        used.retain(|&leaf| terms[leaf].middle_and_half().1 > 0.0);
        let drawn = |(order, leaf): (usize, usize)| {
            let (middle, half) = terms[leaf].middle_and_half();
            Drawn {
                leaf,
                middle,
                half,
                strips: match terms[leaf].shape {
                    Shape::Normal => &STRIPS.normal,
                    Shape::Uniform => &STRIPS.uniform,
                },
                column: &COLUMNS[order % COLUMNS.len()],
                // Dimensions beyond the columns' number take them again, from other points on.
                rotated: order / COLUMNS.len() * SLOPE_STRIDE,
            }
        };
        used.into_iter().enumerate().map(drawn).collect()
    }

    fn at(&self, point: usize) -> f64 {
        self.middle + self.half * self.strips[usize::from(self.column[(point + self.rotated) % POINTS])]
    }
}

/// Which strip of a dimension each point lies in.
///
/// An orthogonal array of strength two (R. C. Bose, 1938; as a sample of a box: B. Tang, "Orthogonal
/// array-based Latin hypercubes", J. Amer. Statist. Assoc. 88, 1993): every dimension visits each of
/// its equally likely strips once, and any two dimensions every pair of their levels once. Levels
/// and the strips within them are shuffled from a fixed seed, so that sums of three do not line up.
static COLUMNS: LazyLock<Vec<Vec<u16>>> = LazyLock::new(|| {
    let mut dice = 0;
    (0..=LEVELS)
        .map(|column| {
            let levels = shuffled(&mut dice);
            let mut within: Vec<_> = (0..LEVELS).map(|_| shuffled(&mut dice).into_iter()).collect();
            let strip = |point: usize| {
                let (row, place) = (point / LEVELS, point % LEVELS);
                let level = if column == LEVELS { row } else { (place + column * row) % LEVELS };
                let strip = levels[level] * LEVELS + within[level].next().unwrap_or(0);
                strip as u16
            };
            (0..POINTS).map(strip).collect()
        })
        .collect()
});

/// The numbers below [`LEVELS`] in an order of chance (Fisher and Yates), from a seed (splitmix64).
fn shuffled(seed: &mut u64) -> Vec<usize> {
    let mut numbers: Vec<usize> = (0..LEVELS).collect();
    for last in (1..LEVELS).rev() {
        *seed = seed.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = *seed;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        numbers.swap(last, ((mixed ^ (mixed >> 31)) % (last as u64 + 1)) as usize);
    }
    numbers
}

/// The middle of each strip, in half widths.
struct Strips {
    normal: [f64; POINTS],
    uniform: [f64; POINTS],
}

static STRIPS: LazyLock<Strips> = LazyLock::new(|| {
    let part = |place: usize| (place as f64 + 0.5) / POINTS as f64;
    Strips {
        normal: std::array::from_fn(|place| quantile(part(place)) / 3.0),
        uniform: std::array::from_fn(|place| 2.0 * part(place) - 1.0),
    }
});

/// The standard normal quantile, by bisection of the distribution; it runs once per strip.
fn quantile(part: f64) -> f64 {
    let (mut lo, mut hi) = (-8.0, 8.0);
    for _ in 0..60 {
        let middle = 0.5 * (lo + hi);
        if super::spread::phi(middle) < part {
            lo = middle;
        } else {
            hi = middle;
        }
    }
    0.5 * (lo + hi)
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn every_dimension_visits_each_strip_once() {
        for column in COLUMNS.iter() {
            let strips: BTreeSet<u16> = column.iter().copied().collect();
            assert_eq!(strips.len(), POINTS);
            assert_eq!(strips.last().map(|last| usize::from(*last)), Some(POINTS - 1));
        }
    }

    #[test]
    fn any_two_dimensions_visit_every_pair_of_levels_once() {
        for (number, one) in COLUMNS.iter().enumerate() {
            for other in &COLUMNS[..number] {
                let level = |strip: &u16| usize::from(*strip) / LEVELS;
                let mut seen = vec![false; POINTS];
                one.iter().zip(other).for_each(|(a, b)| seen[level(a) * LEVELS + level(b)] = true);
                assert!(seen.iter().all(|seen| *seen), "column {number}");
            }
        }
    }

    /// The sum of two dimensions of one spread, whose distribution is known, for every pair.
    #[test]
    fn no_pair_of_dimensions_is_sampled_badly() {
        let exact = libm::sqrt(2.0) / 3.0;
        let mut furthest = 0.0_f64;
        for (number, one) in COLUMNS.iter().enumerate() {
            for other in &COLUMNS[..number] {
                let at = |strip: &u16| STRIPS.normal[usize::from(*strip)];
                let mut sums: Vec<f64> = one.iter().zip(other).map(|(a, b)| at(a) + at(b)).collect();
                let (_, low, _) = sums.select_nth_unstable_by(POINTS / 40, f64::total_cmp);
                furthest = furthest.max((*low / exact + 1.959_964).abs());
            }
        }
        assert!(furthest < 0.12, "the end of the likely range lies {furthest} deviations off");
    }
}
