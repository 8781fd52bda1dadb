//! Formulas that were assessed before: watches share calibres and parts, and a formula whose sizes
//! are the same comes to the same figures.

use std::cell::RefCell;
use std::collections::HashMap;
use std::sync::Arc;

use super::expr::Shape;
use super::program::Op;
use super::tape::Tape;
use super::verdict::{Band, Figures};

/// So many that were asked lately are remembered by each thread, and as many that were before.
const MOST: usize = 1024;

/// What many watches share is asked again before it is forgotten: of what grows too many, those go
/// that nobody asked for since the last time that others went.
#[derive(Default)]
struct Known {
    lately: HashMap<Vec<u64>, Arc<Figures>>,
    before: HashMap<Vec<u64>, Arc<Figures>>,
}

thread_local! {
    /// Nothing but time depends on what is in it.
    static KNOWN: RefCell<Known> = RefCell::default();
}

impl Known {
    fn get(&mut self, key: &Vec<u64>) -> Option<Arc<Figures>> {
        if let Some(known) = self.lately.get(key) {
            return Some(known.clone());
        }
        let (key, known) = self.before.remove_entry(key)?;
        self.keep(key, known.clone());
        Some(known)
    }

    fn keep(&mut self, key: Vec<u64>, figures: Arc<Figures>) {
        if self.lately.len() >= MOST {
            self.before = std::mem::take(&mut self.lately);
        }
        self.lately.insert(key, figures);
    }
}

/// The figures of a formula in a band: those of the last time where it was asked before.
pub(super) fn remembered(tape: &Tape, band: Band, work: impl FnOnce() -> Arc<Figures>) -> Arc<Figures> {
    // A straight formula is worked out sooner than it is looked up.
    if tape.is_linear() {
        return work();
    }
    let key = key(tape, band);
    if let Some(known) = KNOWN.with_borrow_mut(|known| known.get(&key)) {
        return known;
    }
    let figures = work();
    KNOWN.with_borrow_mut(|known| known.keep(key, figures.clone()));
    figures
}

/// All that figures rest on, to the last bit: the operations, the sizes and the band, not the names.
fn key(tape: &Tape, band: Band) -> Vec<u64> {
    let mut key = Vec::with_capacity(4 + 3 * (tape.ops.len() + tape.terms.len()));
    for end in [band.low, band.high] {
        key.push(u64::from(end.is_some()));
        key.push(end.unwrap_or(0.0).to_bits());
    }
    key.extend([tape.result.into(), tape.gaps.len() as u64]);
    key.extend(tape.gaps.iter().map(|gap| u64::from(*gap)));
    for term in &tape.terms {
        key.push(u64::from(term.value.is_some()) | u64::from(term.shape == Shape::Uniform) << 1);
        key.extend([term.value.unwrap_or(0.0), term.plus, term.minus].map(f64::to_bits));
    }
    for op in &tape.ops {
        let (kind, of): (u64, [u32; 3]) = match *op {
            Op::Const(value) => {
                key.extend([0, value.to_bits()]);
                continue;
            }
            Op::Leaf(a) => (1, [a, 0, 0]),
            Op::Neg(a) => (2, [a, 0, 0]),
            Op::Square(a) => (3, [a, 0, 0]),
            Op::Abs(a) => (4, [a, 0, 0]),
            Op::Sqrt(a) => (5, [a, 0, 0]),
            Op::SinDeg(a) => (6, [a, 0, 0]),
            Op::CosDeg(a) => (7, [a, 0, 0]),
            Op::Add(a, b) => (8, [a, b, 0]),
            Op::Sub(a, b) => (9, [a, b, 0]),
            Op::Mul(a, b) => (10, [a, b, 0]),
            Op::Div(a, b) => (11, [a, b, 0]),
            Op::Min(a, b) => (12, [a, b, 0]),
            Op::Max(a, b) => (13, [a, b, 0]),
            Op::Hypot(a, b) => (14, [a, b, 0]),
            Op::Turn(a, b) => (15, [a, b, 0]),
            Op::Apart(a, b, c) => (16, [a, b, c]),
            Op::Sag(a, b, c) => (17, [a, b, c]),
            Op::Choose(a, b, c) => (18, [a, b, c]),
            Op::Pairing { start, feet, holes, foot } => {
                (19, [start, u32::from(feet) << 16 | u32::from(holes) << 8 | u32::from(foot), 0])
            }
        };
        let [a, b, c] = of.map(u64::from);
        key.extend([kind | a << 8, b | c << 32]);
    }
    key
}

#[cfg(test)]
mod tests {
    use super::super::expr::Expr;
    use super::super::verdict::assess;
    use super::super::zoo::{shaped, size};
    use super::*;

    fn gap(name: &'static str, angle: f64, shape: Shape) -> Expr {
        let angle = shaped(name, angle, 0.5, 0.5, shape);
        size("window", 1.2, 0.02, 0.02) - (size("radius", 10.6, 0.02, 0.02) * angle.sin_deg()).abs()
    }

    #[test]
    fn every_size_and_the_band_count_and_names_do_not() {
        let all: Vec<Vec<u64>> = [
            (gap("a", 1.0, Shape::Normal), 0.0),
            (gap("a", 1.0 + f64::EPSILON, Shape::Normal), 0.0),
            (gap("a", 1.0, Shape::Uniform), 0.0),
            (gap("a", 1.0, Shape::Normal), 0.1),
            (gap("a", 1.0, Shape::Normal) + 0.5, 0.0),
        ]
        .iter()
        .map(|(formula, low)| key(&Tape::new(formula), Band::at_least(*low)))
        .collect();
        for (at, one) in all.iter().enumerate() {
            assert!(all[at + 1..].iter().all(|other| other != one), "{at}");
        }
        let other = key(&Tape::new(&gap("b", 1.0, Shape::Normal)), Band::at_least(0.0));
        assert_eq!(other, all[0]);
    }

    #[test]
    fn what_is_asked_again_and_again_is_not_forgotten() {
        let of = |low| Figures::of(&Tape::new(&gap("a", 1.0, Shape::Normal)), Band::at_least(low));
        let (wanted, others) = (of(0.7), of(0.1));
        let asked = format!("{wanted:?}");
        let mut known = Known::default();
        known.keep(vec![0], wanted);
        for other in 1..4 * MOST as u64 {
            known.keep(vec![other], others.clone());
            let found = known.get(&vec![0]).map(|figures| format!("{figures:?}"));
            assert_eq!(found.as_ref(), Some(&asked), "{other}");
        }
        assert!(known.get(&vec![1]).is_none());
        assert!(known.lately.len() <= MOST && known.before.len() <= MOST);
    }

    #[test]
    fn what_is_remembered_is_what_was_worked_out() {
        let asked = |name| assess(&gap(name, 2.0, Shape::Normal), Band::at_least(0.8), Band::at_least(0.5));
        let (first, again) = (asked("dial.window"), asked("dial.other"));
        let (first, again) = (first.expect("all is known"), again.expect("all is known"));
        assert_eq!((first.nominal, first.chance_out), (again.nominal, again.chance_out));
        assert!(Arc::ptr_eq(&first.figures, &again.figures));
    }
}
