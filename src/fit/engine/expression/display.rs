//! Formulas in print: with the names of the dimensions, and with their numbers.

use crate::measure::figure;

use super::compiled::{Compiled, Scratch};
use super::expr::{Expr, Node};
use crate::fit::engine::numbers::number::Number;
use crate::fit::engine::numbers::pairing::best_pairing;

impl Expr {
    /// The formula with the names of its dimensions: `case.dial_seat − dial.diameter`.
    pub fn symbols(&self) -> String {
        Printer { numbers: false }.whole(self)
    }

    /// The formula with the numbers put in, and what it comes to: `27.22 − 27.10 = 0.12`; a
    /// dimension without a value stands as its name, and then nothing is said after it.
    pub fn numbers(&self) -> String {
        let mut text = Printer { numbers: true }.whole(self);
        if let Some(value) = value(self)
            && self.constant().is_none()
            && !matches!(*self.0, Node::Leaf(_))
        {
            text.push_str(" = ");
            text.push_str(&figure(value));
        }
        text
    }
}

/// The nominal result; `None` where a dimension is missing.
fn value(expr: &Expr) -> Option<f64> {
    let compiled = Compiled::new(expr);
    let leaves: Option<Vec<f64>> = compiled.terms.iter().map(|term| term.value).collect();
    Some(compiled.value(&leaves?, &mut Scratch::new()))
}

/// How tightly the outermost operation of a text binds.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Binds {
    Sum,
    Product,
    Sign,
    Whole,
}

struct Printer {
    numbers: bool,
}

impl Printer {
    fn whole(&self, expr: &Expr) -> String {
        self.print(expr).0
    }

    /// The text, in brackets where it binds less tightly than its place asks.
    fn part(&self, expr: &Expr, at_least: Binds) -> String {
        let (text, binds) = self.print(expr);
        if binds < at_least { format!("({text})") } else { text }
    }

    fn print(&self, expr: &Expr) -> (String, Binds) {
        use Binds::{Product, Sign, Sum, Whole};
        let whole = |text: String| (text, Whole);
        match &*expr.0 {
            Node::Const(x) => self.constant(*x),
            Node::Leaf(term) => match term.value.filter(|_| self.numbers) {
                Some(x) => signed(x, figure(x)),
                None => whole(term.name.to_string()),
            },
            Node::Neg(a) => (format!("\u{2212}{}", self.part(a, Whole)), Sign),
            Node::Add(a, b) => (format!("{} + {}", self.part(a, Sum), self.part(b, Product)), Sum),
            Node::Sub(a, b) => (format!("{} \u{2212} {}", self.part(a, Sum), self.part(b, Product)), Sum),
            Node::Mul(a, b) if std::ptr::eq(&*a.0, &*b.0) => match self.part(a, Whole) {
                base if base.ends_with('\u{b2}') => (format!("({base})\u{b2}"), Product),
                base => whole(format!("{base}\u{b2}")),
            },
            Node::Mul(a, b) => (format!("{} \u{d7} {}", self.part(a, Product), self.part(b, Sign)), Product),
            Node::Div(a, b) => (format!("{} / {}", self.part(a, Product), self.part(b, Whole)), Product),
            Node::Abs(a) => whole(format!("abs({})", self.whole(a))),
            Node::Sqrt(a) => whole(format!("\u{221a}({})", self.whole(a))),
            Node::SinDeg(a) => whole(format!("sin({}\u{b0})", self.part(a, Whole))),
            Node::CosDeg(a) => whole(format!("cos({}\u{b0})", self.part(a, Whole))),
            Node::Min(..) => whole(format!("least of ({})", self.several(expr, true))),
            Node::Max(..) => whole(format!("greatest of ({})", self.several(expr, false))),
            Node::Hypot(a, b) => {
                whole(format!("\u{221a}({}\u{b2} + {}\u{b2})", self.part(a, Whole), self.part(b, Whole)))
            }
            Node::Turn { angle, pitch } => {
                whole(format!("to the nearest turn({}; {})", self.whole(angle), self.whole(pitch)))
            }
            Node::Apart { r, other, angle } => whole(format!(
                "distance({}; {}, {}\u{b0})",
                self.whole(r),
                self.whole(other),
                self.whole(angle)
            )),
            Node::Sag { r, aperture, rise } => {
                whole(format!("sag({}; {}, {})", self.whole(r), self.whole(aperture), self.whole(rise)))
            }
            Node::Named { label, of } => match value(of).filter(|_| self.numbers) {
                Some(x) => signed(x, figure(x)),
                None => whole((*label).to_owned()),
            },
            Node::Choose { at_most_zero, then, otherwise } => self.choice(at_most_zero, then, otherwise),
            Node::Pairing { gaps, foot } => self.pairing(gaps, *foot),
        }
    }

    fn constant(&self, x: f64) -> (String, Binds) {
        let text = format!("{}", libm::fabs(x));
        let text = match text.len() > 8 {
            // A factor of an elastic formula is far below what four decimals show.
            true if libm::fabs(x) < 1e-3 => format!("{:.3e}", libm::fabs(x)),
            true => figure(libm::fabs(x)),
            false => text,
        };
        if x < 0.0 { (format!("\u{2212}{text}"), Binds::Sign) } else { (text, Binds::Whole) }
    }

    /// The arguments of nested minima (or maxima) as one list.
    fn several(&self, expr: &Expr, least: bool) -> String {
        match &*expr.0 {
            Node::Min(a, b) if least => {
                format!("{}; {}", self.several(a, least), self.several(b, least))
            }
            Node::Max(a, b) if !least => {
                format!("{}; {}", self.several(a, least), self.several(b, least))
            }
            _ => self.whole(expr),
        }
    }

    /// With numbers only what is chosen stands.
    fn choice(&self, at_most_zero: &Expr, then: &Expr, otherwise: &Expr) -> (String, Binds) {
        match value(at_most_zero).filter(|_| self.numbers) {
            Some(x) if x <= 0.0 => self.print(then),
            Some(_) => self.print(otherwise),
            None => {
                let text = format!(
                    "({} where {} \u{2264} 0, else {})",
                    self.whole(then),
                    self.whole(at_most_zero),
                    self.whole(otherwise)
                );
                (text, Binds::Whole)
            }
        }
    }

    /// With numbers only the gap to the foot's own hole stands.
    fn pairing(&self, gaps: &[Vec<Expr>], foot: usize) -> (String, Binds) {
        let holes = gaps[0].len();
        let values: Option<Vec<f64>> = gaps.iter().flatten().map(value).collect();
        match values.filter(|_| self.numbers) {
            Some(values) => match best_pairing(&values, holes)[foot] {
                Some(hole) => self.print(&gaps[foot][hole]),
                None => ("no hole".into(), Binds::Whole),
            },
            None => {
                let own: Vec<String> = gaps[foot].iter().map(|gap| self.whole(gap)).collect();
                (format!("paired best of ({})", own.join("; ")), Binds::Whole)
            }
        }
    }
}

fn signed(x: f64, text: String) -> (String, Binds) {
    (text, if Number::min(x, 0.0) < 0.0 { Binds::Sign } else { Binds::Whole })
}

#[cfg(test)]
mod tests {
    use super::super::expr::{Expr, Shape, Term};

    fn size(name: &'static str, value: impl Into<Option<f64>>) -> Expr {
        Expr::leaf(Term {
            name: name.into(),
            value: value.into(),
            plus: 0.0,
            minus: 0.0,
            shape: Shape::Normal,
            tag: 0,
        })
    }

    #[test]
    fn a_difference_reads_as_a_watchmaker_writes_it() {
        let gap = size("case.dial_seat", 27.22) - size("dial.diameter", 27.1);
        assert_eq!(gap.symbols(), "case.dial_seat \u{2212} dial.diameter");
        assert_eq!(gap.numbers(), "27.22 \u{2212} 27.10 = 0.12");
    }

    #[test]
    fn brackets_stand_only_where_they_are_needed() {
        let (a, b, c) = (size("a", 1.0), size("b", 2.5), size("c", -0.125));
        let sum = |x: &Expr, y: &Expr| x + y;
        assert_eq!((&a - sum(&b, &c)).symbols(), "a \u{2212} (b + c)");
        assert_eq!((sum(&a, &b) - &c).symbols(), "a + b \u{2212} c");
        assert_eq!((sum(&a, &b) / 2.0).symbols(), "(a + b) / 2");
        assert_eq!((&a / (&b * &c)).symbols(), "a / (b \u{d7} c)");
        assert_eq!((-sum(&a, &b)).symbols(), "\u{2212}(a + b)");
        assert_eq!((&a * &c).numbers(), "1.00 \u{d7} \u{2212}0.125 = \u{2212}0.125");
        assert_eq!(a.clone().square().symbols(), "a\u{b2}");
        assert_eq!(a.clone().square().square().symbols(), "(a\u{b2})\u{b2}");
        assert_eq!(b.numbers(), "2.50");
        assert_eq!((&a * 0.000_000_123_456).symbols(), "a \u{d7} 1.235e-7");
    }

    #[test]
    fn special_parts_are_words() {
        let sag = Expr::sag(size("r", 12.6), size("a", 14.1), size("i", 0.2));
        assert_eq!(sag.numbers(), "sag(12.60; 14.10, 0.20) = 0.0403");
        let least = Expr::least([size("a", 1.0), size("b", 2.0), size("c", 3.0)]);
        assert_eq!(least.unwrap_or(0.0.into()).symbols(), "least of (a; b; c)");
        let either = Expr::choose(size("z", 1.0), size("cone", 3.0), size("bore", 4.0));
        assert_eq!(either.symbols(), "(cone where z \u{2264} 0, else bore)");
        assert_eq!(either.numbers(), "4.00 = 4.00");
        assert_eq!((size("a", None) - 0.5).numbers(), "a \u{2212} 0.5");
    }
}
