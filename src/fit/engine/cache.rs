//! Formulas that were assessed before: watches share calibres and parts, and a formula whose sizes
//! are the same comes to the same statistics.

use std::collections::HashMap;
use std::sync::Arc;

use super::expression::compiled::Compiled;
use super::expression::expr::Shape;
use super::expression::program::Op;
use super::verdict::Band;

/// So many that were asked lately are remembered by each thread, and as many that were before.
const MOST: usize = 1024;

/// What many watches share is asked again before it is forgotten: of what grows too many, those go
/// that nobody asked for since the last time that others went.
#[derive(Debug)]
pub(super) struct Cache<V> {
    recent: HashMap<Vec<u64>, Arc<V>>,
    earlier: HashMap<Vec<u64>, Arc<V>>,
}

impl<V> Default for Cache<V> {
    fn default() -> Cache<V> {
        Cache { recent: HashMap::new(), earlier: HashMap::new() }
    }
}

impl<V> Cache<V> {
    /// What stands under a key.
    pub(super) fn get(&mut self, key: &Vec<u64>) -> Option<Arc<V>> {
        if let Some(known) = self.recent.get(key) {
            return Some(known.clone());
        }
        let (key, known) = self.earlier.remove_entry(key)?;
        self.insert(key, known.clone());
        Some(known)
    }

    /// Puts a value under its key.
    pub(super) fn insert(&mut self, key: Vec<u64>, value: Arc<V>) {
        if self.recent.len() >= MOST {
            self.earlier = std::mem::take(&mut self.recent);
        }
        self.recent.insert(key, value);
    }
}

/// All that statistics rest on, to the last bit: the operations, the sizes and the band, not the names.
pub(super) fn key(compiled: &Compiled, band: Band) -> Vec<u64> {
    let mut key = Vec::with_capacity(4 + 3 * (compiled.ops.len() + compiled.terms.len()));
    for end in [band.low, band.high] {
        key.push(u64::from(end.is_some()));
        key.push(end.unwrap_or(0.0).to_bits());
    }
    key.extend([compiled.result.into(), compiled.gaps.len() as u64]);
    key.extend(compiled.gaps.iter().map(|gap| u64::from(*gap)));
    for term in &compiled.terms {
        key.push(u64::from(term.value.is_some()) | u64::from(term.shape == Shape::Uniform) << 1);
        key.extend([term.value.unwrap_or(0.0), term.plus, term.minus].map(f64::to_bits));
    }
    for op in &compiled.ops {
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
    use super::super::expression::expr::Expr;
    use super::super::fixtures::{shaped, size};
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
        .map(|(formula, low)| key(&Compiled::new(formula), Band::at_least(*low)))
        .collect();
        for (at, one) in all.iter().enumerate() {
            assert!(all[at + 1..].iter().all(|other| other != one), "{at}");
        }
        let other = key(&Compiled::new(&gap("b", 1.0, Shape::Normal)), Band::at_least(0.0));
        assert_eq!(other, all[0]);
    }

    #[test]
    fn what_is_asked_again_and_again_is_not_forgotten() {
        let mut cache = Cache::default();
        cache.insert(vec![0], Arc::new(0));
        for other in 1..4 * MOST as u64 {
            cache.insert(vec![other], Arc::new(other));
            assert_eq!(cache.get(&vec![0]).as_deref(), Some(&0), "{other}");
        }
        assert!(cache.get(&vec![1]).is_none());
        assert!(cache.recent.len() <= MOST && cache.earlier.len() <= MOST);
    }
}
