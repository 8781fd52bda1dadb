//! Lengths and angles with tolerance and origin, and the way people write them.

pub mod clock;
pub mod iso286;
pub mod literal;
pub mod origin;
pub mod quantity;
pub mod size_fault;

use std::fmt::{self, Write as _};

pub use literal::{Literal, parse};
pub use origin::{Origin, Tolerances};
pub use quantity::Quantity;
pub use size_fault::SizeFault;

use serde::Serialize;

/// A size as it is known: what it is said to be, how far it may lie off, and how it is known.
///
/// Lengths are millimetres, angles degrees by the clock (12h is 0, clockwise), pressures bar.
/// `plus` and `minus` are never negative; the size lies in `value - minus ..= value + plus`.
#[derive(Clone, Copy, PartialEq, Debug, Serialize)]
pub struct Dimension {
    /// As written.
    pub value: f64,
    /// How much larger it may be.
    pub plus: f64,
    /// How much smaller it may be.
    pub minus: f64,
    /// How it is known.
    pub origin: Origin,
    /// What is measured.
    pub quantity: Quantity,
    /// Written in lignes or inches: its decimals in millimetres are those of the conversion.
    pub converted: bool,
}

impl Dimension {
    /// A size known exactly: a nominal size, or a figure of a formula.
    pub fn exact(value: f64, quantity: Quantity, origin: Origin) -> Self {
        Self { value, plus: 0.0, minus: 0.0, origin, quantity, converted: false }
    }

    /// The figure for the eye: as it was written, or to a hundredth of a millimetre where it was
    /// written in another unit.
    pub fn figure(&self) -> String {
        if self.converted { shown(self.value) } else { figure(self.value) }
    }
}

impl fmt::Display for Dimension {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        literal::print(self, f)
    }
}

/// A figure with two decimals at least and four at most, and a true minus sign.
pub fn figure(value: f64) -> String {
    let rounded = round(value);
    let mut text = String::with_capacity(12);
    if rounded < 0.0 {
        text.push('\u{2212}');
    }
    let grains = (rounded.abs() * 1e4).round();
    // Figures are written by the thousand; those of watches are counted out in whole grains.
    if grains < 1e15 {
        let grains = grains as u64;
        let _ = write!(text, "{}.{:04}", grains / 10_000, grains % 10_000);
    } else {
        let _ = write!(text, "{:.4}", rounded.abs());
    }
    for _ in 0..2 {
        if text.ends_with('0') {
            text.pop();
        }
    }
    text
}

/// A result for the eye: two decimals, and a third where it is so small that it tells.
pub fn shown(value: f64) -> String {
    let grain = if value.abs() < 0.1 { 1e3 } else { 1e2 };
    figure((value * grain).round() / grain)
}

/// Rounds to a tenth of a micrometre: the grain in which figures are compared and written.
pub fn round(value: f64) -> f64 {
    let rounded = (value * 1e4).round() / 1e4;
    if rounded == 0.0 { 0.0 } else { rounded }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_written_in_another_unit_is_shown_to_the_hundredth() {
        let told = |text| {
            let read = parse(text, Quantity::Length).expect(text);
            read.dimension(Origin::Stated, &Tolerances::default()).figure()
        };
        for (text, figure) in [
            ("18 lig", "40.60"),
            ("0.787 in", "19.99"),
            ("0.0031 in", "0.079"),
            ("40.6049", "40.6049"),
            ("0.905", "0.905"),
            ("905 um", "0.905"),
            ("2.85 cm", "28.50"),
            ("1.1..1.2 in", "29.21"),
        ] {
            assert_eq!(told(text), figure, "{text}");
        }
    }

    #[test]
    fn a_figure_is_the_number_that_is_compared() {
        for grains in -40_000..40_000 {
            // Halves of a grain among them, which go away from zero whatever a float makes of them.
            let value = f64::from(grains) * 0.000_05;
            let printed = figure(value).replace('\u{2212}', "-");
            assert_eq!(printed.parse(), Ok(round(value)), "{value}");
        }
    }

    #[test]
    fn figures_carry_two_to_four_decimals() {
        assert_eq!(figure(27.1), "27.10");
        assert_eq!(figure(-1.28), "\u{2212}1.28");
        assert_eq!(figure(-1.23456), "\u{2212}1.2346");
        assert_eq!(figure(1e13), "10000000000000.00");
        assert_eq!(figure(0.0125), "0.0125");
        assert_eq!(figure(-0.000_01), "0.00");
        assert_eq!(figure(0.303), "0.303");
        assert_eq!(
            [shown(5.3727), shown(0.0171), shown(-0.0451), shown(0.46)],
            ["5.37", "0.017", "\u{2212}0.045", "0.46"]
        );
    }
}
