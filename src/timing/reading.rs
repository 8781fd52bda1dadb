//! One line of a timing machine.

use std::fmt;

use jiff::civil::DateTime;
use serde::Serialize;

use super::position::Position;

/// What a timing machine showed of one watch in one position.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Reading {
    /// When it was taken; midnight where only the day is known.
    pub at: DateTime,
    /// The position of ISO 3158.
    pub position: Position,
    /// s/d, gaining positive.
    pub rate: f64,
    /// Degrees as displayed, with the lift angle that the machine was set to. `None`: not noted.
    pub amplitude: Option<f64>,
    /// abs(t1 - t2) / 2, ms. `None`: not noted.
    pub beat_error: Option<f64>,
    /// How far the mainspring was wound. `None`: not noted.
    pub wound: Option<Wound>,
    /// The lift angle that the machine was set to, degrees. `None`: the movement's own.
    pub lift_angle: Option<f64>,
    /// Degrees Celsius. `None`: not noted.
    pub temperature: Option<f64>,
}

impl Reading {
    /// The amplitude in degrees, put right where the machine was set to another lift angle than
    /// the movement's. `movement_lift` is `None` where the movement's own is unknown: then the
    /// displayed value stands.
    pub fn true_amplitude(&self, movement_lift: Option<f64>) -> Option<f64> {
        let displayed = self.amplitude?;
        Some(match (self.lift_angle, movement_lift) {
            (Some(set), Some(own)) if set > 0.0 => corrected_amplitude_deg(displayed, set, own),
            _ => displayed,
        })
    }
}

/// The amplitude of a machine that was set to the wrong lift angle, put right: displayed x true
/// lift angle / the one it was set to. Rate and beat error do not depend on the lift angle.
pub fn corrected_amplitude_deg(displayed_deg: f64, set_lift_deg: f64, true_lift_deg: f64) -> f64 {
    displayed_deg * true_lift_deg / set_lift_deg
}

/// How far the mainspring was wound when a reading was taken.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub enum Wound {
    /// Fully wound, within the last hours: the makers' reading at 0 h.
    Full,
    /// So many hours after it was fully wound, not wound since.
    HoursAfter(f64),
    /// About half wound.
    Half,
    /// Nearly run down.
    Low,
}

impl Wound {
    /// Reads `full`, `half`, `low`, or the hours since full wind, as `24h` or `24 h`.
    pub fn parse(text: &str) -> Result<Wound, WoundFault> {
        let text = text.trim();
        match text {
            "full" => return Ok(Wound::Full),
            "half" => return Ok(Wound::Half),
            "low" => return Ok(Wound::Low),
            _ => {}
        }
        let fault = || WoundFault { written: text.to_owned() };
        let hours = text.strip_suffix('h').ok_or_else(fault)?;
        let hours: f64 = hours.trim_end().parse().map_err(|_| fault())?;
        if !(0.0..=MOST_HOURS).contains(&hours) {
            return Err(fault());
        }
        Ok(if hours == 0.0 { Wound::Full } else { Wound::HoursAfter(hours) })
    }

    /// Whether this is the full wind from which a drift is counted.
    pub fn is_full(self) -> bool {
        self == Wound::Full
    }
}

/// Ten days: no movement of a wristwatch runs much longer on one wind.
const MOST_HOURS: f64 = 240.0;

impl fmt::Display for Wound {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Wound::Full => f.write_str("full"),
            Wound::HoursAfter(hours) => write!(f, "{hours} h after full wind"),
            Wound::Half => f.write_str("half"),
            Wound::Low => f.write_str("low"),
        }
    }
}

/// A state of wind that cannot be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WoundFault {
    /// What stands where a state was expected.
    pub written: String,
}

impl fmt::Display for WoundFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "`{}` is not a state of wind: write full, half, low, or the hours since full wind, as 24h",
            self.written
        )
    }
}

impl std::error::Error for WoundFault {}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn states_of_wind() {
        for (text, state) in [
            ("full", Wound::Full),
            ("0h", Wound::Full),
            ("24h", Wound::HoursAfter(24.0)),
            ("36.5 h", Wound::HoursAfter(36.5)),
            ("half", Wound::Half),
            (" low ", Wound::Low),
        ] {
            assert_eq!(Wound::parse(text), Ok(state), "{text}");
        }
        for text in ["", "h", "24", "-3h", "1e9h", "NaNh", "empty"] {
            let fault = Wound::parse(text).unwrap_err().to_string();
            assert!(fault.contains("write full, half, low, or the hours"), "{fault}");
        }
    }
}
