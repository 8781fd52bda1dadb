//! NIST Statistical Reference Datasets, univariate, against `timing::statistics`.
//!
//! Certified to 15 digits. The sets are hard on purpose.

use endshake::timing::statistics::mean;

use super::{Table, Within, vectors};

pub(super) fn compare(table: &mut Table) {
    for vector in vectors("strd") {
        let id = vector["id"].as_str().unwrap();
        let inputs = &vector["inputs"];
        let values: Vec<f64> = match inputs["values"].as_array() {
            Some(values) => values.iter().map(|value| value.as_f64().unwrap()).collect(),
            None => alternating(id),
        };
        assert_eq!(values.len() as u64, vector["expected"]["n"].as_u64().unwrap(), "{id}");
        let certified = |key: &str| vector["expected"][key].as_str().unwrap().parse::<f64>().unwrap();
        let source = "NIST StRD univariate, certified values";
        table.value(
            source,
            &format!("{id} mean"),
            mean(&values).unwrap(),
            certified("mean"),
            Within::Relative(2e-16),
        );
    }
}

/// NumAcc2 to NumAcc4: a value once, then two values 500 times.
fn alternating(id: &str) -> Vec<f64> {
    let (first, pair) = match id {
        "strd_NumAcc2" => (1.2, [1.1, 1.3]),
        "strd_NumAcc3" => (1_000_000.2, [1_000_000.1, 1_000_000.3]),
        "strd_NumAcc4" => (10_000_000.2, [10_000_000.1, 10_000_000.3]),
        other => panic!("no rule for {other}"),
    };
    std::iter::once(first).chain(pair.into_iter().cycle().take(1000)).collect()
}
