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

/// The formula's values at the points.
#[derive(Clone, Debug)]
pub struct Sample {
    values: Vec<f64>,
}

impl Sample {
    /// Evaluates the formula; the same terms give the same sample, on every machine.
    pub(super) fn new(program: &Program, terms: &[Term]) -> Sample {
        let mut room = Room::new();
        let used = Drawn::of(program, terms);
        let mut leaves = starting(terms);
        let mut values = Vec::with_capacity(POINTS);
        for first in (0..POINTS).step_by(LANES) {
            for dimension in &used {
                leaves[dimension.leaf].0 = std::array::from_fn(|k| dimension.at(first + k));
            }
            values.extend_from_slice(&program.value(&leaves, &mut room).0);
        }
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
    pub(super) fn effects(program: &Program, terms: &[Term]) -> Vec<f64> {
        let mut room = Room::new();
        let mut slopes = Vec::new();
        let mut effects = vec![0.0; terms.len()];
        let used = Drawn::of(program, terms);
        let mut leaves = starting(terms);
        for first in (0..POINTS).step_by(POINTS / SLOPE_BATCHES) {
            for dimension in &used {
                leaves[dimension.leaf].0 = std::array::from_fn(|k| dimension.at(first + k));
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

/// Every dimension at its middle.
fn starting(terms: &[Term]) -> Vec<Lanes> {
    terms.iter().map(|term| Lanes([middle_and_half(term).0; LANES])).collect()
}

/// A dimension on its way through the points.
///
/// They are a rank-1 lattice: every dimension visits each of its equally likely strips once, and
/// together they fill the box more evenly than random points would.
struct Drawn {
    leaf: usize,
    middle: f64,
    half: f64,
    strips: &'static [f64; POINTS],
    leap: usize,
    offset: usize,
}

impl Drawn {
    /// The dimensions that the program uses and that have a tolerance.
    fn of(program: &Program, terms: &[Term]) -> Vec<Drawn> {
        let mut used: Vec<usize> = program.used().collect();
        used.sort_unstable();
        used.retain(|&leaf| middle_and_half(&terms[leaf]).1 > 0.0);
        let drawn = |(order, leaf): (usize, usize)| {
            let (middle, half) = middle_and_half(&terms[leaf]);
            let (axis, round) = (order % LATTICE.len(), order / LATTICE.len());
            Drawn {
                leaf,
                middle,
                half,
                strips: match terms[leaf].shape {
                    Shape::Normal => &STRIPS.normal,
                    Shape::Uniform => &STRIPS.uniform,
                },
                // Dimensions beyond the lattice's own go through the same points by odd leaps.
                leap: LATTICE[axis] * (2 * round + 1),
                offset: OFFSET * order,
            }
        };
        used.into_iter().enumerate().map(drawn).collect()
    }

    fn at(&self, point: usize) -> f64 {
        self.middle + self.half * self.strips[(point * self.leap + self.offset) % POINTS]
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
