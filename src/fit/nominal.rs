//! Whether parts go together, and how far from the edge, without the whole of a judgement: what a
//! search asks of very many watches.
//!
//! A check is run once for all watches that answer its questions alike ([`Formulas`]); what is then
//! left to do for each of them is to work the formulas out with its own sizes.

use crate::journal::Slot;

use super::assembly::{Assembly, parted};
use super::bands::Bands;
use super::check::{Answer, Ask, AskKind, Asked, Check, Subject};
use super::checks;
use super::compiled::{Compiled, Scratch};
use super::expr::{Shape, Term};
use super::interval::Interval;
use super::spread::share_of_variance;
use super::verdict::Band;
use super::verdict::HALF_DIGIT;

/// How far inside its band a result lies, in thousandths of its own standard deviation: the margin
/// to the nearer end over the spread. Below zero it lies outside; a rule that holds, and a size
/// without a doubt that is right, have [`Ease::MOST`].
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Ease(pub i32);

impl Ease {
    /// Nothing to worry about.
    pub const MOST: Ease = Ease(i32::MAX);
    /// Without any doubt outside.
    pub const LEAST: Ease = Ease(-i32::MAX);

    fn of(margin: f64, sigma: f64) -> Ease {
        if sigma < 1e-9 {
            return if margin >= -HALF_DIGIT { Ease::MOST } else { Ease::LEAST };
        }
        Ease((margin / sigma * 1000.0).round().clamp(-1e9, 1e9) as i32)
    }

    /// In standard deviations; `None` where nothing was measured against a band.
    pub fn deviations(self) -> Option<f64> {
        (self != Ease::MOST).then(|| f64::from(self.0) / 1000.0)
    }
}

/// What a check comes to for some parts. The order is that of trouble.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Grade {
    /// Something fouls.
    Fouls,
    /// Nothing fouls, but something is not measured; of the rest, the least ease.
    Unmeasured(Ease),
    /// Nothing fouls; the least ease.
    Goes(Ease),
}

impl Grade {
    /// The grade of what is said nothing about.
    pub const BEST: Grade = Grade::Goes(Ease::MOST);

    /// Two grades together.
    #[must_use]
    pub fn and(self, other: Grade) -> Grade {
        match (self, other) {
            (Grade::Fouls, _) | (_, Grade::Fouls) => Grade::Fouls,
            (Grade::Goes(one), Grade::Goes(two)) => Grade::Goes(one.min(two)),
            (one, two) => Grade::Unmeasured(one.ease().min(two.ease())),
        }
    }

    /// The least ease; of what fouls, the least there is.
    pub fn ease(self) -> Ease {
        match self {
            Grade::Fouls => Ease::LEAST,
            Grade::Unmeasured(ease) | Grade::Goes(ease) => ease,
        }
    }
}

/// One finding's grade.
#[derive(Clone, Debug)]
pub struct Graded {
    /// The check.
    pub check: &'static Check,
    /// What it is about.
    pub about: String,
    /// Its grade.
    pub grade: Grade,
}

/// Grades everything that the checks of parts say of a watch.
pub fn grade_all(watch: &Assembly, bands: &Bands) -> Vec<Graded> {
    let mut out = Vec::new();
    let mut work = Work::default();
    for check in checks::ALL.iter().filter(|check| check.of_parts()) {
        for (about, formula) in Formulas::of(check, Subject::All, watch, bands).said {
            let leaves: Option<Vec<Leaf>> = match &formula {
                Said::Fixed(_) => Some(Vec::new()),
                Said::Measure(measure) => measure.compiled.terms.iter().map(Leaf::of).collect(),
            };
            let grade = leaves.map_or(Grade::Unmeasured(Ease::MOST), |leaves| match &formula {
                Said::Fixed(grade) => *grade,
                Said::Measure(measure) => measure.grade(&leaves, &mut work),
            });
            out.push(Graded { check, about, grade });
        }
    }
    out
}

/// All grades of a watch in one.
pub fn grade(watch: &Assembly, bands: &Bands) -> Grade {
    grade_all(watch, bands).into_iter().map(|one| one.grade).fold(Grade::BEST, Grade::and)
}

/// What a check says of every watch that answers its questions alike.
#[derive(Debug)]
pub struct Formulas {
    /// Each finding to be: what it is about, and what there is to work out.
    pub said: Vec<(String, Said)>,
    /// Whether the check says something hand by hand.
    pub by_hand: bool,
}

/// One finding to be.
#[derive(Debug)]
pub enum Said {
    /// The same for all of them.
    Fixed(Grade),
    /// A formula whose sizes are their own.
    Measure(Measure),
}

/// A formula with its band, laid out.
#[derive(Debug)]
pub struct Measure {
    /// The formula; its terms are in this order.
    pub compiled: Compiled,
    band: Band,
    contact: Band,
    /// The slopes, where they are the same everywhere.
    slopes: Option<Vec<f64>>,
}

/// Scratch to work formulas out in, kept between them.
#[derive(Clone, Debug)]
pub struct Work {
    numbers: Scratch<f64>,
    intervals: Scratch<Interval>,
    values: Vec<f64>,
    ranges: Vec<Interval>,
    slopes: Vec<f64>,
}

impl Default for Work {
    fn default() -> Work {
        Work {
            numbers: Scratch::new(),
            intervals: Scratch::new(),
            values: Vec::new(),
            ranges: Vec::new(),
            slopes: Vec::new(),
        }
    }
}

/// A size as it stands in a formula.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Leaf {
    /// Its nominal value.
    pub value: f64,
    /// The square of its standard deviation.
    pub variance: f64,
}

/// A size that may be one of several.
#[derive(Clone, Copy, Debug)]
pub struct Leaves {
    /// From the least to the greatest nominal value.
    pub values: Interval,
    /// The least variance, and the greatest.
    pub variance: (f64, f64),
}

impl Leaf {
    /// A term's size; `None` where it is not known.
    pub fn of(term: &Term) -> Option<Leaf> {
        Some(Leaf::new(term.value?, term.plus, term.minus, term.shape))
    }

    /// A size with its limits.
    pub fn new(value: f64, plus: f64, minus: f64, shape: Shape) -> Leaf {
        Leaf { value, variance: share_of_variance(0.5 * (plus + minus), shape) }
    }
}

impl Formulas {
    /// Runs a check.
    pub fn of(check: &'static Check, subject: Subject, watch: &Assembly, bands: &Bands) -> Formulas {
        let mut asked = Asked::about(subject);
        (check.run)(watch, &mut asked);
        let by_hand = asked.by_hand;
        let wanted = asked.asked.into_iter().filter(|ask| !ask.aside);
        Formulas { said: wanted.filter_map(|ask| said(check, bands, ask)).collect(), by_hand }
    }
}

fn said(check: &Check, bands: &Bands, ask: Ask) -> Option<(String, Said)> {
    let said = match ask.kind {
        AskKind::Measure { formula, band } => {
            let advised = bands.get(check.id, band);
            let compiled = Compiled::new(&formula);
            if compiled.terms.iter().any(|term| term.value.is_none()) {
                return Some((ask.about, Said::Fixed(Grade::Unmeasured(Ease::MOST))));
            }
            let slopes = compiled.is_linear().then(|| {
                let mut slopes = Vec::new();
                compiled.gradient(&vec![0.0; compiled.terms.len()], &mut slopes, &mut Scratch::new());
                slopes
            });
            Said::Measure(Measure { compiled, band: advised.band, contact: advised.contact, slopes })
        }
        AskKind::Rule { answer, .. } => Said::Fixed(match answer {
            Answer::Holds => Grade::BEST,
            // Just outside of what is advised.
            Answer::Barely => Grade::Goes(Ease(-1)),
            Answer::Fails => Grade::Fouls,
            Answer::Unknown(_) => Grade::Unmeasured(Ease::MOST),
        }),
        AskKind::Figure { .. } | AskKind::Note => return None,
    };
    Some((ask.about, said))
}

impl Measure {
    /// The slot and path of each term; `None` of one that is of no part, whose size is in the term.
    pub fn names(&self) -> impl Iterator<Item = Option<(Slot, &str)>> {
        self.compiled.terms.iter().map(|term| parted(&term.name))
    }

    /// The grade with these sizes, in the order of the terms.
    pub fn grade(&self, leaves: &[Leaf], work: &mut Work) -> Grade {
        work.values.clear();
        work.values.extend(leaves.iter().map(|leaf| leaf.value));
        let nominal = self.compiled.value(&work.values, &mut work.numbers);
        if !self.contact.holds(nominal) {
            return Grade::Fouls;
        }
        let margin = margin(self.band, nominal, nominal);
        if margin == f64::INFINITY {
            return Grade::BEST;
        }
        let variance = |slopes: &[f64]| -> f64 {
            slopes.iter().zip(leaves).map(|(slope, leaf)| slope * slope * leaf.variance).sum()
        };
        let variance = match &self.slopes {
            Some(slopes) => variance(slopes),
            None => {
                self.compiled.gradient(&work.values, &mut work.slopes, &mut work.numbers);
                variance(&work.slopes)
            }
        };
        Grade::Goes(Ease::of(margin, libm::sqrt(variance)))
    }

    /// The best grade that any of these sizes could come to; never worse than it.
    pub fn bound(&self, leaves: &[Leaves], work: &mut Work) -> Grade {
        work.ranges.clear();
        work.ranges.extend(leaves.iter().map(|leaf| leaf.values));
        let nominal = self.compiled.value(&work.ranges, &mut work.intervals);
        // Outward by more than rounding can differ.
        let (low, high) = (nominal.lo - 1e-9, nominal.hi + 1e-9);
        let under = self.contact.low.is_some_and(|low| high < low - HALF_DIGIT);
        let over = self.contact.high.is_some_and(|end| low > end + HALF_DIGIT);
        if under || over {
            return Grade::Fouls;
        }
        let margin = margin(self.band, low, high);
        let Some(slopes) = self.slopes.as_ref().filter(|_| margin != f64::INFINITY) else {
            return Grade::BEST;
        };
        let sum = |pick: fn(&Leaves) -> f64| -> f64 {
            slopes.iter().zip(leaves).map(|(slope, leaf)| slope * slope * pick(leaf)).sum()
        };
        let least = libm::sqrt(sum(|leaf| leaf.variance.0));
        // A result without any doubt may be right though it lies half a digit outside.
        let spread = if margin >= 0.0 || margin >= -HALF_DIGIT && least < 1e-9 {
            least
        } else {
            libm::sqrt(sum(|leaf| leaf.variance.1))
        };
        let Ease(ease) = Ease::of(margin, spread);
        // A thousandth more than the rounding of the two could differ by.
        Grade::Goes(Ease(ease.saturating_add(1)))
    }
}

/// The most that a result between two values can be inside a band; without a band it is infinite.
fn margin(band: Band, least: f64, greatest: f64) -> f64 {
    let above = band.low.map_or(f64::INFINITY, |low| greatest - low);
    let below = band.high.map_or(f64::INFINITY, |high| high - least);
    let width = match (band.low, band.high) {
        (Some(low), Some(high)) if least < greatest => (high - low) / 2.0,
        _ => f64::INFINITY,
    };
    above.min(below).min(width)
}
