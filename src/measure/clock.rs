//! Directions by the clock: 12h is 0 degrees, clockwise, an hour is 30 and a minute half a degree.

/// A direction written by the clock: `3h`, `4h30`, `12h`; `None` where it is not one.
pub fn parse(text: &str) -> Option<f64> {
    let (hours, minutes) = text.split_once('h')?;
    let number = |text: &str, most: u32, width: usize| {
        let plain = !text.is_empty() && text.len() <= width && text.bytes().all(|byte| byte.is_ascii_digit());
        let value: u32 = if plain { text.parse().ok()? } else { return None };
        (value <= most).then_some(value)
    };
    let hours = number(hours, 12, 2)?;
    let minutes = match minutes {
        "" => 0,
        two if two.len() == 2 => number(two, 59, 2)?,
        _ => return None,
    };
    if hours == 12 && minutes > 0 {
        return Some(f64::from(minutes) * 0.5);
    }
    Some((f64::from(hours % 12) * 60.0 + f64::from(minutes)) * 0.5)
}

/// The direction in clock words where it falls on a whole minute: `3h`, `4h30`.
pub fn print(degrees: f64) -> Option<String> {
    let minutes = wrap(degrees) * 2.0;
    if (minutes - minutes.round()).abs() > 1e-9 {
        return None;
    }
    let minutes = minutes.round() as u32 % 720;
    let hours = if minutes / 60 == 0 { 12 } else { minutes / 60 };
    Some(if minutes.is_multiple_of(60) {
        format!("{hours}h")
    } else {
        format!("{hours}h{:02}", minutes % 60)
    })
}

/// The same direction in 0 .. 360.
pub fn wrap(degrees: f64) -> f64 {
    let turned = degrees % 360.0;
    if turned < 0.0 { turned + 360.0 } else { turned }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hours_are_thirty_degrees() {
        for (text, degrees) in [("3h", 90.0), ("12h", 0.0), ("4h30", 135.0), ("3h45", 112.5), ("12h36", 18.0)]
        {
            assert_eq!(parse(text), Some(degrees), "{text}");
            assert_eq!(print(degrees).as_deref(), Some(text));
        }
        for wrong in ["13h", "3h60", "h30", "3h5", "3 h", "-3h", "3h045", "3h+5"] {
            assert_eq!(parse(wrong), None, "{wrong}");
        }
        assert_eq!(print(90.1), None);
    }
}
