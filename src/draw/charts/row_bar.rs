//! The tolerance bar of a row in a table: the same figures without words.

use super::tolerance_bar::{ToleranceBar, diamond, finite_pair};
use crate::draw::svg::Sheet;

/// The bar without words for a row, 132 px by 20: the band's lower bracket stands at 30 % of the
/// width in every row, its upper at 78 %, so that a column of them reads like a straight edge. What
/// is the same in every row, the ground with its brackets and the diamond, is the sprite's.
///
/// Empty where there is no band to stand against or nothing was measured.
pub fn row_bar(bar: &ToleranceBar) -> String {
    const W: f64 = 132.0;
    const LEFT: f64 = 0.30 * W;
    const RIGHT: f64 = 0.78 * W;
    let band = bar.band.finite();
    let Some(nominal) = bar.nominal.filter(|v| v.is_finite()) else { return String::new() };
    let (low, high) = finite_pair(bar.worst).unwrap_or((nominal, nominal));
    // The value at the left bracket (or at the right one), and px for a unit.
    let (ground, origin, at, scale) = match (band.low, band.high) {
        // A band of one value is a stroke on which the diamond stands, or beside which it does not.
        (Some(a), Some(b)) if b - a < 1e-6 => {
            let off = (high.max(nominal) - a).max(a - low.min(nominal));
            ("mx", a, LEFT, LEFT * 0.8 / off.max(1e-6))
        }
        (Some(a), Some(b)) => ("mb", a, LEFT, (RIGHT - LEFT) / (b - a)),
        (Some(a), None) => {
            let room = ((high.max(nominal) - a) / 0.66).max((a - low.min(nominal)) / 0.27);
            ("ma", a, LEFT, W / room.max(1e-6))
        }
        (None, Some(b)) => {
            let room = ((b - low.min(nominal)) / 0.74).max((high.max(nominal) - b) / 0.19);
            ("mc", b, RIGHT, W / room.max(1e-6))
        }
        (None, None) => return String::new(),
    };
    let free = |v: f64| at + (v - origin) * scale;
    let x = |v: f64| free(v).clamp(3.0, W - 3.0);

    let mut sheet = Sheet::default();
    sheet.refer(ground, 0.0);
    if low < high {
        sheet.line("wc", x(low), 10.0, x(high), 10.0);
    }
    if let Some((low, high)) = finite_pair(bar.likely).filter(|(low, high)| low < high) {
        sheet.line("lk", x(low), 10.0, x(high).max(x(low) + 2.0), 10.0);
    }
    let middle = x(nominal);
    let outside = if free(nominal) < 3.0 {
        -1.0
    } else if free(nominal) > W - 3.0 {
        1.0
    } else {
        0.0
    };
    if outside == 0.0 {
        sheet.refer("md", middle);
    } else {
        diamond(&mut sheet, middle, 10.0, 4.8, outside);
    }
    sheet.unscaled("mini")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::charts::range::Range;
    use crate::draw::charts::tolerance_bar::tests::{number, seat};
    use crate::draw::testing::well_formed;
    use crate::fit::verdict::Verdict;
    use proptest::prelude::*;

    #[test]
    fn the_lower_bracket_of_every_row_stands_at_one_place() {
        let rows = [
            seat(),
            ToleranceBar {
                band: Range::at_least(0.2),
                contact: Range::at_least(0.05),
                nominal: Some(1.74),
                ..seat()
            },
            ToleranceBar {
                nominal: Some(-1.28),
                worst: None,
                likely: None,
                verdict: Verdict::Fouls,
                ..seat()
            },
        ];
        for row in rows {
            let svg = row_bar(&row);
            assert!(svg.contains("href=\"#ma\"") || svg.contains("href=\"#mb\""), "{svg}");
        }
    }

    #[test]
    fn a_band_of_one_value_is_a_stroke() {
        let exact = ToleranceBar {
            band: Range::between(0.0, 0.0),
            contact: Range::between(0.0, 0.0),
            nominal: Some(0.0),
            worst: None,
            likely: Some((0.0, 0.0)),
            ..seat()
        };
        assert!(row_bar(&exact).contains("href=\"#mx\""));
        assert!(row_bar(&exact).contains("href=\"#md\" x=\"39.6\""));
        // Beside it, at the same side as the figure.
        let off = row_bar(&ToleranceBar { nominal: Some(-0.1), ..exact });
        assert!(off.contains("href=\"#md\" x=\"7.9\""), "{off}");
    }

    #[test]
    fn a_row_without_a_result_stays_empty() {
        let unmeasured =
            ToleranceBar { nominal: None, worst: None, likely: None, verdict: Verdict::Unmeasured, ..seat() };
        assert_eq!(row_bar(&unmeasured), "");
    }

    #[test]
    fn a_row_is_light() {
        assert!(row_bar(&seat()).len() < 260, "{}", row_bar(&seat()).len());
    }

    proptest! {
        #[test]
        fn any_figures_are_well_formed(
            nominal in number(), worst in prop::option::of((number(), number())),
            likely in prop::option::of((number(), number())),
            ends in prop::array::uniform2(prop::option::of(number())),
        ) {
            let svg = row_bar(&ToleranceBar {
                nominal: Some(nominal), worst, likely, band: Range { low: ends[0], high: ends[1] }, ..seat()
            });
            if !svg.is_empty() {
                well_formed(&svg);
            }
        }
    }
}
