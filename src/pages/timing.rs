//! What the timing machine said of a build.

use crate::journal::Build;
use crate::timing::{Position, Reading, Sitting, Wound, latest, sittings};

use super::context::{Section, Timing, TimingRow};
use super::words;

/// All readings of a build's log, in order of time; a row that names no position is left out, for
/// the journal's reader has told of it.
pub(super) fn readings(build: &Build) -> Vec<Reading> {
    let rows = build.entries.iter().flat_map(|entry| &entry.timing);
    let mut out: Vec<Reading> = rows
        .filter_map(|row| {
            Some(Reading {
                at: row.at,
                position: Position::parse(&row.position).ok()?,
                rate: row.rate,
                amplitude: row.amplitude,
                beat_error: row.beat_error,
                wound: row.wound.as_deref().and_then(|wound| Wound::parse(wound).ok()),
                lift_angle: row.lift_angle,
                temperature: row.temperature,
            })
        })
        .collect();
    out.sort_by_key(|reading| reading.at);
    out
}

/// The rate as the build's page says it: "Rate +3.7 s/d, mean of six positions".
pub(super) fn rate(readings: &[Reading], movement_lift: Option<f64>) -> Option<String> {
    let figures = latest(readings)?.figures(movement_lift);
    let positions = match figures.positions {
        1 => "in one position".to_owned(),
        number => format!("mean of {} positions", number_word(number)),
    };
    Some(format!("Rate {} s/d, {positions}", words::signed(figures.mean_rate)))
}

/// The charts and the latest set as a table; `None` where nothing was timed.
pub(super) fn timing(
    readings: &[Reading],
    movement_lift: Option<f64>,
    positions: Section,
    over_time: Section,
) -> Option<Timing> {
    let sitting = latest(readings)?;
    Some(Timing {
        positions,
        over_time,
        about: about(readings, &sitting),
        rows: rows(&sitting, movement_lift),
    })
}

fn rows(sitting: &Sitting, movement_lift: Option<f64>) -> Vec<TimingRow> {
    let each = sitting.by_position().into_iter().map(|reading| TimingRow {
        position: reading.position.symbol().to_owned(),
        words: reading.position.words().to_owned(),
        rate: words::signed(reading.rate),
        amplitude: reading
            .true_amplitude(movement_lift)
            .map(|degrees| format!("{degrees:.0}°"))
            .unwrap_or_default(),
        beat_error: reading.beat_error.map(|ms| format!("{ms:.1}")).unwrap_or_default(),
    });
    each.collect()
}

fn about(readings: &[Reading], last: &Sitting) -> String {
    let day = |sitting: &Sitting| sitting.readings().first().map(|reading| words::day(reading.at.date()));
    let all = sittings(readings);
    let last = day(last).unwrap_or_default();
    match all.first().and_then(day) {
        Some(first) if all.len() > 1 && first != last => {
            format!("Open circle: {first}. Diamond: {last}. Washed: the target.")
        }
        _ => format!("Read on {last}."),
    }
}

fn number_word(number: usize) -> String {
    let words = ["no", "one", "two", "three", "four", "five", "six"];
    words.get(number).map_or_else(|| number.to_string(), |word| (*word).to_owned())
}
