//! What stands in a cell, so that no spreadsheet takes it for a formula.

/// A text as it is put into a cell.
///
/// A cell that begins so is a formula to a spreadsheet, and may fetch or run what it names: an
/// apostrophe before it makes it a text. A plain negative number is one without that.
pub(super) fn guarded(text: &str) -> String {
    let begins = text.starts_with(['=', '+', '-', '@', '\t', '\r', '\'']);
    match begins && text.parse::<f64>().is_err() {
        true => format!("'{text}"),
        false => text.to_owned(),
    }
}

/// The text that was put into a cell.
pub(super) fn plain(cell: &str) -> &str {
    cell.strip_prefix('\'').unwrap_or(cell)
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
