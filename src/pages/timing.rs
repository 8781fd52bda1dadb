//! What the timing machine said of a build.

use jiff::civil::Date;

use crate::draw::{self, Range};
use crate::journal::Build;
use crate::timing::{Position, Reading, Sitting, latest, sittings};

use super::context::{Section, Timing, TimingRow};
use super::words;

/// The rate as the build's page says it: "Rate +3.7 s/d, mean of six positions".
pub(super) fn rate(readings: &[Reading], movement_lift: Option<f64>) -> Option<String> {
    let figures = latest(readings)?.figures(movement_lift);
    let positions = match figures.positions {
        1 => "in one position".to_owned(),
        number => format!("mean of {} positions", words::number(number)),
    };
    Some(format!("Rate {} s/d, {positions}", words::signed(figures.mean_rate)))
}

/// The charts and the latest set as a table; `None` where nothing was timed.
pub(super) fn timing(build: &Build, readings: &[Reading], movement_lift: Option<f64>) -> Option<Timing> {
    let last = latest(readings)?;
    let all = sittings(readings);
    let target = target(build);
    // The first sitting is the one before; one that is the latest itself has none before it.
    let first = all.first().filter(|first| begun(first) != begun(&last));
    let before = |position: Position| {
        let reading = first?.by_position().into_iter().find(|reading| reading.position == position)?;
        Some(reading.rate)
    };
    let positions = last.by_position().into_iter().map(|reading| draw::PositionRate {
        code: reading.position.symbol().to_owned(),
        words: reading.position.words().to_owned(),
        before: before(reading.position),
        rate: Some(reading.rate),
        amplitude: reading.true_amplitude(movement_lift),
        beat_error: reading.beat_error,
    });
    let chart = draw::PositionRates { target, positions: positions.collect() };
    let sets = sets(&all, movement_lift);
    let several = sets.iter().any(|set| set.day > 0.0);
    let rates = draw::RateHistory { target, means: sets };
    Some(Timing {
        positions: Section {
            wide_svg: draw::rate_by_position(&chart),
            narrow_svg: draw::narrow_rate_by_position(&chart),
            ..Section::default()
        },
        over_time: Section {
            wide_svg: if several { draw::rate_over_time(&rates) } else { String::new() },
            ..Section::default()
        },
        about: about(readings, &last),
        rows: rows(&last, movement_lift),
    })
}

/// The rate that a build aims at.
pub(super) fn target(build: &Build) -> Range {
    build.target.rate.as_ref().map_or_else(Range::default, |rate| {
        Range::between(rate.value.value - rate.value.minus, rate.value.value + rate.value.plus)
    })
}

/// The mean rate of each sitting for the chart over time.
pub(super) fn sets(all: &[Sitting], movement_lift: Option<f64>) -> Vec<draw::MeanRate> {
    let each = all.iter().filter_map(|sitting| {
        let day = begun(sitting)?;
        let since = begun(all.first()?)?.until(day).ok()?.get_days();
        Some(draw::MeanRate {
            day: f64::from(since),
            date: words::short_day(day),
            rate: sitting.figures(movement_lift).mean_rate,
            note: String::new(),
        })
    });
    each.collect()
}

fn begun(sitting: &Sitting) -> Option<Date> {
    sitting.readings().first().map(|reading| reading.at.date())
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
