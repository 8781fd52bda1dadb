//! Amplitudes read with a wrong lift angle, and the criteria of ISO 3159, against `timing`.

use endshake::timing::chronometer::{Category, CriterionResult, Programme};
use endshake::timing::corrected_amplitude_deg;
use jiff::civil::date;
use serde_json::Value;

use super::{Table, Within, number, vectors, within};

pub(super) fn compare(table: &mut Table) {
    for vector in vectors("timing") {
        let id = vector["id"].as_str().unwrap().to_owned();
        let input = |key: &str| number(&vector, &["inputs", key]);
        let shown = number(&vector, &["expected", "displayed_amplitude_deg"]);
        let ours = corrected_amplitude_deg(shown, input("lift_set_deg"), input("true_lift_deg"));
        let source = "wrong lift angle, displayed = true x set / true lift (deg)";
        table.value(source, &id, ours, input("true_amplitude_deg"), within(&vector));
    }
    for vector in vectors("chronometer") {
        chronometer(table, &vector);
    }
}

/// gm4slv.org.uk prints a ten-day test of its own; the other rates are constructed and computed
/// with fractions, by the formulas seen there and the limits seen at cosc.swiss.
fn chronometer(table: &mut Table, vector: &Value) {
    let id = vector["id"].as_str().unwrap();
    let list = |key: &str| -> Vec<Option<f64>> {
        vector["inputs"][key].as_array().into_iter().flatten().map(Value::as_f64).collect()
    };
    let mut rates = [None; 15];
    let whole = list("daily_rates_s_per_day");
    if whole.is_empty() {
        rates[..10].copy_from_slice(&list("daily_rates_s_per_day_1_to_10"));
        rates[13..].copy_from_slice(&list("days_14_15"));
    } else {
        rates.copy_from_slice(&whole);
    }
    let expected = &vector["expected"];
    let exact = Within::Absolute(1e-9);
    for criterion in Programme::of_rates(date(2026, 3, 1), rates).criteria() {
        let symbol = criterion.symbol;
        let id = format!("{id} {symbol}");
        if let Some(theirs) = expected["criteria"][symbol].as_f64() {
            let source = "ISO 3159:2009 criteria, constructed rates";
            table.value(source, &id, criterion.value.unwrap(), theirs, exact);
            for (category, key) in
                [(Category::Larger, "within_category_1"), (Category::Smaller, "within_category_2")]
            {
                let ours = criterion.standing(category) == CriterionResult::Pass;
                let theirs = expected[key][symbol].as_bool().unwrap();
                table.word(source, &id, &ours.to_string(), &theirs.to_string());
            }
            if let Some(other) = criterion.other_sign {
                table.value(source, &id, other, expected["D_other_sign"].as_f64().unwrap(), exact);
            }
        } else if let Some(theirs) = expected[symbol].as_f64() {
            let source = "ISO 3159:2009, ten days of gm4slv.org.uk (s/d)";
            let ours = criterion.value.unwrap();
            table.value(source, &id, ours, theirs, exact);
            if let Some(printed) = expected["printed_on_page"][symbol].as_f64() {
                table.value(source, &format!("{id} as printed"), ours, printed, Within::Absolute(0.06));
            }
        } else if symbol == "C" {
            // Days 11 and 13, at 8 and 38 degrees, were no part of that test.
            let ours = if criterion.value.is_some() { "computed" } else { "not computed" };
            table.word("ISO 3159:2009, days that were not logged", &id, ours, "not computed");
        }
    }
}
