use super::*;
use proptest::prelude::*;

fn length(text: &str) -> Literal {
    parse(text, Quantity::Length).unwrap_or_else(|fault| panic!("{text}: {fault}"))
}

fn fault(text: &str, quantity: Quantity) -> String {
    parse(text, quantity).expect_err(text).to_string()
}

#[test]
fn lengths_as_people_write_them() {
    for (text, value, tolerance, origin) in [
        ("28.5", 28.5, None, None),
        ("28.52 ±0.02", 28.52, Some((0.02, 0.02)), None),
        ("28.52 +-0.02", 28.52, Some((0.02, 0.02)), None),
        ("28.52±0.02 mm", 28.52, Some((0.02, 0.02)), None),
        ("27.40 +0.00 -0.05", 27.40, Some((0.0, 0.05)), None),
        ("27.40 +0.02 −0.05", 27.40, Some((0.02, 0.05)), None),
        ("1.122 in", 1.122 * 25.4, None, None),
        ("900 um", 0.9, None, None),
        ("900 um ±20", 0.9, Some((0.02, 0.02)), None),
        ("12.5 lig ±0.02 mm", 12.5 * quantity_ligne(), Some((0.02, 0.02)), None),
        ("0.905 gauged", 0.905, None, Some(Origin::Gauged)),
        ("~28.5", 28.5, None, Some(Origin::Assumed)),
        ("~ 28.5 ±0.3", 28.5, Some((0.3, 0.3)), Some(Origin::Assumed)),
        ("28.5 ±0.1 stated", 28.5, Some((0.1, 0.1)), Some(Origin::Stated)),
    ] {
        let read = length(text);
        assert!((read.value - value).abs() < 1e-9, "{text}: {}", read.value);
        match (read.tolerance, tolerance) {
            (Some(a), Some(b)) => assert!((a.0 - b.0).abs() < 1e-9 && (a.1 - b.1).abs() < 1e-9, "{text}"),
            (a, b) => assert_eq!(a, b, "{text}"),
        }
        assert_eq!(read.origin, origin, "{text}");
    }
    let range = length("27.1..27.3");
    assert!((range.value - 27.2).abs() < 1e-9);
    assert!((range.tolerance.expect("a range has a width").0 - 0.1).abs() < 1e-9);
}

fn quantity_ligne() -> f64 {
    LIGNE
}

// The metre's legal definition of 10 December 1799: 1 m = 443.296 Paris lines.
#[test]
fn a_ligne_is_the_paris_line() {
    for text in ["11.5 lig", "11.5'''", "11.5‴", "11.5 lignes"] {
        assert!((length(text).value - 25.942).abs() < 0.0005, "{text}");
    }
}

// ISO 286-1:2010, over 18 to 30 mm: IT9 is 52 um; h lies below the size.
#[test]
fn a_tolerance_class_keeps_its_zone() {
    let read = length("28.5 h9");
    let (plus, minus) = read.tolerance.expect("a class has a width");
    assert!((read.value + plus - 28.5).abs() < 1e-9);
    assert!((read.value - minus - 28.448).abs() < 1e-9);
}

#[test]
fn directions_pressures_and_rates() {
    let clock = |text| parse(text, Quantity::Clock).map(|read| (read.value, read.tolerance));
    assert_eq!(clock("4h30"), Ok((135.0, None)));
    assert_eq!(clock("135 deg ±0.5"), Ok((135.0, Some((0.5, 0.5)))));
    assert_eq!(clock("3h ±0.5 deg"), Ok((90.0, Some((0.5, 0.5)))));
    assert_eq!(clock("-90 deg"), Ok((270.0, None)));
    assert_eq!(parse("30 m", Quantity::Pressure).map(|read| read.value), Ok(3.0));
    let rate = parse("-5..+10 s/d", Quantity::Rate).expect("a range of rates");
    assert_eq!((rate.value, rate.tolerance), (2.5, Some((7.5, 7.5))));
    assert_eq!(parse("+6", Quantity::Rate).map(|read| read.value), Ok(6.0));
}

#[test]
fn faults_say_what_to_write() {
    use Quantity::{Clock, Length, Pressure};
    for (text, quantity, words) in [
        ("28,5", Length, "has a decimal comma: write `28.5`"),
        ("28.5 mn", Length, "`mn` is not a unit of a length, did you mean `mm`?"),
        ("28.5 bar", Length, "`bar` is not a unit of a length"),
        ("28.5 gaged", Length, "did you mean `gauged`?"),
        ("-28.5", Length, "is below zero"),
        ("27.3..27.1", Length, "runs backwards"),
        ("1e308", Length, "has an exponent"),
        ("NaN", Length, "is not a length"),
        (".inf", Length, "is not a length"),
        ("99999", Length, "is beyond 1000 mm"),
        ("28.5 +0.02", Length, "one side of its tolerance only"),
        ("28.5 +0.02 +0.05", Length, "does not enclose"),
        ("28.5 q9", Length, "q"),
        ("90", Clock, "write `3h` for an hour of the dial or `90 deg`"),
        ("25h", Clock, "h"),
        ("3 psi", Pressure, "is not a unit of a pressure"),
        ("~28.5 gauged", Length, "says twice"),
        ("", Length, "is not a length"),
        ("28.5 29", Length, "is not understood"),
    ] {
        let said = fault(text, quantity);
        assert!(said.contains(words), "{text}: {said}");
    }
}

proptest! {
    #[test]
    fn printed_and_read_again(
        tenths in 0i64..9_999_999, plus in 0i64..9_999, minus in 0i64..9_999, origin in 0usize..5, kind in 0usize..4
    ) {
        let quantity = [Quantity::Length, Quantity::Height, Quantity::Rate, Quantity::Pressure][kind];
        let value = tenths as f64 / 1e4 * if quantity.signed() && plus % 2 == 0 { -1.0 } else { 1.0 };
        let size = Dimension {
            value, plus: plus as f64 / 1e4, minus: minus as f64 / 1e4, origin: Origin::ALL[origin], quantity,
            converted: false,
        };
        let text = size.to_string();
        let read = parse(&text, quantity).map_err(|fault| TestCaseError::fail(fault.to_string()))?;
        prop_assert_eq!(read.dimension(Origin::Stated, &Tolerances::default()), size, "{}", text);
    }

    #[test]
    fn directions_printed_and_read_again(minutes in 0u32..720, spread in 0i64..1000) {
        let spread = spread as f64 / 100.0;
        let size = Dimension {
            value: f64::from(minutes) / 2.0, plus: spread, minus: spread,
            origin: Origin::Measured, quantity: Quantity::Clock, converted: false,
        };
        let read = parse(&size.to_string(), Quantity::Clock)
            .map_err(|fault| TestCaseError::fail(fault.to_string()))?;
        prop_assert_eq!(read.dimension(Origin::Stated, &Tolerances::default()), size);
    }

    #[test]
    fn any_text_is_answered(text in "\\PC{0,40}") {
        for quantity in [Quantity::Length, Quantity::Clock, Quantity::Pressure, Quantity::Number] {
            if let Ok(read) = parse(&text, quantity) {
                prop_assert!(read.value.is_finite());
            }
        }
    }
}
