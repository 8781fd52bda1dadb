//! Readings that belong together, and what they say of the watch.

use jiff::SignedDuration;
use serde::Serialize;

use super::position::Position;
use super::reading::Reading;
use super::statistics::{mean, spread};

/// Parts readings into sittings, in order of time; no sitting is empty.
///
/// A sitting is one go at the timing machine: each reading follows the one before it within six
/// hours, with the mainspring in the same state of wind and the watch at the same warmth (within
/// 5 degrees). What was not noted is taken to be as it was before. Readings of one moment keep the
/// order in which they came.
pub fn sittings(readings: &[Reading]) -> Vec<Sitting> {
    let mut in_order = readings.to_vec();
    in_order.sort_by_key(|reading| reading.at);
    let mut sittings: Vec<Sitting> = Vec::new();
    // What was noted last in the sitting that is open.
    let (mut wound, mut warmth) = (None, None);
    for reading in in_order {
        let same_wind = wound.zip(reading.wound).is_none_or(|(before, now)| before == now);
        let same_warmth = warmth
            .zip(reading.temperature)
            .is_none_or(|(before, now): (f64, f64)| (before - now).abs() <= SAME_WARMTH_C);
        match sittings.last_mut() {
            Some(sitting) if same_wind && same_warmth && sitting.is_open_at(&reading) => {
                (wound, warmth) = (reading.wound.or(wound), reading.temperature.or(warmth));
                sitting.readings.push(reading);
            }
            _ => {
                (wound, warmth) = (reading.wound, reading.temperature);
                sittings.push(Sitting { readings: vec![reading] });
            }
        }
    }
    sittings
}

/// One go at the timing machine: at least one reading, in order of time.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Sitting {
    readings: Vec<Reading>,
}

impl Sitting {
    /// A sitting of readings that are known to belong together; `None` of nothing.
    pub(super) fn of(mut readings: Vec<Reading>) -> Option<Sitting> {
        readings.sort_by_key(|reading| reading.at);
        (!readings.is_empty()).then_some(Sitting { readings })
    }

    /// All readings, in order of time.
    pub fn readings(&self) -> &[Reading] {
        &self.readings
    }

    /// The reading that stands for each position, in the order of [`Position::ALL`]: the last one
    /// taken in it, because a watch is read again after it was regulated.
    pub fn by_position(&self) -> Vec<&Reading> {
        Position::ALL
            .into_iter()
            .filter_map(|position| self.readings.iter().rev().find(|reading| reading.position == position))
            .collect()
    }

    /// What the readings say, from the reading that stands for each position. `movement_lift` is
    /// the movement's own lift angle in degrees, by which amplitudes are put right.
    pub fn figures(&self, movement_lift: Option<f64>) -> SittingFigures {
        let standing = self.by_position();
        let rates = |wanted: &dyn Fn(Position) -> bool| -> Vec<f64> {
            standing.iter().filter(|r| wanted(r.position)).map(|r| r.rate).collect()
        };
        let amplitudes = |wanted: &dyn Fn(Position) -> bool| -> Vec<f64> {
            standing
                .iter()
                .filter(|r| wanted(r.position))
                .filter_map(|r| r.true_amplitude(movement_lift))
                .collect()
        };
        let less = |a: Option<f64>, b: Option<f64>| Some(a? - b?);
        let all = rates(&|_| true);
        let flat = Position::is_horizontal;
        let upright = |position: Position| !position.is_horizontal();
        let only = |wanted: Position| mean(&rates(&|position| position == wanted));
        let horizontal_amplitude = mean(&amplitudes(&flat));
        let vertical_amplitude = mean(&amplitudes(&upright));
        SittingFigures {
            positions: standing.len(),
            mean_rate: mean(&all).unwrap_or_default(),
            spread: spread(&all).filter(|_| all.len() > 1),
            dial_up_less_dial_down: less(only(Position::DialUp), only(Position::DialDown)),
            horizontal_less_vertical: less(mean(&rates(&flat)), mean(&rates(&upright))),
            horizontal_amplitude,
            vertical_amplitude,
            least_amplitude: amplitudes(&|_| true).into_iter().reduce(f64::min),
            amplitude_drop: less(horizontal_amplitude, vertical_amplitude),
            greatest_beat_error: standing.iter().filter_map(|r| r.beat_error).reduce(f64::max),
        }
    }

    /// Whether the next reading comes soon enough after the last.
    fn is_open_at(&self, next: &Reading) -> bool {
        self.readings.last().is_none_or(|last| next.at.duration_since(last.at) <= LONGEST_PAUSE)
    }
}

// Ours: six positions take less than an hour, the reading at 24 h is a day away, and an evening
// may go on past midnight.
const LONGEST_PAUSE: SignedDuration = SignedDuration::from_hours(6);

// Ours: well below the 15 degrees between the temperatures of ISO 3159, well above a warm lamp.
const SAME_WARMTH_C: f64 = 5.0;

/// What one sitting says of the watch. Each position counts once. `None` where the positions, or
/// the values, that a figure needs were not read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SittingFigures {
    /// In how many positions the watch was read, 1 to 6.
    pub positions: usize,
    /// Mean rate over the positions, s/d.
    pub mean_rate: f64,
    /// The fastest position less the slowest (delta), s/d; `None` with one position.
    pub spread: Option<f64>,
    /// CH less FH, s/d.
    pub dial_up_less_dial_down: Option<f64>,
    /// Mean of the horizontal positions less mean of the vertical ones, s/d.
    pub horizontal_less_vertical: Option<f64>,
    /// Mean amplitude dial up and dial down, degrees, the lift angle put right.
    pub horizontal_amplitude: Option<f64>,
    /// Mean amplitude in the vertical positions, degrees, the lift angle put right.
    pub vertical_amplitude: Option<f64>,
    /// The smallest amplitude in any position, degrees, the lift angle put right.
    pub least_amplitude: Option<f64>,
    /// Horizontal less vertical amplitude, degrees.
    pub amplitude_drop: Option<f64>,
    /// The greatest beat error in any position, abs(t1 - t2) / 2 in ms.
    pub greatest_beat_error: Option<f64>,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::timing::Wound;
    use jiff::civil::{DateTime, date};

    fn reading(at: DateTime, symbol: &str, rate: f64) -> Reading {
        Reading {
            at,
            position: Position::parse(symbol).unwrap(),
            rate,
            amplitude: None,
            beat_error: None,
            wound: None,
            lift_angle: None,
            temperature: None,
        }
    }

    fn evening(hour: i8, minute: i8) -> DateTime {
        date(2026, 1, 20).at(hour, minute, 0, 0)
    }

    #[test]
    fn figures_of_six_positions() {
        let mut readings = Vec::new();
        for (minute, symbol, rate, amplitude) in [
            (0, "CH", 6.0, 280.0),
            (2, "FH", 4.0, 276.0),
            (4, "3H", -2.0, 250.0),
            (6, "6H", 1.0, 246.0),
            (8, "9H", 3.0, 244.0),
            (10, "12H", 0.0, 252.0),
        ] {
            let amplitude = Some(amplitude);
            readings.push(Reading { amplitude, ..reading(evening(20, minute), symbol, rate) });
        }
        readings[3].beat_error = Some(0.4);
        readings[1].beat_error = Some(0.2);
        let sittings = sittings(&readings);
        assert_eq!(sittings.len(), 1);
        let figures = sittings[0].figures(None);
        assert_eq!(figures.positions, 6);
        assert_eq!(figures.mean_rate, 2.0);
        assert_eq!(figures.spread, Some(8.0));
        assert_eq!(figures.dial_up_less_dial_down, Some(2.0));
        assert_eq!(figures.horizontal_less_vertical, Some(4.5));
        assert_eq!(figures.horizontal_amplitude, Some(278.0));
        assert_eq!(figures.vertical_amplitude, Some(248.0));
        assert_eq!(figures.least_amplitude, Some(244.0));
        assert_eq!(figures.amplitude_drop, Some(30.0));
        assert_eq!(figures.greatest_beat_error, Some(0.4));
    }

    #[test]
    fn a_position_read_again_counts_as_read_last() {
        let readings = [
            reading(evening(20, 0), "CH", 20.0),
            reading(evening(20, 5), "FH", 18.0),
            reading(evening(20, 30), "CH", 4.0),
        ];
        let figures = sittings(&readings)[0].figures(None);
        assert_eq!(figures.positions, 2);
        assert_eq!(figures.mean_rate, 11.0);
        assert_eq!(figures.dial_up_less_dial_down, Some(-14.0));
        assert_eq!(figures.horizontal_less_vertical, None);
    }

    #[test]
    fn where_a_sitting_ends() {
        let wound = |state| Reading { wound: Some(state), ..reading(evening(20, 30), "CH", 1.0) };
        let warm = |degrees| Reading { temperature: Some(degrees), ..reading(evening(20, 30), "CH", 1.0) };
        let first = Reading {
            wound: Some(Wound::Full),
            temperature: Some(22.0),
            ..reading(evening(20, 0), "CH", 1.0)
        };
        for (second, apart) in [
            (reading(evening(22, 0), "FH", 1.0), false),
            (reading(date(2026, 1, 21).at(2, 0, 0, 0), "FH", 1.0), false),
            (reading(date(2026, 1, 21).at(2, 1, 0, 0), "FH", 1.0), true),
            (wound(Wound::Full), false),
            (wound(Wound::HoursAfter(24.0)), true),
            (warm(24.0), false),
            (warm(38.0), true),
        ] {
            let expected = if apart { 2 } else { 1 };
            let pair = [second.clone(), first.clone()];
            assert_eq!(sittings(&pair).len(), expected, "{second:?}");
        }
        assert!(sittings(&[]).is_empty());
    }

    #[test]
    fn a_wrong_lift_angle_is_put_right() {
        let read =
            Reading { amplitude: Some(291.2), lift_angle: Some(52.0), ..reading(evening(20, 0), "CH", 1.0) };
        let figures = |lift| sittings(std::slice::from_ref(&read))[0].figures(lift);
        assert!((figures(Some(50.0)).least_amplitude.unwrap() - 280.0).abs() < 1e-9);
        assert_eq!(figures(None).least_amplitude, Some(291.2));
        assert_eq!(figures(None).spread, None);
    }
}
