//! What a formula comes to in a band: its verdict, and the statistics that this rests on.

use std::cell::RefCell;
use std::sync::{Arc, OnceLock};

use super::cache::{Cache, key};
use super::expression::compiled::Compiled;
use super::expression::expr::{Expr, Term};
use super::statistics::distribution::{Extent, Study};
use super::statistics::worst_case::{WorstCase, bounds};
use super::verdict::{Band, CLEAR_CHANCE, Edge, HALF_DIGIT, Verdict, judge};

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
    pub statistics: Arc<Statistics>,
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

/// What is said where [`Assessment::too_wide`] holds.
pub const TOO_WIDE: &str = "no calliper can make this clear: gauge it, or try the parts";

/// Assesses a formula; the missing dimensions where there are any.
pub fn assess(expr: &Expr, band: Band, contact: Band) -> Result<Assessment, Vec<Term>> {
    assess_compiled(&Compiled::new(expr), band, contact)
}

/// The same for a formula that is laid out already.
pub fn assess_compiled(compiled: &Compiled, band: Band, contact: Band) -> Result<Assessment, Vec<Term>> {
    if compiled.terms.iter().any(|term| term.value.is_none()) {
        return Err(compiled.terms.iter().filter(|term| term.value.is_none()).cloned().collect());
    }
    let statistics = statistics(compiled, band);
    let nominal = statistics.nominal;
    let (below, above) = statistics.outside;
    let chance_out = (below + above).min(1.0);
    let verdict = judge(nominal, chance_out, contact);
    Ok(Assessment {
        nominal,
        chance_out,
        verdict,
        edge: (verdict != Verdict::Clear).then(|| edge(nominal, below, above, contact)),
        too_wide: statistics.too_wide,
        statistics,
    })
}

thread_local! {
    /// Nothing but time depends on what is in it.
    static KNOWN: RefCell<Cache<Statistics>> = RefCell::default();
}

/// The statistics of a formula in a band. Watches share calibres and parts: where another formula had
/// the same operations and sizes, its statistics are these.
fn statistics(compiled: &Compiled, band: Band) -> Arc<Statistics> {
    // A straight formula is worked out sooner than it is looked up.
    if compiled.is_linear() {
        return Statistics::of(compiled, band);
    }
    let key = key(compiled, band);
    if let Some(known) = KNOWN.with_borrow_mut(|known| known.get(&key)) {
        return known;
    }
    let statistics = Statistics::of(compiled, band);
    KNOWN.with_borrow_mut(|known| known.insert(key, statistics.clone()));
    statistics
}

/// What a formula comes to in a band, whatever its dimensions are called.
///
/// The worst case is searched and the spread is worked out where the verdict rests on them, or else when
/// somebody asks: where bounds lie inside the band, so does all that they bound.
#[derive(Debug)]
pub struct Statistics {
    nominal: f64,
    /// The chances of lying below and above the band.
    outside: (f64, f64),
    too_wide: bool,
    extent: OnceLock<Extent>,
    likely: OnceLock<Likely>,
}

impl Statistics {
    fn of(compiled: &Compiled, band: Band) -> Arc<Statistics> {
        if !compiled.is_linear() && bounds(compiled, &compiled.limits()).lies_in(band) {
            return Arc::new(Statistics::inside(compiled.nominal()));
        }
        let extent = Extent::of(compiled);
        let mut statistics = Statistics::inside(extent.nominal);
        if !extent.worst.lies_in(band) {
            let study = Study::of(compiled, &extent);
            statistics.outside = study.outside(band.low, band.high);
            statistics.too_wide =
                band.width().is_some_and(|width| study.outside_of_width(width) > CLEAR_CHANCE);
            statistics.likely = OnceLock::from(Likely::of(study));
        }
        statistics.extent = OnceLock::from(extent);
        Arc::new(statistics)
    }

    fn inside(nominal: f64) -> Statistics {
        let (extent, likely) = (OnceLock::new(), OnceLock::new());
        Statistics { nominal, outside: (0.0, 0.0), too_wide: false, extent, likely }
    }

    /// The worst case of the formula that these statistics are of.
    pub fn worst(&self, formula: &Expr) -> WorstCase {
        self.extent.get_or_init(|| Extent::of(&Compiled::new(formula))).worst
    }

    /// How the result of the formula spreads that these statistics are of.
    pub fn likely(&self, formula: &Expr) -> &Likely {
        self.likely.get_or_init(|| {
            let compiled = Compiled::new(formula);
            Likely::of(Study::of(&compiled, self.extent.get_or_init(|| Extent::of(&compiled))))
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
    use super::super::expression::expr::Shape;
    use super::super::fixtures::{shaped, size};
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
        let worst = found.statistics.worst(&gap(27.10));
        assert!((worst.low - 0.05).abs() < 1e-9 && (worst.high - 0.19).abs() < 1e-9);
        let spread = found.statistics.likely(&gap(27.10));
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
    fn equal_formulas_share_their_statistics() {
        let asked = |name| {
            let angle = shaped(name, 2.0, 0.5, 0.5, Shape::Normal);
            let gap = size("window", 1.2, 0.02, 0.02) - (size("r", 10.6, 0.02, 0.02) * angle.sin_deg()).abs();
            assess(&gap, Band::at_least(0.8), Band::at_least(0.5)).expect("all is known")
        };
        let (first, again) = (asked("dial.window"), asked("dial.other"));
        assert_eq!((first.nominal, first.chance_out), (again.nominal, again.chance_out));
        assert!(Arc::ptr_eq(&first.statistics, &again.statistics));
    }
}
