//! Dates and times as people write them in front matter.

use std::fmt;

use jiff::civil::{Date, DateTime, Time};

/// What is wrong with a date or a time, with what was written.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum DateFault {
    /// Not a date at all.
    NotADate(String),
    /// Not four, two and two digits.
    NotPadded(String),
    /// No such day.
    NotInCalendar(String),
    /// Not a time of the day.
    NotATime(String),
}

impl fmt::Display for DateFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            DateFault::NotADate(text) => write!(f, "`{text}` is not a date: write it like 2026-01-17"),
            DateFault::NotPadded(text) => {
                write!(f, "`{text}` is not a date: write year, month and day like 2026-01-17")
            }
            DateFault::NotInCalendar(text) => write!(f, "there is no {text} in the calendar"),
            DateFault::NotATime(text) => write!(f, "`{text}` is not a time: write it like 20:00"),
        }
    }
}

impl std::error::Error for DateFault {}

/// A date, `2026-01-17`.
pub fn date(text: &str) -> Result<Date, DateFault> {
    let mut parts = text.split('-');
    let (Some(year), Some(month), Some(day), None) = (parts.next(), parts.next(), parts.next(), parts.next())
    else {
        return Err(DateFault::NotADate(text.to_owned()));
    };
    let plain = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    if year.len() != 4 || month.len() != 2 || day.len() != 2 || ![year, month, day].into_iter().all(plain) {
        return Err(DateFault::NotPadded(text.to_owned()));
    }
    let (Ok(year), Ok(month), Ok(day)) = (year.parse(), month.parse(), day.parse()) else {
        return Err(DateFault::NotADate(text.to_owned()));
    };
    Date::new(year, month, day).map_err(|_| DateFault::NotInCalendar(text.to_owned()))
}

/// A time of the day, `20:00`.
pub fn time(text: &str) -> Result<Time, DateFault> {
    let fault = || DateFault::NotATime(text.to_owned());
    let (hour, minute) = text.split_once(':').ok_or_else(fault)?;
    let plain = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    if hour.len() > 2 || minute.len() != 2 || !plain(hour) || !plain(minute) {
        return Err(fault());
    }
    let (hour, minute) = (hour.parse().map_err(|_| fault())?, minute.parse().map_err(|_| fault())?);
    Time::new(hour, minute, 0, 0).map_err(|_| fault())
}

/// A date with or without a time, `2026-01-20 20:00`; without one it is midnight.
pub fn moment(text: &str) -> Result<DateTime, DateFault> {
    match text.split_once([' ', 'T']) {
        Some((day, clock)) => Ok(date(day)?.to_datetime(time(clock.trim())?)),
        None => Ok(date(text)?.to_datetime(Time::midnight())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_are_those_of_the_calendar() {
        assert_eq!(date("2026-01-17").map(|date| date.to_string()), Ok("2026-01-17".into()));
        assert_eq!(moment("2026-01-20 20:05").map(|at| at.to_string()), Ok("2026-01-20T20:05:00".into()));
        for (wrong, words) in [
            ("2026-02-30", "there is no 2026-02-30"),
            ("17.1.2026", "write it like 2026-01-17"),
            ("2026-1-7", "like 2026-01-17"),
            ("tomorrow", "is not a date"),
            ("2026-01-17-3", "is not a date"),
            ("+026-01-17", "like 2026-01-17"),
            ("2026-+1-17", "like 2026-01-17"),
        ] {
            assert!(date(wrong).expect_err(wrong).to_string().contains(words), "{wrong}");
        }
        assert!(moment("2026-01-20 25:00").is_err());
    }
}
