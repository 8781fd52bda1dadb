//! Sizes as people write them: figures, units, tolerances, ranges, tolerance classes, origins.
//!
//! ```text
//! 28.5            28.52 ±0.02       27.40 +0.00 -0.05    27.1..27.3      28.5 h9
//! 12.5 lig        12.5'''           1.122 in             900 um
//! 0.905 gauged    ~28.5             3h    4h30    135 deg ±0.5
//! 3 bar           30 m              -5..+10 s/d
//! ```
//!
//! A tolerance without a unit of its own is in the figure's unit.

use std::fmt;

use super::quantity::{INCH, LIGNE};
use super::{Dimension, Origin, Quantity, Tolerances, clock, iso286, round};
use crate::problem::did_you_mean;

/// A size as written, before an origin and its tolerance are filled in.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Literal {
    /// In the quantity's kept unit.
    pub value: f64,
    /// How much it may lie above and below, both zero or more; `None` where nothing was written.
    pub tolerance: Option<(f64, f64)>,
    /// As written, or `None`.
    pub origin: Option<Origin>,
    quantity: Quantity,
    converted: bool,
}

impl Literal {
    /// Fills in what was not written: the origin, and the tolerance of that origin and size.
    pub fn dimension(self, default: Origin, tolerances: &Tolerances) -> Dimension {
        let origin = self.origin.unwrap_or(default);
        let (plus, minus) = self.tolerance.unwrap_or_else(|| {
            let tolerance = tolerances.of(origin, self.quantity, self.value);
            (tolerance, tolerance)
        });
        Dimension {
            value: self.value,
            plus,
            minus,
            origin,
            quantity: self.quantity,
            converted: self.converted,
        }
    }
}

/// Reads a size. The error is for the person: what is wrong and what to write instead.
pub fn parse(text: &str, quantity: Quantity) -> Result<Literal, String> {
    let mut rest = text.trim();
    let mut origin = None;
    if let Some(after) = rest.strip_prefix('~') {
        origin = Some(Origin::Assumed);
        rest = after.trim_start();
    }
    if let Some((before, word)) = last_word(rest) {
        if let Some(named) = Origin::of(word) {
            if origin.is_some() {
                return Err(format!("`{text}` says twice how it is known: leave out `~` or `{word}`"));
            }
            origin = Some(named);
            rest = before;
        } else if !before.is_empty() && looks_like_origin(word) {
            let words = Origin::ALL.map(Origin::word);
            return Err(format!("`{word}` says not how a size is known{}", did_you_mean(word, words)));
        }
    }
    let mut scan = Scan { text: rest, rest, quantity, converted: false };
    let (value, tolerance) = scan.size()?;
    scan.end()?;
    check_size(text, value, &tolerance, quantity)?;
    let (value, tolerance) = match tolerance {
        WrittenTolerance::None => (value, None),
        WrittenTolerance::Within(plus, minus) => (value, Some((plus, minus))),
        WrittenTolerance::To(high) => {
            ((value + high) / 2.0, Some(((high - value) / 2.0, (high - value) / 2.0)))
        }
    };
    Ok(Literal { value, tolerance, origin, quantity, converted: scan.converted })
}

/// Writes a size, to a tenth of a micrometre, so that [`parse`] reads the same again.
pub(super) fn print(size: &Dimension, f: &mut fmt::Formatter<'_>) -> fmt::Result {
    let (value, plus, minus) = (round(size.value), round(size.plus), round(size.minus));
    match clock::print(size.value).filter(|_| size.quantity == Quantity::Clock) {
        Some(hours) => f.write_str(&hours)?,
        None if size.quantity == Quantity::Clock => write!(f, "{value} deg")?,
        None if size.quantity == Quantity::Rate => write!(f, "{value:+}")?,
        None => write!(f, "{value}")?,
    }
    if plus != minus {
        write!(f, " +{plus} -{minus}")?;
    } else if plus > 0.0 || takes_tolerance(size.quantity) {
        write!(f, " \u{b1}{plus}")?;
    }
    if matches!(size.quantity, Quantity::Pressure | Quantity::Rate) {
        write!(f, " {}", size.quantity.unit())?;
    }
    write!(f, " {}", size.origin.word())
}

fn takes_tolerance(quantity: Quantity) -> bool {
    matches!(quantity, Quantity::Length | Quantity::Height | Quantity::Clock)
}

enum WrittenTolerance {
    None,
    Within(f64, f64),
    To(f64),
}

/// Reads from the left; `rest` is what is still unread of `text`.
struct Scan<'a> {
    text: &'a str,
    rest: &'a str,
    quantity: Quantity,
    /// A unit was read that no power of ten turns into the kept one.
    converted: bool,
}

impl Scan<'_> {
    fn size(&mut self) -> Result<(f64, WrittenTolerance), String> {
        if self.quantity == Quantity::Clock {
            return self.direction();
        }
        let first = self.figure()?;
        if let Some(after) = self.rest.strip_prefix("..") {
            self.rest = after;
            let last = self.figure()?;
            let factor = self.unit()?.unwrap_or(1.0);
            return Ok((first * factor, WrittenTolerance::To(last * factor)));
        }
        let mut factor = self.unit()?;
        let class = self.class();
        if let Some(class) = class {
            let size = first * factor.unwrap_or(1.0);
            let (upper, lower) = iso286::limits(size, class).map_err(|fault| fault.to_string())?;
            // The deviations of a class are both on one side of the size: the size to aim at is the
            // middle of its zone, so that plus and minus stay what they are elsewhere.
            let middle = (upper + lower) / 2.0;
            let half = (upper - lower) / 2.0;
            return Ok((size + middle, WrittenTolerance::Within(half, half)));
        }
        let spread = self.tolerance(&mut factor)?;
        let factor = factor.unwrap_or(1.0);
        Ok((first * factor, spread))
    }

    fn direction(&mut self) -> Result<(f64, WrittenTolerance), String> {
        let end = self.rest.find(|c: char| c.is_whitespace() || c == '\u{b1}').unwrap_or(self.rest.len());
        let degrees = if let Some(degrees) = clock::parse(&self.rest[..end]) {
            self.rest = self.rest[end..].trim_start();
            degrees
        } else {
            let figure = self.figure()?;
            if self.unit()?.is_none() {
                return Err(format!(
                    "`{}` does not say which angle it is: write `{}h` for an hour of the dial or `{} deg`",
                    self.text,
                    if (1.0..=12.0).contains(&figure) { figure.trunc() } else { 3.0 },
                    figure
                ));
            }
            figure
        };
        // Before it is turned into one round, beyond which nothing could be seen of it.
        check_size(self.text, degrees.abs(), &WrittenTolerance::None, self.quantity)?;
        let mut factor = Some(1.0);
        let spread = self.tolerance(&mut factor)?;
        Ok((clock::wrap(degrees), spread))
    }

    /// `±0.02`, `+-0.02` or `+0.00 -0.05`, with its unit before or behind.
    fn tolerance(&mut self, factor: &mut Option<f64>) -> Result<WrittenTolerance, String> {
        for sign in ["\u{b1}", "+-", "+/-"] {
            if let Some(after) = self.rest.strip_prefix(sign) {
                self.rest = after.trim_start();
                let half = self.unsigned()?;
                let own = self.tolerance_unit(factor)?;
                return Ok(WrittenTolerance::Within(half * own, half * own));
            }
        }
        if self.rest.is_empty() || !self.rest.starts_with(['+', '-', '\u{2212}']) {
            return Ok(WrittenTolerance::None);
        }
        let one = self.figure()?;
        if self.rest.is_empty() {
            return Err(format!(
                "`{}` gives one side of its tolerance only: write `\u{b1}{}`, or both sides as `+0.00 -0.05`",
                self.text,
                one.abs()
            ));
        }
        let other = self.figure()?;
        let own = self.tolerance_unit(factor)?;
        let (plus, minus) = if one >= 0.0 && other <= 0.0 { (one, -other) } else { (other, -one) };
        if plus < 0.0 || minus < 0.0 || (one > 0.0) == (other > 0.0) && one != 0.0 && other != 0.0 {
            return Err(format!(
                "the tolerance of `{}` does not enclose its figure: write `+0.00 -0.05`, plus first",
                self.text
            ));
        }
        Ok(WrittenTolerance::Within(plus * own, minus * own))
    }

    fn tolerance_unit(&mut self, factor: &mut Option<f64>) -> Result<f64, String> {
        let own = self.unit()?;
        // `28.5 ±0.02 mm`: the unit behind both belongs to both.
        if factor.is_none() {
            *factor = own;
        }
        Ok(own.or(*factor).unwrap_or(1.0))
    }

    fn unsigned(&mut self) -> Result<f64, String> {
        let figure = self.figure()?;
        if figure < 0.0 {
            return Err(format!("the tolerance of `{}` has two signs", self.text));
        }
        Ok(figure)
    }

    /// A plain decimal figure: no exponent, no thousands mark, no comma.
    fn figure(&mut self) -> Result<f64, String> {
        let rest = self.rest.trim_start();
        let sign = rest.chars().next().filter(|c| matches!(c, '+' | '-' | '\u{2212}'));
        let digits = &rest[sign.map_or(0, char::len_utf8)..];
        let mut end = digits.bytes().take_while(u8::is_ascii_digit).count();
        let fraction =
            digits[end..].strip_prefix('.').map(|f| f.bytes().take_while(u8::is_ascii_digit).count());
        if let Some(places) = fraction.filter(|places| *places > 0) {
            end += 1 + places;
        }
        let written = &digits[..end];
        let after = &digits[end..];
        if after.starts_with(',') && after[1..].starts_with(|c: char| c.is_ascii_digit()) {
            return Err(format!(
                "`{}` has a decimal comma: write `{}`",
                self.text,
                self.text.replace(',', ".")
            ));
        }
        if written.is_empty() {
            let example = self.quantity.example();
            let word = self.quantity.word();
            return Err(format!("`{}` is not a {word}: write it like {example}", self.text));
        }
        if after.starts_with(['e', 'E'])
            && after[1..].starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '+'))
        {
            return Err(format!("`{}` has an exponent: write the figure out", self.text));
        }
        // Longer figures are no measurements, and would only overflow.
        let before = written.split('.').next().unwrap_or_default().len();
        if before <= 20 && written.len() > 24 {
            let digits = written.bytes().filter(u8::is_ascii_digit).count();
            return Err(format!(
                "`{}` has a figure of {digits} digits, and nothing is known that well: round it",
                self.text
            ));
        }
        let value: f64 = if before > 20 { f64::INFINITY } else { written.parse().unwrap_or(f64::INFINITY) };
        self.rest = after.trim_start();
        Ok(if matches!(sign, Some('-' | '\u{2212}')) { -value } else { value })
    }

    fn unit(&mut self) -> Result<Option<f64>, String> {
        let units = self.quantity.units();
        let fitting = units.iter().filter(|(unit, _)| {
            self.rest.strip_prefix(unit).is_some_and(|after| !after.starts_with(char::is_alphanumeric))
        });
        if let Some((unit, factor)) = fitting.max_by_key(|(unit, _)| unit.len()) {
            self.rest = self.rest[unit.len()..].trim_start();
            self.converted |= *factor == LIGNE || *factor == INCH;
            return Ok(Some(*factor));
        }
        let word: String = self.rest.chars().take_while(|c| c.is_alphabetic() || *c == '/').collect();
        if word.is_empty() || self.looks_like_class() {
            return Ok(None);
        }
        let known = units.iter().map(|(unit, _)| *unit);
        let hint = did_you_mean(&word, known.clone());
        let hint = if hint.is_empty() { allowed(&known.collect::<Vec<_>>()) } else { hint };
        Err(format!("`{word}` is not a unit of a {}{hint}", self.quantity.word()))
    }

    fn looks_like_class(&self) -> bool {
        let length = matches!(self.quantity, Quantity::Length | Quantity::Height);
        let word = self.rest.split_whitespace().next().unwrap_or_default();
        let letters = word.bytes().take_while(u8::is_ascii_alphabetic).count();
        let digits = word[letters..].bytes().take_while(u8::is_ascii_digit).count();
        length && (1..=2).contains(&letters) && digits > 0 && letters + digits == word.len()
    }

    fn class(&mut self) -> Option<&str> {
        if !self.looks_like_class() {
            return None;
        }
        let end = self.rest.find(char::is_whitespace).unwrap_or(self.rest.len());
        let (class, rest) = self.rest.split_at(end);
        self.rest = rest.trim_start();
        Some(class)
    }

    fn end(&self) -> Result<(), String> {
        if self.rest.is_empty() {
            return Ok(());
        }
        let example = self.quantity.example();
        Err(format!("`{}` is not understood in `{}`: write it like {example}", self.rest, self.text))
    }
}

fn check_size(text: &str, value: f64, spread: &WrittenTolerance, quantity: Quantity) -> Result<(), String> {
    let word = quantity.word();
    if value.abs() > quantity.most() {
        let (most, unit) = (quantity.most(), quantity.unit());
        return Err(format!("`{text}` is beyond {most} {unit}: check the unit and the decimal point"));
    }
    if value < 0.0 && !quantity.signed() {
        return Err(format!("`{text}` is below zero: a {word} has no sign here"));
    }
    match spread {
        WrittenTolerance::To(high) if *high < value || high.abs() > quantity.most() => {
            Err(format!("the range `{text}` runs backwards: write the smaller figure first"))
        }
        WrittenTolerance::Within(plus, minus) if plus.max(*minus) > quantity.most() => {
            Err(format!("the tolerance of `{text}` is beyond all measure: check the decimal point"))
        }
        _ => Ok(()),
    }
}

fn allowed(units: &[&str]) -> String {
    if units.is_empty() {
        ": write the figure alone".into()
    } else {
        format!(": write one of {}", units.join(", "))
    }
}

fn last_word(text: &str) -> Option<(&str, &str)> {
    let at = text.rfind(char::is_whitespace)?;
    Some((text[..at].trim_end(), text[at..].trim_start()))
}

fn looks_like_origin(word: &str) -> bool {
    word.len() > 4 && word.bytes().all(|byte| byte.is_ascii_alphabetic()) && !word.starts_with("lig")
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn length(text: &str) -> Literal {
        parse(text, Quantity::Length).unwrap_or_else(|fault| panic!("{text}: {fault}"))
    }

    fn fault(text: &str, quantity: Quantity) -> String {
        parse(text, quantity).expect_err(text)
    }

    #[test]
    fn lengths_as_people_write_them() {
        for (text, value, tolerance, origin) in [
            ("28.5", 28.5, None, None),
            ("28.52 ±0.02", 28.52, Some((0.02, 0.02)), None),
            ("28.52 +-0.02", 28.52, Some((0.02, 0.02)), None),
            ("28.52±0.02 mm", 28.52, Some((0.02, 0.02)), None),
            ("27.40 +0.00 -0.05", 27.40, Some((0.0, 0.05)), None),
            ("27.40 +0.02 −0.05", 27.40, Some((0.02, 0.05)), None),
            ("1.122 in", 1.122 * 25.4, None, None),
            ("900 um", 0.9, None, None),
            ("900 um ±20", 0.9, Some((0.02, 0.02)), None),
            ("12.5 lig ±0.02 mm", 12.5 * quantity_ligne(), Some((0.02, 0.02)), None),
            ("0.905 gauged", 0.905, None, Some(Origin::Gauged)),
            ("~28.5", 28.5, None, Some(Origin::Assumed)),
            ("~ 28.5 ±0.3", 28.5, Some((0.3, 0.3)), Some(Origin::Assumed)),
            ("28.5 ±0.1 stated", 28.5, Some((0.1, 0.1)), Some(Origin::Stated)),
        ] {
            let read = length(text);
            assert!((read.value - value).abs() < 1e-9, "{text}: {}", read.value);
            match (read.tolerance, tolerance) {
                (Some(a), Some(b)) => assert!((a.0 - b.0).abs() < 1e-9 && (a.1 - b.1).abs() < 1e-9, "{text}"),
                (a, b) => assert_eq!(a, b, "{text}"),
            }
            assert_eq!(read.origin, origin, "{text}");
        }
        let range = length("27.1..27.3");
        assert!((range.value - 27.2).abs() < 1e-9);
        assert!((range.tolerance.expect("a range has a width").0 - 0.1).abs() < 1e-9);
    }

    fn quantity_ligne() -> f64 {
        LIGNE
    }

    // The metre's legal definition of 10 December 1799: 1 m = 443.296 Paris lines.
    #[test]
    fn a_ligne_is_the_paris_line() {
        for text in ["11.5 lig", "11.5'''", "11.5‴", "11.5 lignes"] {
            assert!((length(text).value - 25.942).abs() < 0.0005, "{text}");
        }
    }

    // ISO 286-1:2010, over 18 to 30 mm: IT9 is 52 um; h lies below the size.
    #[test]
    fn a_tolerance_class_keeps_its_zone() {
        let read = length("28.5 h9");
        let (plus, minus) = read.tolerance.expect("a class has a width");
        assert!((read.value + plus - 28.5).abs() < 1e-9);
        assert!((read.value - minus - 28.448).abs() < 1e-9);
    }

    #[test]
    fn directions_pressures_and_rates() {
        let clock = |text| parse(text, Quantity::Clock).map(|read| (read.value, read.tolerance));
        assert_eq!(clock("4h30"), Ok((135.0, None)));
        assert_eq!(clock("135 deg ±0.5"), Ok((135.0, Some((0.5, 0.5)))));
        assert_eq!(clock("3h ±0.5 deg"), Ok((90.0, Some((0.5, 0.5)))));
        assert_eq!(clock("-90 deg"), Ok((270.0, None)));
        assert_eq!(parse("30 m", Quantity::Pressure).map(|read| read.value), Ok(3.0));
        let rate = parse("-5..+10 s/d", Quantity::Rate).expect("a range of rates");
        assert_eq!((rate.value, rate.tolerance), (2.5, Some((7.5, 7.5))));
        assert_eq!(parse("+6", Quantity::Rate).map(|read| read.value), Ok(6.0));
    }

    #[test]
    fn faults_say_what_to_write() {
        use Quantity::{Clock, Length, Pressure};
        for (text, quantity, words) in [
            ("28,5", Length, "has a decimal comma: write `28.5`"),
            ("28.5 mn", Length, "`mn` is not a unit of a length, did you mean `mm`?"),
            ("28.5 bar", Length, "`bar` is not a unit of a length"),
            ("28.5 gaged", Length, "did you mean `gauged`?"),
            ("-28.5", Length, "is below zero"),
            ("27.3..27.1", Length, "runs backwards"),
            ("1e308", Length, "has an exponent"),
            ("NaN", Length, "is not a length"),
            (".inf", Length, "is not a length"),
            ("99999", Length, "is beyond 1000 mm"),
            ("28.5 +0.02", Length, "one side of its tolerance only"),
            ("28.5 +0.02 +0.05", Length, "does not enclose"),
            ("28.5 q9", Length, "q"),
            ("90", Clock, "write `3h` for an hour of the dial or `90 deg`"),
            ("25h", Clock, "h"),
            ("3 psi", Pressure, "is not a unit of a pressure"),
            ("~28.5 gauged", Length, "says twice"),
            ("", Length, "is not a length"),
            ("28.5 29", Length, "is not understood"),
        ] {
            let said = fault(text, quantity);
            assert!(said.contains(words), "{text}: {said}");
        }
    }

    proptest! {
        #[test]
        fn printed_and_read_again(
            tenths in 0i64..9_999_999, plus in 0i64..9_999, minus in 0i64..9_999, origin in 0usize..5, kind in 0usize..4
        ) {
            let quantity = [Quantity::Length, Quantity::Height, Quantity::Rate, Quantity::Pressure][kind];
            let value = tenths as f64 / 1e4 * if quantity.signed() && plus % 2 == 0 { -1.0 } else { 1.0 };
            let size = Dimension {
                value, plus: plus as f64 / 1e4, minus: minus as f64 / 1e4, origin: Origin::ALL[origin], quantity,
                converted: false,
            };
            let text = size.to_string();
            let read = parse(&text, quantity).map_err(TestCaseError::fail)?;
            prop_assert_eq!(read.dimension(Origin::Stated, &Tolerances::default()), size, "{}", text);
        }

        #[test]
        fn directions_printed_and_read_again(minutes in 0u32..720, spread in 0i64..1000) {
            let spread = spread as f64 / 100.0;
            let size = Dimension {
                value: f64::from(minutes) / 2.0, plus: spread, minus: spread,
                origin: Origin::Measured, quantity: Quantity::Clock, converted: false,
            };
            let read = parse(&size.to_string(), Quantity::Clock).map_err(TestCaseError::fail)?;
            prop_assert_eq!(read.dimension(Origin::Stated, &Tolerances::default()), size);
        }

        #[test]
        fn any_text_is_answered(text in "\\PC{0,40}") {
            for quantity in [Quantity::Length, Quantity::Clock, Quantity::Pressure, Quantity::Number] {
                if let Ok(read) = parse(&text, quantity) {
                    prop_assert!(read.value.is_finite());
                }
            }
        }
    }
}
