//! What a measure comes to, and the verdict on it.

use std::fmt;
use std::sync::{Arc, OnceLock};

use serde::Serialize;

use super::chance::{Extent, HALF_DIGIT, Study};
use super::expr::{Expr, Term};
use super::memo::remembered;
use super::tape::Tape;
use super::worst::{Worst, bounds, limits};

/// Where a result should lie; an open end is `None`. In the unit of the measure.
#[derive(Clone, Copy, PartialEq, Debug, Default, Serialize)]
pub struct Band {
    /// The least that is good.
    pub low: Option<f64>,
    /// The greatest that is good.
    pub high: Option<f64>,
}

/// The verdict on one finding, in order of trouble.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Verdict {
    /// At most one in a hundred would lie outside the band.
    Clear,
    /// A dimension is missing.
    Unmeasured,
    /// Neither clear nor fouling.
    Tight,
    /// The nominal result lies outside contact.
    Fouls,
}

/// The end of the band that a result is beyond, or may be.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Edge {
    /// The lower end.
    Closer,
    /// The upper end.
    Looser,
}

/// What a result is counted in.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Unit {
    /// mm.
    Millimetre,
    /// Degrees of a turn.
    Degree,
    /// A ratio, or no figure at all.
    None,
    /// bar.
    Bar,
    /// Seconds a day.
    SecondsPerDay,
    /// Thousandths of a second.
    Millisecond,
    /// Thousandths of a gram times mm: unbalance.
    MilligramMillimetre,
    /// Thousandths of a gram times mm squared: inertia.
    MilligramSquareMillimetre,
}

/// The greatest chance of lying outside the band that still counts as clear.
pub const CLEAR_CHANCE: f64 = 0.01;

/// All that a formula and its band say about a build.
#[derive(Clone, Debug)]
pub struct Assessment {
    /// The result with every dimension at its nominal value.
    pub nominal: f64,
    /// The chance of lying outside the band, on either side.
    pub chance_out: f64,
    /// The verdict; never [`Verdict::Unmeasured`].
    pub verdict: Verdict,
    /// Which edge the trouble is at; `None` where the verdict is clear.
    pub edge: Option<Edge>,
    /// The spread alone exceeds the band: no nominal size could be clear.
    pub too_wide: bool,
    /// How far the result reaches, and how it spreads.
    pub figures: Arc<Figures>,
}

/// How a result spreads.
#[derive(Clone, Debug)]
pub struct Likely {
    /// One in forty results lies below it.
    pub low: f64,
    /// One in forty results lies above it.
    pub high: f64,
    /// The dimensions' parts of the variance, 0 to 1, in the order of the formula.
    pub shares: Vec<f64>,
}

impl Band {
    /// A band that everything lies in.
    pub const OPEN: Band = Band { low: None, high: None };

    /// From `low` on.
    pub fn at_least(low: f64) -> Band {
        Band { low: Some(low), high: None }
    }

    /// Up to `high`.
    pub fn at_most(high: f64) -> Band {
        Band { low: None, high: Some(high) }
    }

    /// From `low` to `high`.
    pub fn between(low: f64, high: f64) -> Band {
        Band { low: Some(low), high: Some(high) }
    }

    /// Whether a result, rounded to 0.1 um, lies in the band; its ends belong to it.
    pub fn holds(self, result: f64) -> bool {
        self.low.is_none_or(|low| low - HALF_DIGIT <= result)
            && self.high.is_none_or(|high| result <= high + HALF_DIGIT)
    }

    /// The distance of its ends; `None` where one is open.
    pub fn width(self) -> Option<f64> {
        Some(self.high? - self.low?)
    }
}

impl Edge {
    /// As it is said of a clearance.
    pub fn words(self) -> &'static str {
        match self {
            Edge::Closer => "closer than advised",
            Edge::Looser => "looser than advised",
        }
    }
}

impl Verdict {
    /// The word for it, as in the JSON.
    pub fn word(self) -> &'static str {
        match self {
            Verdict::Clear => "clear",
            Verdict::Tight => "tight",
            Verdict::Fouls => "fouls",
            Verdict::Unmeasured => "unmeasured",
        }
    }
}

impl fmt::Display for Verdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.word())
    }
}

impl Unit {
    /// As it is printed after a figure, and in the JSON.
    pub fn symbol(self) -> &'static str {
        match self {
            Unit::Millimetre => "mm",
            Unit::Degree => "deg",
            Unit::None => "",
            Unit::Bar => "bar",
            Unit::SecondsPerDay => "s/d",
            Unit::Millisecond => "ms",
            Unit::MilligramMillimetre => "mg mm",
            Unit::MilligramSquareMillimetre => "mg mm\u{b2}",
        }
    }
}

/// What is said where [`Assessment::too_wide`] holds.
pub const TOO_WIDE: &str = "no calliper can make this clear: gauge it, or try the parts";

/// The verdict on a nominal result and its chance of lying outside the band.
pub fn judge(nominal: f64, chance_out: f64, contact: Band) -> Verdict {
    if !contact.holds(nominal) {
        Verdict::Fouls
    } else if chance_out <= CLEAR_CHANCE {
        Verdict::Clear
    } else {
        Verdict::Tight
    }
}

/// Assesses a formula; the missing dimensions where there are any.
pub fn assess(expr: &Expr, band: Band, contact: Band) -> Result<Assessment, Vec<Term>> {
    assess_tape(&Tape::new(expr), band, contact)
}

/// The same for a formula that is laid out already.
pub fn assess_tape(tape: &Tape, band: Band, contact: Band) -> Result<Assessment, Vec<Term>> {
    if tape.terms.iter().any(|term| term.value.is_none()) {
        return Err(tape.terms.iter().filter(|term| term.value.is_none()).cloned().collect());
    }
    let figures = remembered(tape, band, || Figures::of(tape, band));
    let nominal = figures.nominal;
    let (below, above) = figures.outside;
    let chance_out = (below + above).min(1.0);
    let verdict = judge(nominal, chance_out, contact);
    Ok(Assessment {
        nominal,
        chance_out,
        verdict,
        edge: (verdict != Verdict::Clear).then(|| edge(nominal, below, above, contact)),
        too_wide: figures.too_wide,
        figures,
    })
}

/// What a formula comes to in a band, whatever its dimensions are called.
///
/// The worst case is searched and the spread is worked out where the verdict rests on them, or else when
/// somebody asks: where bounds lie inside the band, so does all that they bound.
#[derive(Debug)]
pub struct Figures {
    nominal: f64,
    /// The chances of lying below and above the band.
    outside: (f64, f64),
    too_wide: bool,
    extent: OnceLock<Extent>,
    likely: OnceLock<Likely>,
}

impl Figures {
    pub(super) fn of(tape: &Tape, band: Band) -> Arc<Figures> {
        if !tape.is_linear() && bounds(tape, &limits(tape)).lies_in(band) {
            return Arc::new(Figures::inside(tape.nominal()));
        }
        let extent = Extent::of(tape);
        let mut figures = Figures::inside(extent.nominal);
        if !extent.worst.lies_in(band) {
            let study = Study::of(tape, &extent);
            figures.outside = study.outside(band.low, band.high);
            figures.too_wide = band.width().is_some_and(|width| study.outside_of_width(width) > CLEAR_CHANCE);
            figures.likely = OnceLock::from(Likely::of(study));
        }
        figures.extent = OnceLock::from(extent);
        Arc::new(figures)
    }

    fn inside(nominal: f64) -> Figures {
        let (extent, likely) = (OnceLock::new(), OnceLock::new());
        Figures { nominal, outside: (0.0, 0.0), too_wide: false, extent, likely }
    }

    /// The worst case of the formula that these figures are of.
    pub fn worst(&self, formula: &Expr) -> Worst {
        self.extent.get_or_init(|| Extent::of(&Tape::new(formula))).worst
    }

    /// How the result of the formula spreads that these figures are of.
    pub fn likely(&self, formula: &Expr) -> &Likely {
        self.likely.get_or_init(|| {
            let tape = Tape::new(formula);
            Likely::of(Study::of(&tape, self.extent.get_or_init(|| Extent::of(&tape))))
        })
    }
}

impl Likely {
    fn of(study: Study) -> Likely {
        let (low, high) = study.likely();
        Likely { low, high, shares: study.shares }
    }
}

fn edge(nominal: f64, below: f64, above: f64, contact: Band) -> Edge {
    let under = contact.low.is_some_and(|low| nominal < low - HALF_DIGIT);
    let over = contact.high.is_some_and(|high| high + HALF_DIGIT < nominal);
    if under || !over && below >= above { Edge::Closer } else { Edge::Looser }
}

#[cfg(test)]
mod tests {
    use super::super::expr::Shape;
    use super::super::zoo::{shaped, size};
    use super::*;

    fn gap(dial: f64) -> Expr {
        size("case.dial_seat", 27.22, 0.02, 0.02) - size("dial.diameter", dial, 0.05, 0.05)
    }

    fn dial_in_seat(dial: f64) -> Assessment {
        assess(&gap(dial), Band::between(0.03, 0.60), Band::at_least(0.0)).expect("all is measured")
    }

    #[test]
    fn a_dial_with_room_is_clear() {
        let found = dial_in_seat(27.10);
        assert_eq!(found.verdict, Verdict::Clear);
        assert_eq!((found.chance_out, found.edge), (0.0, None));
        let worst = found.figures.worst(&gap(27.10));
        assert!((worst.low - 0.05).abs() < 1e-9 && (worst.high - 0.19).abs() < 1e-9);
        let spread = found.figures.likely(&gap(27.10));
        assert!((spread.shares[1] - 25.0 / 29.0).abs() < 1e-9);
        let likely = 1.959_964 * libm::sqrt(0.0029) / 3.0;
        assert!((spread.low - (0.12 - likely)).abs() < 1e-6);
    }

    #[test]
    fn a_dial_too_wide_fouls_and_a_snug_one_is_tight() {
        let snug = dial_in_seat(27.19);
        assert_eq!((snug.verdict, snug.edge), (Verdict::Tight, Some(Edge::Closer)));
        assert!((snug.chance_out - 0.5).abs() < 0.01);
        assert_eq!(dial_in_seat(27.23).verdict, Verdict::Fouls);
        let loose = dial_in_seat(26.0);
        assert_eq!((loose.verdict, loose.edge), (Verdict::Tight, Some(Edge::Looser)));
    }

    #[test]
    fn comparisons_are_made_at_a_tenth_of_a_micrometre() {
        assert!(Band::at_least(0.03).holds(0.029_951));
        assert!(!Band::at_least(0.03).holds(0.029_949));
    }

    #[test]
    fn a_spread_wider_than_the_band_says_so() {
        let grip = size("post", 0.90, 0.02, 0.02) - shaped("bore", 0.885, 0.02, 0.02, Shape::Uniform);
        let found = assess(&grip, Band::between(0.005, 0.030), Band::between(0.0, 0.060));
        assert!(found.is_ok_and(|found| found.too_wide && found.verdict == Verdict::Tight));
    }

    #[test]
    fn what_is_missing_is_named() {
        let mut term = Term {
            name: "case.shelf".into(),
            value: None,
            plus: 0.0,
            minus: 0.0,
            shape: Shape::Normal,
            tag: 7,
        };
        let found = assess(&(Expr::leaf(term.clone()) - 1.0), Band::OPEN, Band::OPEN);
        assert_eq!(found.err().map(|missing| missing[0].tag), Some(7));
        term.value = Some(2.0);
        assert!(assess(&(Expr::leaf(term) - 1.0), Band::OPEN, Band::OPEN).is_ok());
    }

    #[test]
    fn verdicts_stand_in_order_of_trouble() {
        assert!(Verdict::Clear < Verdict::Unmeasured);
        assert!(Verdict::Unmeasured < Verdict::Tight && Verdict::Tight < Verdict::Fouls);
    }
}
