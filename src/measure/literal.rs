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
use super::size_fault::SizeFault;
use super::{Dimension, Origin, Quantity, Tolerances, clock, iso286, round};

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

/// Reads a size.
pub fn parse(text: &str, quantity: Quantity) -> Result<Literal, SizeFault> {
    let mut rest = text.trim();
    let mut origin = None;
    if let Some(after) = rest.strip_prefix('~') {
        origin = Some(Origin::Assumed);
        rest = after.trim_start();
    }
    if let Some((before, word)) = last_word(rest) {
        if let Some(named) = Origin::of(word) {
            if origin.is_some() {
                return Err(SizeFault::OriginTwice { text: text.to_owned(), word: word.to_owned() });
            }
            origin = Some(named);
            rest = before;
        } else if !before.is_empty() && looks_like_origin(word) {
            return Err(SizeFault::UnknownOrigin(word.to_owned()));
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
    fn size(&mut self) -> Result<(f64, WrittenTolerance), SizeFault> {
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
            let (upper, lower) = iso286::limits(size, class).map_err(SizeFault::Class)?;
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

    fn direction(&mut self) -> Result<(f64, WrittenTolerance), SizeFault> {
        let end = self.rest.find(|c: char| c.is_whitespace() || c == '\u{b1}').unwrap_or(self.rest.len());
        let degrees = if let Some(degrees) = clock::parse(&self.rest[..end]) {
            self.rest = self.rest[end..].trim_start();
            degrees
        } else {
            let figure = self.figure()?;
            if self.unit()?.is_none() {
                return Err(SizeFault::HourOrDegrees { text: self.text.to_owned(), figure });
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
    fn tolerance(&mut self, factor: &mut Option<f64>) -> Result<WrittenTolerance, SizeFault> {
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
            return Err(SizeFault::OneSide { text: self.text.to_owned(), side: one.abs() });
        }
        let other = self.figure()?;
        let own = self.tolerance_unit(factor)?;
        let (plus, minus) = if one >= 0.0 && other <= 0.0 { (one, -other) } else { (other, -one) };
        if plus < 0.0 || minus < 0.0 || (one > 0.0) == (other > 0.0) && one != 0.0 && other != 0.0 {
            return Err(SizeFault::NotEnclosing(self.text.to_owned()));
        }
        Ok(WrittenTolerance::Within(plus * own, minus * own))
    }

    fn tolerance_unit(&mut self, factor: &mut Option<f64>) -> Result<f64, SizeFault> {
        let own = self.unit()?;
        // `28.5 ±0.02 mm`: the unit behind both belongs to both.
        if factor.is_none() {
            *factor = own;
        }
        Ok(own.or(*factor).unwrap_or(1.0))
    }

    fn unsigned(&mut self) -> Result<f64, SizeFault> {
        let figure = self.figure()?;
        if figure < 0.0 {
            return Err(SizeFault::TwoSigns(self.text.to_owned()));
        }
        Ok(figure)
    }

    /// A plain decimal figure: no exponent, no thousands mark, no comma.
    fn figure(&mut self) -> Result<f64, SizeFault> {
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
            return Err(SizeFault::DecimalComma(self.text.to_owned()));
        }
        if written.is_empty() {
            return Err(SizeFault::NoFigure { text: self.text.to_owned(), quantity: self.quantity });
        }
        if after.starts_with(['e', 'E'])
            && after[1..].starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '+'))
        {
            return Err(SizeFault::Exponent(self.text.to_owned()));
        }
        // Longer figures are no measurements, and would only overflow.
        let before = written.split('.').next().unwrap_or_default().len();
        if before <= 20 && written.len() > 24 {
            let digits = written.bytes().filter(u8::is_ascii_digit).count();
            return Err(SizeFault::TooManyDigits { text: self.text.to_owned(), digits });
        }
        let value: f64 = if before > 20 { f64::INFINITY } else { written.parse().unwrap_or(f64::INFINITY) };
        self.rest = after.trim_start();
        Ok(if matches!(sign, Some('-' | '\u{2212}')) { -value } else { value })
    }

    fn unit(&mut self) -> Result<Option<f64>, SizeFault> {
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
        Err(SizeFault::UnknownUnit { word, quantity: self.quantity })
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

    fn end(&self) -> Result<(), SizeFault> {
        if self.rest.is_empty() {
            return Ok(());
        }
        let (rest, text) = (self.rest.to_owned(), self.text.to_owned());
        Err(SizeFault::NotUnderstood { rest, text, quantity: self.quantity })
    }
}

fn check_size(
    text: &str,
    value: f64,
    spread: &WrittenTolerance,
    quantity: Quantity,
) -> Result<(), SizeFault> {
    if value.abs() > quantity.most() {
        return Err(SizeFault::TooLarge { text: text.to_owned(), quantity });
    }
    if value < 0.0 && !quantity.signed() {
        return Err(SizeFault::BelowZero { text: text.to_owned(), quantity });
    }
    match spread {
        WrittenTolerance::To(high) if *high < value || high.abs() > quantity.most() => {
            Err(SizeFault::RangeBackwards(text.to_owned()))
        }
        WrittenTolerance::Within(plus, minus) if plus.max(*minus) > quantity.most() => {
            Err(SizeFault::ToleranceTooLarge(text.to_owned()))
        }
        _ => Ok(()),
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
mod tests;
