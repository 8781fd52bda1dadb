//! The six positions of ISO 3158.

use std::fmt;

use serde::Serialize;

/// A position in which a watch is timed, by the symbols of ISO 3158. `nH` has the hour n
/// uppermost, whatever the crown's place.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize)]
pub enum Position {
    /// CH, dial up.
    DialUp,
    /// FH, dial down.
    DialDown,
    /// 3H: a crown at 3h points up.
    ThreeUp,
    /// 6H: a crown at 3h points left.
    SixUp,
    /// 9H: a crown at 3h points down.
    NineUp,
    /// 12H: a crown at 3h points right.
    TwelveUp,
}

impl Position {
    /// All of them, horizontal ones first.
    pub const ALL: [Position; 6] = [
        Position::DialUp,
        Position::DialDown,
        Position::ThreeUp,
        Position::SixUp,
        Position::NineUp,
        Position::TwelveUp,
    ];

    /// Reads a symbol; CB, which is also met for dial down, is read as FH.
    pub fn parse(symbol: &str) -> Result<Position, PositionFault> {
        let wanted = symbol.trim().to_ascii_uppercase();
        Position::ALL
            .into_iter()
            .find(|position| position.symbol() == wanted)
            .or((wanted == "CB").then_some(Position::DialDown))
            .ok_or_else(|| PositionFault { written: symbol.trim().to_owned() })
    }

    /// The symbol of ISO 3158.
    pub fn symbol(self) -> &'static str {
        match self {
            Position::DialUp => "CH",
            Position::DialDown => "FH",
            Position::ThreeUp => "3H",
            Position::SixUp => "6H",
            Position::NineUp => "9H",
            Position::TwelveUp => "12H",
        }
    }

    /// The position in words.
    pub fn words(self) -> &'static str {
        match self {
            Position::DialUp => "dial up",
            Position::DialDown => "dial down",
            Position::ThreeUp => "3 up",
            Position::SixUp => "6 up",
            Position::NineUp => "9 up",
            Position::TwelveUp => "12 up",
        }
    }

    /// Whether the balance staff stands upright: dial up and dial down.
    pub fn is_horizontal(self) -> bool {
        matches!(self, Position::DialUp | Position::DialDown)
    }
}

impl fmt::Display for Position {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.symbol())
    }
}

/// A position that ISO 3158 does not know.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PositionFault {
    /// What stands where a symbol was expected.
    pub written: String,
}

impl fmt::Display for PositionFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "`{}` is not a position: write CH (dial up), FH (dial down), 3H, 6H, 9H or 12H (that hour uppermost)",
            self.written
        )
    }
}

impl std::error::Error for PositionFault {}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn symbols_are_read_as_they_are_written() {
        for position in Position::ALL {
            assert_eq!(Position::parse(position.symbol()), Ok(position));
        }
        assert_eq!(Position::parse(" cb "), Ok(Position::DialDown));
        let fault = Position::parse("DU").unwrap_err().to_string();
        assert!(fault.starts_with("`DU` is not a position: write CH (dial up)"), "{fault}");
    }
}
