//! Sizes, dates and times as people write them.

use endshake::journal::dates;
use endshake::measure::{Origin, Quantity, Tolerances, parse};

use super::{Target, fuzz, skeleton};

const QUANTITIES: [Quantity; 14] = [
    Quantity::Length,
    Quantity::Height,
    Quantity::Nominal,
    Quantity::Clock,
    Quantity::Turn,
    Quantity::Pressure,
    Quantity::Rate,
    Quantity::Mass,
    Quantity::Torque,
    Quantity::Inertia,
    Quantity::Beat,
    Quantity::Hours,
    Quantity::Temperature,
    Quantity::Number,
];

const WORDS: [&str; 46] = [
    "±",
    "+-",
    "+/-",
    "..",
    "~",
    "-",
    "+",
    "\u{2212}",
    ".",
    ",",
    "e",
    "E",
    "1e308",
    "1e-308",
    "NaN",
    "inf",
    "-0",
    "0",
    "00",
    "999999999999999999999",
    "0.00000000000000000001",
    " mm",
    " um",
    " µm",
    " in",
    " lig",
    "'''",
    " h9",
    " H7",
    " js6",
    " zc18",
    " bar",
    " m",
    " s/d",
    " deg",
    "°",
    "h",
    "h30",
    " gauged",
    " measured",
    " drawn",
    " stated",
    " assumed",
    " mg mm",
    "\u{a0}",
    " ",
];

#[test]
fn sizes() {
    let corpus = [
        "28.5",
        "28.52 ±0.02",
        "27.40 +0.00 -0.05",
        "27.1..27.3",
        "12.5 lig",
        "12.5'''",
        "1.122 in",
        "900 um",
        "28.5 h9",
        "0.905 gauged",
        "~28.5",
        "3h",
        "4h30",
        "135 deg ±0.5",
        "3 bar",
        "30 m",
        "-5..+10 s/d",
        "12 mg",
        "11 uNm",
        "0.1 g mm2",
        "42",
        "21600",
        "-0.2..0.8",
        "0.10 ±0.02 mm stated",
        // Found here once: turned into one round it was no number.
        "9999999999999999992135 deg ±0.5",
    ];
    let attempt = |input: &[u8]| {
        let text = String::from_utf8_lossy(input);
        let mut answers = Vec::new();
        for quantity in QUANTITIES {
            let answer = match parse(&text, quantity) {
                Ok(literal) => {
                    let size = literal.dimension(Origin::Stated, &Tolerances::default());
                    let all = [size.value, size.plus, size.minus];
                    assert!(all.iter().all(|figure| figure.is_finite()), "`{text}` is {size:?}");
                    assert!(0.0 <= size.plus && 0.0 <= size.minus, "`{text}` is {size:?}");
                    assert!(size.value.abs() <= quantity.most() * 1.001, "`{text}` is {size:?}");
                    assert!(0.0 <= size.value || quantity.signed(), "`{text}` is {size:?}");
                    // What is printed is read again as the same, to a tenth of a micrometre.
                    let printed = size.to_string();
                    let again = parse(&printed, quantity)
                        .unwrap_or_else(|fault| panic!("`{text}` prints as `{printed}`: {fault}"));
                    let again = again.dimension(Origin::Stated, &Tolerances::default());
                    let near = |a: f64, b: f64| (a - b).abs() <= 1e-4 + 1e-9 * a.abs();
                    let turned = quantity == Quantity::Clock && near((size.value - again.value).abs(), 360.0);
                    assert!(near(size.value, again.value) || turned, "`{text}`: {size:?}, again {again:?}");
                    assert_eq!(size.origin, again.origin, "`{text}`");
                    format!("{quantity:?} {:?} {}", literal.origin, literal.tolerance.is_some())
                }
                Err(fault) => {
                    let fault = fault.to_string();
                    assert!(!fault.trim().is_empty());
                    format!("{quantity:?} {}", skeleton(&fault))
                }
            };
            answers.push(answer);
        }
        answers
    };
    fuzz(&Target {
        name: "sizes",
        corpus: corpus.map(|text| text.as_bytes().to_vec()).to_vec(),
        words: &WORDS,
        executions: 5_000,
        attempt: &attempt,
    });
}

#[test]
fn days_and_times() {
    let corpus = [
        "2026-01-17",
        "2026-02-30",
        "2026-01-20 20:00",
        "2026-01-20T8:05",
        "0000-00-00",
        "9999-12-31",
        "24:00",
    ];
    let attempt = |input: &[u8]| {
        let text = String::from_utf8_lossy(input);
        let mut answers = Vec::new();
        match dates::date(&text) {
            Ok(date) => {
                // A day has one way of writing only, so that it is found again.
                assert_eq!(date.to_string(), *text);
                answers.push("a day".to_owned());
            }
            Err(fault) => answers.push(skeleton(&fault.to_string())),
        }
        for answer in [dates::time(&text).map(|_| ()), dates::moment(&text).map(|_| ())] {
            answers.push(answer.map_or_else(|fault| skeleton(&fault.to_string()), |()| "good".to_owned()));
        }
        answers
    };
    fuzz(&Target {
        name: "days",
        corpus: corpus.map(|text| text.as_bytes().to_vec()).to_vec(),
        words: &["-", ":", "+", "0", "29", "31", "T", " ", "-02-29", "2024", "00:00", "23:59", "١"],
        executions: 5_000,
        attempt: &attempt,
    });
}
