//! A fixed sample of points in the tolerance box, for formulas whose first order does not say
//! how they spread.

use std::sync::LazyLock;

use super::expr::{Shape, Term};
use super::lanes::{LANES, Lanes};
use super::program::{Program, Room};

/// Points of the sample.
pub(super) const POINTS: usize = 2048;
/// No point lies further from the middle than this many half widths.
pub(super) const FURTHEST: f64 = 1.2;

/// The formula's values at the points, in rising order.
#[derive(Clone, Debug)]
pub struct Sample {
    values: Vec<f64>,
}

impl Sample {
    /// Evaluates the formula; the same terms give the same sample, on every machine.
    pub(super) fn new(program: &Program, terms: &[Term]) -> Sample {
        let mut room = Room::new();
        let mut leaves = vec![Lanes([0.0; LANES]); terms.len()];
        let mut values = Vec::with_capacity(POINTS);
        for first in (0..POINTS).step_by(LANES) {
            for (n, (leaf, term)) in leaves.iter_mut().zip(terms).enumerate() {
                let (middle, half) = middle_and_half(term);
                leaf.0 = std::array::from_fn(|k| middle + half * drawn(n, first + k, term.shape));
            }
            values.extend_from_slice(&program.value(&leaves, &mut room).0);
        }
        values.sort_unstable_by(f64::total_cmp);
        Sample { values }
    }

    /// The part of the points below `x`.
    pub fn below(&self, x: f64) -> f64 {
        self.values.partition_point(|&value| value < x) as f64 / POINTS as f64
    }

    /// The part of the points above `x`.
    pub fn above(&self, x: f64) -> f64 {
        (POINTS - self.values.partition_point(|&value| value <= x)) as f64 / POINTS as f64
    }

    /// The value below which the given part of the points lies.
    pub fn quantile(&self, part: f64) -> f64 {
        let place = part * (POINTS - 1) as f64;
        let (index, rest) = (libm::floor(place), place - libm::floor(place));
        let lower = self.values[index as usize];
        let upper = self.values[(index as usize + 1).min(POINTS - 1)];
        lower + rest * (upper - lower)
    }

    /// The least part of the points that a band of the given width can leave out.
    pub fn outside_of_width(&self, width: f64) -> f64 {
        let inside =
            |(first, low): (usize, &f64)| self.values.partition_point(|&value| value <= low + width) - first;
        let most = self.values.iter().enumerate().map(inside).max().unwrap_or(0);
        (POINTS - most) as f64 / POINTS as f64
    }

    /// How far each dimension moves the result, squared and averaged over points of the sample,
    /// as a part of the variance that it would make alone.
    pub(super) fn effects(program: &Program, terms: &[Term]) -> Vec<f64> {
        let mut room = Room::new();
        let mut slopes = Vec::new();
        let mut effects = vec![0.0; terms.len()];
        let mut leaves = vec![Lanes([0.0; LANES]); terms.len()];
        for first in (0..POINTS).step_by(POINTS / SLOPE_BATCHES) {
            for (n, (leaf, term)) in leaves.iter_mut().zip(terms).enumerate() {
                let (middle, half) = middle_and_half(term);
                leaf.0 = std::array::from_fn(|k| middle + half * drawn(n, first + k, term.shape));
            }
            program.gradient(&leaves, &mut slopes, &mut room);
            for ((effect, slope), term) in effects.iter_mut().zip(&slopes).zip(terms) {
                let (_, half) = middle_and_half(term);
                let part = |slope: &f64| super::spread::share_of_variance(slope * half, term.shape);
                *effect += slope.0.iter().map(part).sum::<f64>();
            }
        }
        effects
    }
}

const SLOPE_BATCHES: usize = 8;

/// The middle of a dimension's limits, and how far they lie from it.
pub(super) fn middle_and_half(term: &Term) -> (f64, f64) {
    let value = term.value.unwrap_or(0.0);
    (value + 0.5 * (term.plus - term.minus), 0.5 * (term.plus + term.minus))
}

/// Where the given point lies in the given dimension, in half widths from its middle.
///
/// The points are a rank-1 lattice: every dimension visits each of its equally likely strips
/// once, and together they fill the box more evenly than random points would.
fn drawn(dimension: usize, point: usize, shape: Shape) -> f64 {
    let (axis, round) = (dimension % LATTICE.len(), dimension / LATTICE.len());
    // Dimensions beyond the lattice's own go through the same points by odd leaps.
    let leap = LATTICE[axis] * (2 * round + 1);
    let place = (point * leap + OFFSET * dimension) % POINTS;
    match shape {
        Shape::Normal => STRIPS.normal[place],
        Shape::Uniform => STRIPS.uniform[place],
    }
}

/// Generator of the lattice: found component by component, each the odd number with the least
/// worst-case error (P2 with weights 0.3) beside those before it.
const LATTICE: [usize; 20] =
    [21, 227, 759, 251, 117, 497, 875, 453, 543, 853, 51, 611, 355, 783, 101, 765, 237, 173, 545, 367];
/// Keeps the first point from lying at the low end of every dimension.
const OFFSET: usize = 577;

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
