//! Dates and times as people write them in front matter.

use jiff::civil::{Date, DateTime, Time};

/// A date, `2026-01-17`. The error is for the person.
pub fn date(text: &str) -> Result<Date, String> {
    let mut parts = text.split('-');
    let (Some(year), Some(month), Some(day), None) = (parts.next(), parts.next(), parts.next(), parts.next())
    else {
        return Err(format!("`{text}` is not a date: write it like 2026-01-17"));
    };
    let plain = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    if year.len() != 4 || month.len() != 2 || day.len() != 2 || ![year, month, day].into_iter().all(plain) {
        return Err(format!("`{text}` is not a date: write year, month and day like 2026-01-17"));
    }
    let (Ok(year), Ok(month), Ok(day)) = (year.parse(), month.parse(), day.parse()) else {
        return Err(format!("`{text}` is not a date: write it like 2026-01-17"));
    };
    Date::new(year, month, day).map_err(|_| format!("there is no {text} in the calendar"))
}

/// A time of the day, `20:00`.
pub fn time(text: &str) -> Result<Time, String> {
    let fault = || format!("`{text}` is not a time: write it like 20:00");
    let (hour, minute) = text.split_once(':').ok_or_else(fault)?;
    let plain = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    if hour.len() > 2 || minute.len() != 2 || !plain(hour) || !plain(minute) {
        return Err(fault());
    }
    let (hour, minute) = (hour.parse().map_err(|_| fault())?, minute.parse().map_err(|_| fault())?);
    Time::new(hour, minute, 0, 0).map_err(|_| fault())
}

/// A date with or without a time, `2026-01-20 20:00`; without one it is midnight.
pub fn moment(text: &str) -> Result<DateTime, String> {
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
            assert!(date(wrong).expect_err(wrong).contains(words), "{wrong}");
        }
        assert!(moment("2026-01-20 25:00").is_err());
    }
}
