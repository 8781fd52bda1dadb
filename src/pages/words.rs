//! Days, sizes and counts the way people read them.

use jiff::civil::Date;

use crate::journal::Entry;
use crate::measure::{Dimension, Quantity, clock, figure};

const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

/// A day in words: 14 February 2026.
#[must_use]
pub fn day(date: Date) -> String {
    format!("{} {}", date.day(), month(date))
}

/// A day in short: 14 Feb 2026.
#[must_use]
pub fn short_day(date: Date) -> String {
    let name = MONTHS.get(date.month().unsigned_abs() as usize - 1).copied().unwrap_or_default();
    format!("{} {} {}", date.day(), name.get(..3).unwrap_or(name), date.year())
}

/// A month in words: February 2026.
#[must_use]
pub fn month(date: Date) -> String {
    let name = MONTHS.get(date.month().unsigned_abs() as usize - 1).copied().unwrap_or_default();
    format!("{name} {}", date.year())
}

/// A stretch of work: 1 h 30, 45 min.
#[must_use]
pub fn duration(minutes: f64) -> String {
    let minutes = minutes.round() as i64;
    match (minutes / 60, minutes % 60) {
        (0, rest) => format!("{rest} min"),
        (hours, 0) => format!("{hours} h"),
        (hours, rest) => format!("{hours} h {rest:02}"),
    }
}

/// A number of things: "1 photo", "3 photos".
#[must_use]
pub fn count(number: usize, one: &str, many: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { many })
}

/// A small number in words; nothing is none.
#[must_use]
pub fn number(number: usize) -> String {
    let words = ["none", "one", "two", "three", "four", "five", "six"];
    words.get(number).map_or_else(|| number.to_string(), |word| (*word).to_owned())
}

/// A sentence's first letter in upper case.
#[must_use]
pub fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}

/// Things in a row: "a, b and c".
#[must_use]
pub fn row(things: &[String]) -> String {
    match things {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

/// A size as figure, tolerance and unit. A length is told without its unit, which its table says.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Size {
    /// The figure.
    pub value: String,
    /// With sign; empty for a nominal size.
    pub tolerance: String,
    /// Empty for lengths and for directions by the clock.
    pub unit: String,
}

/// A size in words.
#[must_use]
pub fn size(size: &Dimension) -> Size {
    let (value, unit) = match size.quantity {
        Quantity::Clock => match clock::print(size.value) {
            Some(hour) => (hour, ""),
            None => (figure(size.value), "deg"),
        },
        quantity if quantity.is_length() => (size.figure(), ""),
        Quantity::Number | Quantity::Hours | Quantity::Temperature | Quantity::Turn => {
            (plain(size.value), size.quantity.unit())
        }
        Quantity::Torque => (figure(size.value), "µN m"),
        Quantity::Inertia => (figure(size.value), "g mm²"),
        other => (plain(size.value), other.unit()),
    };
    let tolerance = if size.plus == 0.0 && size.minus == 0.0 {
        String::new()
    } else if size.plus == size.minus {
        format!(
            "±{}{}",
            figure(size.plus),
            if unit.is_empty() && size.quantity == Quantity::Clock { "°" } else { "" }
        )
    } else {
        format!("+{} −{}", figure(size.plus), figure(size.minus))
    };
    Size { value, tolerance, unit: unit.to_owned() }
}

/// A figure without needless decimals and with a true minus sign.
#[must_use]
pub fn plain(value: f64) -> String {
    let text = format!("{:.4}", value.abs());
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if value < 0.0 && text != "0" { format!("−{text}") } else { text.to_owned() }
}

/// A figure with its sign always written: +3.7.
#[must_use]
pub fn signed(value: f64) -> String {
    let text = format!("{:.1}", value.abs());
    let text = text.trim_end_matches(".0");
    if text == "0" {
        text.to_owned()
    } else if value < 0.0 {
        format!("−{text}")
    } else {
        format!("+{text}")
    }
}

/// What a field is called: `rehaut.bottom` is "rehaut, bottom".
#[must_use]
pub fn label(path: &str) -> String {
    path.replace('.', ", ").replace('_', " ")
}

/// An entry's heading; its day where it has none.
pub(super) fn entry_title(entry: &Entry) -> String {
    entry.title.clone().unwrap_or_else(|| day(entry.date.value))
}

#[cfg(test)]
mod tests {
    use jiff::civil::date;

    use super::*;
    use crate::measure::Origin;

    #[test]
    fn days_and_stretches() {
        assert_eq!(day(date(2026, 2, 14)), "14 February 2026");
        assert_eq!(month(date(2025, 12, 1)), "December 2025");
        assert_eq!([duration(45.0), duration(90.0), duration(120.0)], ["45 min", "1 h 30", "2 h"]);
    }

    #[test]
    fn sizes_by_what_they_measure() {
        let told = |value, plus, minus, quantity| {
            let exact = Dimension::exact(value, quantity, Origin::Measured);
            let told = size(&Dimension { plus, minus, ..exact });
            format!("{} {} {}", told.value, told.tolerance, told.unit)
        };
        assert_eq!(told(27.1, 0.05, 0.05, Quantity::Length), "27.10 ±0.05 ");
        assert_eq!(told(-0.25, 0.0, 0.05, Quantity::Height), "−0.25 +0.00 −0.05 ");
        assert_eq!(told(135.0, 0.25, 0.25, Quantity::Clock), "4h30 ±0.25° ");
        assert_eq!(told(28800.0, 0.0, 0.0, Quantity::Number), "28800  ");
        assert_eq!(told(3.0, 0.0, 0.0, Quantity::Pressure), "3  bar");
    }

    #[test]
    fn signs_are_written() {
        assert_eq!([signed(3.7), signed(-2.0), signed(0.0)], ["+3.7", "−2", "0"]);
    }

    #[test]
    fn rows_end_in_and() {
        assert_eq!(row(&["a".to_owned(), "b".to_owned(), "c".to_owned()]), "a, b and c");
        assert_eq!(label("rehaut.inner_radius"), "rehaut, inner radius");
    }
}
