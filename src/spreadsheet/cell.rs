//! What stands in a cell, so that no spreadsheet takes it for a formula.

/// A text as it is put into a cell.
///
/// A cell that begins so is a formula to a spreadsheet, and may fetch or run what it names: an
/// apostrophe before it makes it a text. A plain negative number is one without that. It also keeps
/// blanks at the beginning, which a reader takes off.
pub(super) fn guarded(text: &str) -> String {
    let begins = text.starts_with(|letter: char| letter.is_whitespace() || "=+-@'".contains(letter));
    match begins && text.parse::<f64>().is_err() {
        true => format!("'{text}"),
        false => text.to_owned(),
    }
}

/// The text that was put into a cell.
pub(super) fn plain(cell: &str) -> &str {
    cell.strip_prefix('\'').unwrap_or(cell)
}

/// A text as YAML reads it back, on one line; in quotes where it needs them.
pub(super) fn scalar(text: &str) -> String {
    let safe = |letter: char| letter.is_ascii_alphanumeric() || " .+-±~_".contains(letter);
    let first = text.starts_with(|letter: char| letter.is_ascii_alphanumeric() || "+-~".contains(letter));
    let plain = first && text.chars().all(safe) && text.trim() == text && !text.starts_with("- ");
    let means_nothing = matches!(text, "~" | "-") || text.eq_ignore_ascii_case("null");
    if plain && !means_nothing { text.to_owned() } else { quoted(text) }
}

/// A text in the quotes of YAML.
pub(super) fn quoted(text: &str) -> String {
    let mut out = String::from('"');
    for letter in text.chars() {
        // What YAML does not print, or takes for a break of line.
        let odd = letter.is_control() || matches!(letter, '\u{2028}'..='\u{202e}' | '\u{feff}');
        match letter {
            '"' | '\\' => out.extend(['\\', letter]),
            letter if odd => out.push_str(&format!("\\u{:04x}", letter as u32)),
            letter => out.push(letter),
        }
    }
    out.push('"');
    out
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn formulas_are_texts_and_numbers_stay_numbers() {
        assert_eq!(guarded("=HYPERLINK(\"x\")"), "'=HYPERLINK(\"x\")");
        assert_eq!(guarded("@SUM(1)"), "'@SUM(1)");
        assert_eq!(guarded("-2+3"), "'-2+3");
        assert_eq!(guarded("-0.05"), "-0.05");
        assert_eq!(guarded("28.5 ±0.02"), "28.5 ±0.02");
        assert_eq!(guarded("'quoted"), "''quoted");
    }

    proptest! {
        #[test]
        fn what_goes_in_comes_out(text in "[=+@'\t-]?.{0,12}") {
            let cell = guarded(&text);
            prop_assert_eq!(plain(&cell), text);
        }
    }
}
