//! The fifteen-day programme and the criteria of ISO 3159:2009, computed from a person's own log.
//!
//! The programme was seen at gm4slv.org.uk, the limits and "no calculation result is rounded" at
//! cosc.swiss; the standard's own text was not. Whatever comes out is [`NOT_A_CERTIFICATE`].

use jiff::ToSpan;
use jiff::civil::Date;

use super::position::Position;
use super::reading::Reading;
use super::statistics::mean;

/// To be printed wherever the criteria are.
pub const NOT_A_CERTIFICATE: &str = "not a certificate: computed from the log by the criteria of ISO 3159; \
     only a recognised body certifies a chronometer";

/// The rates of a programme as far as it was logged.
#[derive(Clone, Debug, PartialEq)]
pub struct Programme {
    /// The date of day 1.
    pub begun: Date,
    /// The rate of each day, s/d; `None` where no reading fits the day.
    pub rates: [Option<f64>; 15],
    /// What is missing, in words, one line a day; empty where the whole programme was logged.
    pub missing: Vec<String>,
}

impl Programme {
    /// The latest programme in the log: fifteen days in a row, each with a reading in its position
    /// and at its temperature. Of several readings that fit a day the last counts.
    ///
    /// `None` where fewer than eight of its days fit, because then nobody was following it.
    pub fn find(readings: &[Reading]) -> Option<Programme> {
        if readings.len() < FEWEST_DAYS {
            return None;
        }
        let mut starts: Vec<Date> = readings
            .iter()
            .flat_map(|r| (0..15).filter_map(|day: i64| r.at.date().checked_sub(day.days()).ok()))
            .collect();
        starts.sort_unstable();
        starts.dedup();
        let counted = starts.into_iter().map(|begun| {
            let rates = rates(readings, begun);
            (rates.iter().flatten().count(), begun, rates)
        });
        let (count, begun, rates) = counted.max_by_key(|&(count, begun, _)| (count, begun))?;
        if count < FEWEST_DAYS {
            return None;
        }
        let missing =
            (0..15).filter(|&day| rates[day].is_none()).map(|day| why_missing(readings, begun, day));
        Some(Programme { begun, rates, missing: missing.collect() })
    }

    /// A programme of rates that were taken as it asks; `None` for a day that was not.
    pub fn of_rates(begun: Date, rates: [Option<f64>; 15]) -> Programme {
        let missing = (0..15).filter(|&day| rates[day].is_none()).map(|day| why_missing(&[], begun, day));
        Programme { begun, rates, missing: missing.collect() }
    }

    /// Whether all fifteen days were logged.
    pub fn is_whole(&self) -> bool {
        self.missing.is_empty()
    }

    /// The seven criteria, in the order of the standard.
    pub fn criteria(&self) -> [Criterion; 7] {
        let mean_rate = self.first_ten().and_then(|rates| mean(&rates));
        let variations = self.variations();
        let six_up = self.mean_of(&[1, 2]);
        let vertical_less_horizontal = six_up.zip(self.mean_of(&[9, 10])).map(|(v, h)| v - h);
        let greatest = |rates: [f64; 10], mean: f64| {
            rates.into_iter().map(|rate| (rate - mean).abs()).fold(0.0, f64::max)
        };
        let per_degree = self.day(13).zip(self.day(11)).map(|(warm, cold)| (warm - cold) / 30.0);
        let resumed = self.day(15).zip(six_up).map(|(last, first)| last - first);
        let limits = |low: f64, high: f64| CriterionLimits { low, high };
        let new = |symbol, title, value: Option<f64>, first, second| Criterion {
            symbol,
            title,
            value,
            other_sign: None,
            limits: [first, second],
        };
        [
            new("M", "mean daily rate", mean_rate, limits(-4.0, 6.0), limits(-5.0, 8.0)),
            new(
                "V",
                "mean variation of the rate within a position",
                variations.and_then(|v| mean(&v)),
                limits(0.0, 2.0),
                limits(0.0, 3.4),
            ),
            new(
                "Vmax",
                "greatest variation of the rate within a position",
                variations.map(|v| v.into_iter().fold(0.0, f64::max)),
                limits(0.0, 5.0),
                limits(0.0, 7.0),
            ),
            Criterion {
                other_sign: vertical_less_horizontal.map(|d| -d),
                ..new(
                    "D",
                    "vertical (6H) less horizontal (CH); the standard's sign is not known here, so both must hold",
                    vertical_less_horizontal,
                    limits(-6.0, 8.0),
                    limits(-8.0, 10.0),
                )
            },
            new(
                "P",
                "greatest difference between a daily rate and the mean",
                self.first_ten().zip(mean_rate).map(|(rates, mean)| greatest(rates, mean)),
                limits(0.0, 10.0),
                limits(0.0, 15.0),
            ),
            new("C", "variation of the rate per degree", per_degree, limits(-0.6, 0.6), limits(-0.7, 0.7)),
            new("R", "resumption of the rate", resumed, limits(-5.0, 5.0), limits(-6.0, 6.0)),
        ]
    }

    fn day(&self, day: usize) -> Option<f64> {
        self.rates[day - 1]
    }

    fn mean_of(&self, days: &[usize; 2]) -> Option<f64> {
        Some((self.day(days[0])? + self.day(days[1])?) / 2.0)
    }

    fn first_ten(&self) -> Option<[f64; 10]> {
        let mut rates = [0.0; 10];
        for (day, rate) in rates.iter_mut().enumerate() {
            *rate = self.rates[day]?;
        }
        Some(rates)
    }

    /// How far the second day in a position differs from the first, for the five positions.
    fn variations(&self) -> Option<[f64; 5]> {
        let rates = self.first_ten()?;
        let mut variations = [0.0; 5];
        for (position, variation) in variations.iter_mut().enumerate() {
            *variation = (rates[2 * position + 1] - rates[2 * position]).abs();
        }
        Some(variations)
    }
}

/// One criterion of ISO 3159.
#[derive(Clone, Debug, PartialEq)]
pub struct Criterion {
    /// The standard's symbol.
    pub symbol: &'static str,
    /// What it is, in words.
    pub title: &'static str,
    /// s/d, `C` in s/d per degree Celsius, not rounded. `None` where a day that it needs is missing.
    pub value: Option<f64>,
    /// `D` by the other sign convention, horizontal less vertical; `None` for the other criteria.
    pub other_sign: Option<f64>,
    /// Category 1 (movements over 20 mm) and category 2 (20 mm and less); the limits are included.
    pub limits: [CriterionLimits; 2],
}

impl Criterion {
    /// How the value stands against the limits of a category.
    pub fn standing(&self, category: Category) -> CriterionResult {
        let limits = self.limits[category as usize];
        let Some(value) = self.value else { return CriterionResult::NotComputed };
        match (limits.hold(value), self.other_sign.is_none_or(|other| limits.hold(other))) {
            (true, true) => CriterionResult::Pass,
            (false, false) => CriterionResult::Fail,
            _ if self.other_sign.is_some() => CriterionResult::OneSignOnly,
            _ => CriterionResult::Fail,
        }
    }
}

/// The limits of a criterion, in its unit; both included.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CriterionLimits {
    /// The least value that passes.
    pub low: f64,
    /// The greatest value that passes.
    pub high: f64,
}

impl CriterionLimits {
    /// The results are not rounded; only the last digits of the binary arithmetic are not held
    /// against a value that lies exactly on a limit.
    fn hold(self, value: f64) -> bool {
        const ARITHMETIC: f64 = 1e-9;
        self.low - ARITHMETIC <= value && value <= self.high + ARITHMETIC
    }
}

/// A category of ISO 3159.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Category {
    /// Category 1: a movement over 20 mm, or over 314 mm2.
    Larger,
    /// Category 2: a movement of 20 mm and less.
    Smaller,
}

impl Category {
    /// The category of a round movement, by its diameter in mm.
    pub fn of_diameter(movement_mm: f64) -> Category {
        if movement_mm > 20.0 { Category::Larger } else { Category::Smaller }
    }
}

/// How a criterion stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CriterionResult {
    /// Within the limits, by both sign conventions where there are two.
    Pass,
    /// Outside the limits.
    Fail,
    /// Within the limits by one sign convention only, which is no pass.
    OneSignOnly,
    /// A day that it needs is missing.
    NotComputed,
}

impl CriterionResult {
    /// The standing in words.
    pub fn words(self) -> &'static str {
        match self {
            CriterionResult::Pass => "pass",
            CriterionResult::Fail => "fail",
            CriterionResult::OneSignOnly => "no pass: within the limits by one sign of D only",
            CriterionResult::NotComputed => "not computed: a day is missing",
        }
    }
}

/// What the programme asks of each day: position and degrees Celsius.
const DAYS: [(Position, f64); 15] = [
    (Position::SixUp, 23.0),
    (Position::SixUp, 23.0),
    (Position::ThreeUp, 23.0),
    (Position::ThreeUp, 23.0),
    (Position::NineUp, 23.0),
    (Position::NineUp, 23.0),
    (Position::DialDown, 23.0),
    (Position::DialDown, 23.0),
    (Position::DialUp, 23.0),
    (Position::DialUp, 23.0),
    (Position::DialUp, 8.0),
    (Position::DialUp, 23.0),
    (Position::DialUp, 38.0),
    (Position::SixUp, 23.0),
    (Position::SixUp, 23.0),
];

/// ISO 3159 holds each temperature within a degree: from memory.
const WITHIN_C: f64 = 1.0;

/// Ours: more than half of the programme.
const FEWEST_DAYS: usize = 8;

fn fits(reading: &Reading, day: usize) -> bool {
    let (position, degrees) = DAYS[day];
    reading.position == position
        && reading.temperature.is_some_and(|measured| (measured - degrees).abs() <= WITHIN_C)
}

fn date_of(begun: Date, day: usize) -> Option<Date> {
    begun.checked_add(i64::try_from(day).ok()?.days()).ok()
}

fn rates(readings: &[Reading], begun: Date) -> [Option<f64>; 15] {
    std::array::from_fn(|day| of_day(readings, begun, day).map(|reading| reading.rate))
}

/// The reading that counts for a day of the programme, counted from 0: the last one that fits it.
pub(super) fn of_day(readings: &[Reading], begun: Date, day: usize) -> Option<&Reading> {
    let date = date_of(begun, day)?;
    // `max_by_key` takes the last of equal ones: the later line of the log.
    readings.iter().filter(|r| r.at.date() == date && fits(r, day)).max_by_key(|r| r.at)
}

/// What stands in the log on a day instead of what the programme asks.
fn why_missing(readings: &[Reading], begun: Date, day: usize) -> String {
    let (position, degrees) = DAYS[day];
    let date = date_of(begun, day);
    let when = date.map(|date| format!(", {date}")).unwrap_or_default();
    let asked = format!("day {}{when}: {position} at {degrees} degrees", day + 1);
    let on_the_day = readings.iter().filter(|reading| Some(reading.at.date()) == date);
    let Some(nearest) = on_the_day.max_by_key(|reading| (reading.position == position, reading.at)) else {
        return format!("{asked} was not read");
    };
    match nearest.temperature {
        _ if nearest.position != position => format!("{asked} was not read, {} was", nearest.position),
        None => format!("{asked} was read, but its temperature was not noted"),
        Some(measured) => format!("{asked} was read at {measured} degrees"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    fn logged() -> Vec<Reading> {
        let read = |(day, (position, degrees)): (usize, &(Position, f64))| Reading {
            at: date(2026, 3, 1 + i8::try_from(day).unwrap()).at(8, 0, 0, 0),
            position: *position,
            rate: day as f64 / 10.0,
            amplitude: None,
            beat_error: None,
            wound: None,
            lift_angle: None,
            temperature: Some(*degrees),
        };
        DAYS.iter().enumerate().map(read).collect()
    }

    #[test]
    fn a_whole_programme_is_found_in_a_longer_log() {
        let mut readings = logged();
        readings.push(Reading { at: date(2026, 3, 2).at(7, 0, 0, 0), rate: 99.0, ..readings[1].clone() });
        readings.push(Reading { at: date(2026, 2, 20).at(8, 0, 0, 0), ..readings[0].clone() });
        let programme = Programme::find(&readings).unwrap();
        assert_eq!(programme.begun, date(2026, 3, 1));
        assert!(programme.is_whole());
        assert_eq!(programme.rates[1], Some(0.1));
        for criterion in programme.criteria() {
            assert_eq!(criterion.standing(Category::Larger), CriterionResult::Pass, "{}", criterion.symbol);
        }
    }

    #[test]
    fn what_is_missing_is_said() {
        let mut readings = logged();
        readings[10].temperature = None;
        readings[12].temperature = Some(30.0);
        readings[13].position = Position::TwelveUp;
        readings.remove(4);
        let programme = Programme::find(&readings).unwrap();
        assert_eq!(
            programme.missing,
            [
                "day 5, 2026-03-05: 9H at 23 degrees was not read",
                "day 11, 2026-03-11: CH at 8 degrees was read, but its temperature was not noted",
                "day 13, 2026-03-13: CH at 38 degrees was read at 30 degrees",
                "day 14, 2026-03-14: 6H at 23 degrees was not read, 12H was",
            ]
        );
        let standings = programme.criteria().map(|c| (c.symbol, c.standing(Category::Smaller)));
        let not_computed = CriterionResult::NotComputed;
        assert_eq!(
            standings,
            [
                ("M", not_computed),
                ("V", not_computed),
                ("Vmax", not_computed),
                ("D", CriterionResult::Pass),
                ("P", not_computed),
                ("C", not_computed),
                ("R", CriterionResult::Pass),
            ]
        );
        assert_eq!(Programme::find(&logged()[..7]), None);
        assert_eq!(Programme::find(&[]), None);
    }

    #[test]
    fn one_sign_of_the_difference_is_no_pass() {
        let rates = std::array::from_fn(|day| Some(if [0, 1, 13, 14].contains(&day) { 7.0 } else { 0.0 }));
        let programme = Programme::of_rates(date(2026, 3, 1), rates);
        let [_, _, _, difference, ..] = programme.criteria();
        assert_eq!((difference.value, difference.other_sign), (Some(7.0), Some(-7.0)));
        assert_eq!(difference.standing(Category::Larger), CriterionResult::OneSignOnly);
        assert_eq!(difference.standing(Category::Smaller), CriterionResult::Pass);
        assert_eq!(Category::of_diameter(20.0), Category::Smaller);
        assert_eq!(Category::of_diameter(26.0), Category::Larger);
    }
}
