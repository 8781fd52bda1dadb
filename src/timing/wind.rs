//! How rate and amplitude go with the mainspring running down.

use super::position::Position;
use super::reading::{Reading, Wound};
use super::sitting::sittings;
use super::statistics::mean;

/// The drift of a watch from full wind to the last reading taken before it was wound again.
#[derive(Clone, Debug, PartialEq)]
pub struct WindDrift {
    /// The state of wind of the later readings.
    pub later: Wound,
    /// The positions read in both states, in the order of [`Position::ALL`]; never empty.
    pub positions: Vec<Position>,
    /// Mean over the positions of the later rate less the one at full wind, s/d.
    pub rate: f64,
    /// Mean over the positions of the amplitude at full wind less the later one, degrees, the
    /// lift angle put right. `None` where no position has both.
    pub amplitude_lost: Option<f64>,
    /// The smallest later amplitude in a vertical position, degrees. `None` where none was read.
    pub least_vertical_amplitude: Option<f64>,
}

/// The latest drift that the readings show: a sitting at full wind, and the last sitting after it
/// in another state that shares a position with it. `None` where no two sittings do.
///
/// The comparison is position by position, so that a position read in one state only shifts
/// nothing. `movement_lift` is the movement's own lift angle in degrees.
pub fn wind_drift(readings: &[Reading], movement_lift: Option<f64>) -> Option<WindDrift> {
    let sittings = sittings(readings);
    let state = |index: usize| sittings[index].readings().iter().rev().find_map(|reading| reading.wound);
    let mut later = sittings.len();
    while let Some(index) = (0..later).rev().find(|&index| state(index).is_some_and(|s| !s.is_full())) {
        let full = (0..index).rev().find(|&before| state(before).is_some_and(Wound::is_full))?;
        let pairs: Vec<(&Reading, &Reading)> = sittings[full]
            .by_position()
            .into_iter()
            .filter_map(|at_full| {
                let after = sittings[index].by_position();
                after.into_iter().find(|r| r.position == at_full.position).map(|r| (at_full, r))
            })
            .collect();
        if let Some(wound) = state(index).filter(|_| !pairs.is_empty()) {
            let rates: Vec<f64> = pairs.iter().map(|(full, after)| after.rate - full.rate).collect();
            let amplitudes: Vec<f64> = pairs
                .iter()
                .filter_map(|(full, after)| {
                    Some(full.true_amplitude(movement_lift)? - after.true_amplitude(movement_lift)?)
                })
                .collect();
            return Some(WindDrift {
                later: wound,
                positions: pairs.iter().map(|(full, _)| full.position).collect(),
                rate: mean(&rates)?,
                amplitude_lost: mean(&amplitudes),
                least_vertical_amplitude: sittings[index]
                    .by_position()
                    .into_iter()
                    .filter(|reading| !reading.position.is_horizontal())
                    .filter_map(|reading| reading.true_amplitude(movement_lift))
                    .reduce(f64::min),
            });
        }
        later = index;
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    fn read(day: i8, symbol: &str, wound: Wound, rate: f64, amplitude: f64) -> Reading {
        Reading {
            at: date(2026, 1, day).at(20, 0, 0, 0),
            position: Position::parse(symbol).unwrap(),
            rate,
            amplitude: Some(amplitude),
            beat_error: None,
            wound: Some(wound),
            lift_angle: None,
            temperature: None,
        }
    }

    #[test]
    fn from_full_wind_to_a_day_later() {
        let day = Wound::HoursAfter(24.0);
        let readings = [
            read(3, "CH", Wound::Full, 99.0, 300.0),
            read(20, "CH", Wound::Full, 6.0, 280.0),
            read(20, "6H", Wound::Full, 2.0, 250.0),
            read(20, "FH", Wound::Full, 1.0, 279.0),
            read(21, "CH", day, 9.0, 250.0),
            read(21, "6H", day, 7.0, 210.0),
            read(22, "9H", Wound::Low, 0.0, 150.0),
        ];
        let drift = wind_drift(&readings, None).unwrap();
        assert_eq!(drift.later, day);
        assert_eq!(drift.positions, [Position::DialUp, Position::SixUp]);
        assert_eq!(drift.rate, 4.0);
        assert_eq!(drift.amplitude_lost, Some(35.0));
        assert_eq!(drift.least_vertical_amplitude, Some(210.0));
    }

    #[test]
    fn nothing_to_compare() {
        assert_eq!(wind_drift(&[], None), None);
        assert_eq!(wind_drift(&[read(20, "CH", Wound::Half, 1.0, 250.0)], None), None);
        let apart = [read(20, "CH", Wound::Full, 1.0, 250.0), read(21, "FH", Wound::Half, 1.0, 250.0)];
        assert_eq!(wind_drift(&apart, None), None);
    }
}
