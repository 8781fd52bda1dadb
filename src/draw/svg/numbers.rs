//! Numbers in a drawing: short coordinates, and figures for people.

use std::fmt;

/// A coordinate in px of the drawing, written with one decimal at most.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) struct Px(pub(crate) f64);

/// Nothing is drawn further out than this; a coordinate beyond it comes from an absurd figure.
const FARTHEST: f64 = 9_999.0;

impl Px {
    /// In tenths of a px, as it is written.
    pub(super) fn tenths(self) -> i64 {
        if !self.0.is_finite() {
            return 0;
        }
        // Within +-99 990, so the conversion is exact.
        #[expect(clippy::cast_possible_truncation, reason = "clamped and rounded just before")]
        let tenths = (self.0.clamp(-FARTHEST, FARTHEST) * 10.0).round() as i64;
        tenths
    }
}

impl fmt::Display for Px {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&tenths(self.tenths()))
    }
}

/// `-5` tenths as `-.5`: a zero before the point costs a byte and says nothing.
pub(super) fn tenths(value: i64) -> String {
    let sign = if value < 0 { "-" } else { "" };
    let (whole, rest) = (value.abs() / 10, value.abs() % 10);
    match (whole, rest) {
        (_, 0) => format!("{sign}{whole}"),
        (0, _) => format!("{sign}.{rest}"),
        _ => format!("{sign}{whole}.{rest}"),
    }
}

/// A figure for people: fixed decimals, a real minus sign, never `-0.00`. An absurd one stays short and
/// true: `>9999`.
pub(crate) fn figure(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return "\u{2014}".to_owned();
    }
    if value.abs() >= 10_000.0 {
        return if value < 0.0 { "<\u{2212}9999".to_owned() } else { ">9999".to_owned() };
    }
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.bytes().all(|b| b == b'0' || b == b'.') => rest.to_owned(),
        Some(rest) => format!("\u{2212}{rest}"),
        None => text,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_finite() {
        let written = |v| Px(v).to_string();
        assert_eq!(written(0.04), "0");
        assert_eq!(written(-0.04), "0");
        assert_eq!(written(-0.5), "-.5");
        assert_eq!(written(12.34), "12.3");
        assert_eq!(written(f64::NAN), "0");
        assert_eq!(written(f64::INFINITY), "0");
        assert_eq!(written(1e300), "9999");
    }

    #[test]
    fn figures_have_a_real_minus_and_no_negative_zero() {
        assert_eq!(figure(-1.28, 2), "\u{2212}1.28");
        assert_eq!(figure(-0.001, 2), "0.00");
        assert_eq!(figure(0.0, 3), "0.000");
        assert_eq!(figure(f64::NAN, 2), "\u{2014}");
        assert_eq!(figure(-1e300, 2), "<\u{2212}9999");
    }
}
