//! What is wrong with a size as it was written, and what to write instead.

use std::fmt;

use super::iso286::ClassFault;
use super::origin::Origin;
use super::quantity::Quantity;
use crate::problem::did_you_mean;

/// A size that cannot be read.
#[derive(Clone, PartialEq, Debug)]
pub enum SizeFault {
    /// `~28.5 gauged`.
    OriginTwice {
        /// As written.
        text: String,
        /// The second word.
        word: String,
    },
    /// A word like an origin that is none.
    UnknownOrigin(String),
    /// A tolerance class of ISO 286 that is none.
    Class(ClassFault),
    /// A direction without a unit.
    HourOrDegrees {
        /// As written.
        text: String,
        /// The number.
        figure: f64,
    },
    /// `28.5 +0.02`.
    OneSide {
        /// As written.
        text: String,
        /// The side that was given.
        side: f64,
    },
    /// `28.5 +0.02 +0.05`.
    NotEnclosing(String),
    /// `28.5 ±-0.02`.
    TwoSigns(String),
    /// `28,5`.
    DecimalComma(String),
    /// No number where one is due.
    NoFigure {
        /// As written.
        text: String,
        /// What was to be read.
        quantity: Quantity,
    },
    /// `2e3`.
    Exponent(String),
    /// A number longer than any measurement.
    TooManyDigits {
        /// As written.
        text: String,
        /// How many.
        digits: usize,
    },
    /// `28.5 mn`.
    UnknownUnit {
        /// The word.
        word: String,
        /// What was to be read.
        quantity: Quantity,
    },
    /// Something behind a size that is complete.
    NotUnderstood {
        /// What is left.
        rest: String,
        /// As written.
        text: String,
        /// What was to be read.
        quantity: Quantity,
    },
    /// Beyond what the quantity can be on a watch.
    TooLarge {
        /// As written.
        text: String,
        /// What was to be read.
        quantity: Quantity,
    },
    /// A negative size of a quantity without a sign.
    BelowZero {
        /// As written.
        text: String,
        /// What was to be read.
        quantity: Quantity,
    },
    /// `27.3..27.1`.
    RangeBackwards(String),
    /// A tolerance beyond what the quantity can be.
    ToleranceTooLarge(String),
}

impl fmt::Display for SizeFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            SizeFault::OriginTwice { text, word } => {
                write!(f, "`{text}` says twice how it is known: leave out `~` or `{word}`")
            }
            SizeFault::UnknownOrigin(word) => {
                let near = did_you_mean(word, Origin::ALL.map(Origin::word));
                write!(f, "`{word}` does not say how a size is known{near}")
            }
            SizeFault::Class(fault) => fault.fmt(f),
            SizeFault::HourOrDegrees { text, figure } => {
                let hour = if (1.0..=12.0).contains(figure) { figure.trunc() } else { 3.0 };
                write!(
                    f,
                    "`{text}` does not say which angle it is: write `{hour}h` for an hour of the dial or `{figure} deg`"
                )
            }
            SizeFault::OneSide { text, side } => write!(
                f,
                "`{text}` gives one side of its tolerance only: write `\u{b1}{side}`, or both sides as `+0.00 -0.05`"
            ),
            SizeFault::NotEnclosing(text) => {
                write!(
                    f,
                    "the tolerance of `{text}` does not enclose its figure: write `+0.00 -0.05`, plus first"
                )
            }
            SizeFault::TwoSigns(text) => write!(f, "the tolerance of `{text}` has two signs"),
            SizeFault::DecimalComma(text) => {
                write!(f, "`{text}` has a decimal comma: write `{}`", text.replace(',', "."))
            }
            SizeFault::NoFigure { text, quantity } => {
                write!(f, "`{text}` is not a {}: write it like {}", quantity.word(), quantity.example())
            }
            SizeFault::Exponent(text) => write!(f, "`{text}` has an exponent: write the figure out"),
            SizeFault::TooManyDigits { text, digits } => {
                write!(
                    f,
                    "`{text}` has a figure of {digits} digits, and nothing is known that well: round it"
                )
            }
            SizeFault::UnknownUnit { word, quantity } => {
                let known = || quantity.units().iter().map(|(unit, _)| *unit);
                write!(f, "`{word}` is not a unit of a {}", quantity.word())?;
                match did_you_mean(word, known()) {
                    near if !near.is_empty() => f.write_str(&near),
                    _ if known().next().is_none() => f.write_str(": write the figure alone"),
                    _ => write!(f, ": write one of {}", known().collect::<Vec<_>>().join(", ")),
                }
            }
            SizeFault::NotUnderstood { rest, text, quantity } => {
                write!(f, "`{rest}` is not understood in `{text}`: write it like {}", quantity.example())
            }
            SizeFault::TooLarge { text, quantity } => {
                let (most, unit) = (quantity.most(), quantity.unit());
                write!(f, "`{text}` is beyond {most} {unit}: check the unit and the decimal point")
            }
            SizeFault::BelowZero { text, quantity } => {
                write!(f, "`{text}` is below zero: a {} has no sign here", quantity.word())
            }
            SizeFault::RangeBackwards(text) => {
                write!(f, "the range `{text}` runs backwards: write the smaller figure first")
            }
            SizeFault::ToleranceTooLarge(text) => {
                write!(f, "the tolerance of `{text}` is beyond all measure: check the decimal point")
            }
        }
    }
}

impl std::error::Error for SizeFault {}
