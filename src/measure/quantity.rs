//! What a written figure measures, and the units people write it in.

use serde::Serialize;

/// What a figure measures. The unit beside each is the one it is kept in.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize)]
pub enum Quantity {
    /// A length that cannot be negative, mm.
    Length,
    /// A length along an axis, which has a sign, mm.
    Height,
    /// A nominal size, without tolerance, mm: what a hand fits, a tap, a thread.
    Nominal,
    /// A direction by the clock, degrees from 12h, clockwise.
    Clock,
    /// An angle that is no direction: a pitch, a lift angle, an amplitude; degrees.
    Turn,
    /// A pressure, bar.
    Pressure,
    /// A rate, seconds a day.
    Rate,
    /// A mass, mg.
    Mass,
    /// A torque or unbalance, uN m.
    Torque,
    /// An inertia, g mm2.
    Inertia,
    /// A time, ms.
    Beat,
    /// A time, hours.
    Hours,
    /// A temperature, degrees Celsius.
    Temperature,
    /// Beats an hour, jewels, minutes, money: a plain number.
    Number,
}

impl Quantity {
    /// The unit that figures are kept and shown in.
    pub fn unit(self) -> &'static str {
        match self {
            Quantity::Length | Quantity::Height | Quantity::Nominal => "mm",
            Quantity::Clock | Quantity::Turn => "deg",
            Quantity::Pressure => "bar",
            Quantity::Rate => "s/d",
            Quantity::Mass => "mg",
            Quantity::Torque => "uN m",
            Quantity::Inertia => "g mm2",
            Quantity::Beat => "ms",
            Quantity::Hours => "h",
            Quantity::Temperature => "C",
            Quantity::Number => "",
        }
    }

    /// Every unit that may be written, with the factor to the kept unit.
    pub fn units(self) -> &'static [(&'static str, f64)] {
        match self {
            Quantity::Length | Quantity::Height | Quantity::Nominal => LENGTHS,
            Quantity::Clock | Quantity::Turn => &[("deg", 1.0), ("\u{b0}", 1.0)],
            // 10 m is 1 bar: the rule by which watches are marked.
            Quantity::Pressure => {
                &[("bar", 1.0), ("m", 0.1), ("kPa", 0.01), ("MPa", 10.0), ("atm", 1.013_25)]
            }
            Quantity::Rate => &[("s/d", 1.0), ("s/day", 1.0)],
            Quantity::Mass => &[("mg", 1.0), ("g", 1000.0)],
            Quantity::Torque => &[("uN m", 1.0), ("uNm", 1.0), ("\u{b5}Nm", 1.0), ("mg mm", 0.009_806_65)],
            Quantity::Inertia => &[("g mm2", 1.0), ("mg mm2", 0.001)],
            Quantity::Beat => &[("ms", 1.0)],
            Quantity::Hours => &[("h", 1.0), ("d", 24.0)],
            Quantity::Temperature => &[("C", 1.0), ("\u{b0}C", 1.0)],
            Quantity::Number => &[],
        }
    }

    /// Whether it is a length, in millimetres.
    pub fn is_length(self) -> bool {
        matches!(self, Quantity::Length | Quantity::Height | Quantity::Nominal)
    }

    /// Whether the figure may lie below zero.
    pub fn signed(self) -> bool {
        matches!(self, Quantity::Height | Quantity::Rate | Quantity::Torque | Quantity::Temperature)
    }

    /// The largest figure that can be meant; beyond it a unit or a point was forgotten.
    pub fn most(self) -> f64 {
        match self {
            Quantity::Length | Quantity::Height => 1000.0,
            Quantity::Nominal => 100.0,
            Quantity::Clock | Quantity::Turn => 720.0,
            Quantity::Pressure => 1000.0,
            Quantity::Rate => 86_400.0,
            Quantity::Mass => 1e6,
            _ => 1e9,
        }
    }

    /// What it is called in a message.
    pub fn word(self) -> &'static str {
        match self {
            Quantity::Length | Quantity::Height => "length",
            Quantity::Nominal => "nominal size",
            Quantity::Clock => "angle by the clock",
            Quantity::Turn => "angle",
            Quantity::Pressure => "pressure",
            Quantity::Rate => "rate",
            Quantity::Mass => "mass",
            Quantity::Torque => "torque",
            Quantity::Inertia => "inertia",
            Quantity::Beat => "time in milliseconds",
            Quantity::Hours => "time in hours",
            Quantity::Temperature => "temperature",
            Quantity::Number => "number",
        }
    }

    /// An example of how it is written, for messages.
    pub fn example(self) -> &'static str {
        match self {
            Quantity::Length | Quantity::Height => "28.5, 28.52 \u{b1}0.02 or 12.5 lig",
            Quantity::Nominal => "1.50",
            Quantity::Clock => "3h, 4h30 or 135 deg",
            Quantity::Turn => "52 or 52 deg",
            Quantity::Pressure => "3 bar or 30 m",
            Quantity::Rate => "+6 or 6 s/d",
            Quantity::Mass => "12 mg",
            Quantity::Torque => "11 uNm",
            Quantity::Inertia => "0.1 g mm2",
            Quantity::Beat => "0.2",
            Quantity::Hours => "42",
            Quantity::Temperature => "23",
            Quantity::Number => "21600",
        }
    }
}

/// The Paris line: the law of 10 December 1799 made the metre 443.296 of them.
pub const LIGNE: f64 = 1000.0 / 443.296;

/// The inch of 1959, in millimetres.
pub const INCH: f64 = 25.4;

const LENGTHS: &[(&str, f64)] = &[
    ("mm", 1.0),
    ("um", 0.001),
    ("\u{b5}m", 0.001),
    ("\u{3bc}m", 0.001),
    ("cm", 10.0),
    ("in", INCH),
    ("lig", LIGNE),
    ("ligne", LIGNE),
    ("lignes", LIGNE),
    ("'''", LIGNE),
    ("\u{2034}", LIGNE),
];
