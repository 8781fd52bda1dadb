//! The readings by which a watch is judged today.

use super::chronometer::{Programme, of_day};
use super::reading::Reading;
use super::sitting::{Sitting, sittings};

/// The latest sitting; or, where the log ends with a whole programme of ISO 3159, its first ten
/// days, because the last of them alone would speak for one position. `None` of no readings.
pub fn latest(readings: &[Reading]) -> Option<Sitting> {
    let last = sittings(readings).pop()?;
    let ends = last.readings().iter().map(|reading| reading.at.date()).max()?;
    let programme = Programme::find(readings).filter(Programme::is_whole);
    // It ends on day 15; a reading of a later day stands for itself.
    let Some(programme) = programme.filter(|programme| {
        of_day(readings, programme.begun, 14).is_some_and(|reading| reading.at.date() == ends)
    }) else {
        return Some(last);
    };
    let days = (0..10).filter_map(|day| of_day(readings, programme.begun, day).cloned());
    Sitting::of(days.collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::timing::Position;
    use jiff::ToSpan;
    use jiff::civil::date;

    fn programme() -> Vec<Reading> {
        let asked = [
            ("6H", 23.0),
            ("6H", 23.0),
            ("3H", 23.0),
            ("3H", 23.0),
            ("9H", 23.0),
            ("9H", 23.0),
            ("FH", 23.0),
            ("FH", 23.0),
            ("CH", 23.0),
            ("CH", 23.0),
            ("CH", 8.0),
            ("CH", 23.0),
            ("CH", 38.0),
            ("6H", 23.0),
            ("6H", 23.0),
        ];
        let day = |(day, (symbol, degrees)): (i64, (&str, f64))| Reading {
            at: date(2026, 10, 3).at(8, 0, 0, 0).checked_add(day.days()).unwrap(),
            position: Position::parse(symbol).unwrap(),
            rate: day as f64,
            amplitude: None,
            beat_error: None,
            wound: None,
            lift_angle: None,
            temperature: Some(degrees),
        };
        (0..).zip(asked).map(day).collect()
    }

    #[test]
    fn a_whole_programme_speaks_for_five_positions() {
        let mut readings = programme();
        let figures = latest(&readings).unwrap().figures(None);
        assert_eq!((figures.positions, figures.mean_rate), (5, 5.0));
        readings.push(Reading { at: date(2026, 11, 1).at(8, 0, 0, 0), rate: 7.0, ..readings[0].clone() });
        let figures = latest(&readings).unwrap().figures(None);
        assert_eq!((figures.positions, figures.mean_rate), (1, 7.0));
    }

    #[test]
    fn otherwise_the_last_sitting() {
        let readings = programme();
        assert_eq!(latest(&readings[..14]).unwrap().readings(), &readings[13..14]);
        assert_eq!(latest(&[]), None);
    }
}
