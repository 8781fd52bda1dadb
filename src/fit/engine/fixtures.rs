//! Formulas of every kind, with dimensions drawn from a seed, and ways to attack their worst case.

use super::expression::compiled::{Compiled, Scratch};
use super::expression::expr::{Expr, Name, Shape, Term};
use super::numbers::interval::Interval;

/// A dimension with normal spread.
pub(super) fn size(name: impl Into<Name>, value: f64, plus: f64, minus: f64) -> Expr {
    shaped(name, value, plus, minus, Shape::Normal)
}

/// A dimension with a given spread.
pub(super) fn shaped(name: impl Into<Name>, value: f64, plus: f64, minus: f64, shape: Shape) -> Expr {
    Expr::leaf(Term { name: name.into(), value: Some(value), plus, minus, shape, tag: 0 })
}

/// A small generator (splitmix64) for reproducible attacks.
pub(super) struct Dice(pub(super) u64);

impl Dice {
    pub(super) fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    /// A standard normal number (Box and Muller).
    fn normal(&mut self) -> f64 {
        let (u, v) = (1.0 - self.unit(), self.unit());
        libm::sqrt(-2.0 * libm::log(u)) * libm::cos(std::f64::consts::TAU * v)
    }

    /// A number near `middle`, up to `off` away.
    fn near(&mut self, middle: f64, off: f64) -> f64 {
        middle + off * (2.0 * self.unit() - 1.0)
    }

    fn size(&mut self, name: impl Into<Name>, middle: f64, off: f64, tolerance: f64) -> Expr {
        let value = self.near(middle, off);
        let (plus, minus) = (tolerance * self.unit(), tolerance * self.unit());
        let shape = if self.unit() < 0.5 { Shape::Normal } else { Shape::Uniform };
        shaped(name, value, plus, minus, shape)
    }
}

/// Formulas with every kind of node, as the checks have them.
pub(super) fn formulas(seed: u64) -> Vec<(&'static str, Expr)> {
    let mut dice = Dice(seed);
    let d = &mut dice;
    vec![
        ("seat", d.size("seat", 27.2, 0.2, 0.1) - d.size("dial", 27.1, 0.2, 0.1)),
        ("insert", (d.size("a", 31.0, 0.2, 0.2) - d.size("b", 30.0, 0.2, 0.2)) / 2.0),
        (
            "squeeze",
            1.0 - (d.size("seat", 31.0, 0.1, 0.05) - d.size("glass", 30.2, 0.1, 0.05))
                / 2.0
                / d.size("section", 0.45, 0.1, 0.05),
        ),
        (
            "strength",
            d.size("strength", 300.0, 100.0, 50.0) * d.size("t", 1.5, 0.4, 0.1).square()
                / (1.24 * d.size("p", 0.3, 0.1, 0.05) * d.size("r", 15.0, 2.0, 0.1).square()),
        ),
        ("crystal", crystal(d)),
        (
            "box crystal",
            Expr::sag(d.size("r", 13.5, 1.0, 0.3), d.size("a", 13.8, 0.5, 0.2), d.size("i", 1.5, 1.4, 0.2)),
        ),
        ("ring", ring(d)),
        ("date along", date(d, true)),
        ("date across", date(d, false)),
        (
            "upright",
            (d.size("window", 92.0, 3.0, 1.0)
                - (d.size("crown", 90.0, 3.0, 0.5) + d.size("date", 0.0, 2.0, 0.25)))
            .abs(),
        ),
        (
            "pipe",
            d.size("u", 1.4, 0.2, 0.05) - d.size("t", 1.1, 0.1, 0.05).max(d.size("pipe", 1.1, 0.1, 0.1)),
        ),
        (
            "root",
            (d.size("a", 2.0, 0.5, 0.3) * d.size("b", 1.0, 0.5, 0.3) - d.size("c", 1.0, 0.5, 0.2)).sqrt(),
        ),
        ("two feet", feet(d, 2, 2)),
        ("three feet in two holes", feet(d, 3, 2)),
        ("two feet in four holes", feet(d, 2, 4)),
    ]
}

fn crystal(d: &mut Dice) -> Expr {
    let length = d.size("length", 12.5, 0.6, 0.1);
    let over = d.size("shelf", 1.7, 0.1, 0.05)
        + Expr::sag(length, d.size("aperture", 14.0, 1.0, 0.1), d.size("rise", 0.5, 0.5, 0.05));
    over - (d.size("top", 1.5, 0.1, 0.05) + d.size("proud", 0.0, 0.01, 0.05))
}

/// The least inner radius between a hand's underside and its top, as the geometry writes it.
fn ring(d: &mut Dice) -> Expr {
    let top_of_hand = d.size("top of hand", 1.0, 0.5, 0.05);
    let thickness = d.size("thickness", 0.15, 0.1, 0.02);
    let foot = d.size("shim", 0.05, 0.05, 0.03) + d.size("dial", 0.4, 0.05, 0.03);
    let bottom = d.size("bottom", 26.0, 0.3, 0.05) / 2.0;
    let top = d.size("top", 28.0, 2.5, 0.05) / 2.0;
    let height = d.size("height", 1.0, 0.3, 0.05);
    let above = top.clone().min(d.size("gasket", 28.0, 0.5, 0.1) / 2.0);
    let cone = |part: Expr| &bottom + (&top - &bottom) * part.max(0.0).min(1.0);
    let up = &top_of_hand - &foot;
    let (part, thick) = (&up / &height, &thickness / &height);
    let under = &part - &thick;
    let within = cone(part).min(cone(under.clone().min(1.0 - &thick)));
    let beyond = above.min(cone(under.max(1.0 - &thick)));
    Expr::choose(up - &height, within, beyond) - d.size("length", 12.5, 0.3, 0.1)
}

fn date(d: &mut Dice, along: bool) -> Expr {
    let turned = d.size("date.at", 0.0, 3.0, 0.25) + d.size("crown", 90.0, 20.0, 0.25)
        - d.size("window.at", 90.0, 20.0, 0.25);
    let angle = turned.nearest_turn(360.0 / 31.0);
    let (figure, window) = (d.size("figure", 10.6, 0.2, 0.02), d.size("window", 10.6, 0.2, 0.05));
    if along {
        (d.size("along", 2.6, 0.1, 0.05) - 1.8) / 2.0 - (figure * angle.cos_deg() - window).abs()
    } else {
        (d.size("across", 1.9, 0.1, 0.05) - 1.5) / 2.0 - (figure * angle.sin_deg()).abs()
    }
}

/// The pairing of feet that nearly fit their holes.
pub(super) fn feet(d: &mut Dice, feet: usize, holes: usize) -> Expr {
    let crown = d.size("crown", 0.0, 0.2, 0.25);
    let angles = [160.0, 335.0, 30.0, 250.0];
    let off = 0.3;
    let hole: Vec<(Expr, Expr, Expr)> = (0..holes)
        .map(|n| {
            let radius = d.size(format!("hole {n} radius"), 12.6, 0.02, 0.02);
            let at = d.size(format!("hole {n} at"), angles[n], 0.1, 0.05) + &crown;
            (radius, at, d.size(format!("hole {n} diameter"), 0.75, 0.02, 0.02))
        })
        .collect();
    let gaps = (0..feet)
        .map(|n| {
            let radius = d.size(format!("foot {n} radius"), 12.6, off, 0.05);
            let at = d.size(format!("foot {n} at"), angles[n], off, 0.25);
            let thick = d.size(format!("foot {n} diameter"), 0.70, 0.02, 0.02);
            hole.iter()
                .map(|(far, there, wide)| (wide - &thick) / 2.0 - Expr::apart(&radius, far, there - &at))
                .collect()
        })
        .collect();
    Expr::pairing(gaps, (d.unit() * feet as f64) as usize)
}

/// The least and greatest that corners, random points and a crude optimiser find.
pub(super) fn beaten_by(compiled: &Compiled, limits: &[Interval], seed: u64) -> (f64, f64) {
    let mut dice = Dice(seed ^ 0x5EED);
    let mut scratch = Scratch::new();
    let mut value = |point: &[f64]| compiled.value(point, &mut scratch);
    let (mut low, mut high) = ((f64::INFINITY, Vec::new()), (f64::NEG_INFINITY, Vec::new()));
    let mut look = |point: &[f64]| {
        let y = value(point);
        if y < low.0 {
            low = (y, point.to_vec());
        }
        if y > high.0 {
            high = (y, point.to_vec());
        }
    };
    if limits.len() <= 12 {
        for corner in 0u32..1 << limits.len() {
            let end = |(n, limit): (usize, &Interval)| if corner >> n & 1 == 0 { limit.lo } else { limit.hi };
            look(&limits.iter().enumerate().map(end).collect::<Vec<f64>>());
        }
    }
    for _ in 0..10_000 {
        let inside = |limit: &Interval| limit.lo + dice.unit() * limit.width();
        look(&limits.iter().map(inside).collect::<Vec<f64>>());
    }
    let climbed = |sign: f64, start: (f64, Vec<f64>)| climb(compiled, limits, sign, start);
    (climbed(1.0, low), climbed(-1.0, high))
}

/// Coordinate steps that halve when none helps.
fn climb(compiled: &Compiled, limits: &[Interval], sign: f64, (mut best, mut point): (f64, Vec<f64>)) -> f64 {
    let mut scratch = Scratch::new();
    let mut step = 0.5;
    let mut rounds = 0;
    // A bent valley would take for ever; what it gains late is below what is compared.
    while step > 1e-9 && rounds < 400 {
        rounds += 1;
        let mut helped = false;
        for n in 0..point.len() {
            for way in [-1.0, 1.0] {
                let before = point[n];
                point[n] = (before + way * step * limits[n].width()).clamp(limits[n].lo, limits[n].hi);
                let y = compiled.value(&point, &mut scratch);
                if sign * y < sign * best - 1e-12 {
                    (best, helped) = (y, true);
                } else {
                    point[n] = before;
                }
            }
        }
        if !helped {
            step *= 0.5;
        }
    }
    best
}

/// The formula at plain random points, in rising order.
pub(super) fn monte_carlo(compiled: &Compiled, points: usize, seed: u64) -> Vec<f64> {
    let mut dice = Dice(seed ^ 0xCA5E);
    let mut scratch = Scratch::new();
    let mut leaves = vec![0.0; compiled.terms.len()];
    let mut values = Vec::with_capacity(points);
    for _ in 0..points {
        for (leaf, term) in leaves.iter_mut().zip(&compiled.terms) {
            let (middle, half) = term.middle_and_half();
            *leaf = middle
                + half
                    * match term.shape {
                        Shape::Uniform => 2.0 * dice.unit() - 1.0,
                        Shape::Normal => dice.normal() / 3.0,
                    };
        }
        values.push(compiled.value(&leaves, &mut scratch));
    }
    values.sort_unstable_by(f64::total_cmp);
    values
}
