//! NIST Statistical Reference Datasets, univariate, against `timing::statistics`.
//!
//! Certified to 15 digits. The sets are hard on purpose; what double precision can reach at best
//! is the spacing of the data themselves, so the standard deviation of NumAcc3 and NumAcc4 (values
//! near 1e6 and 1e7 that differ by 0.1) may be off by 1e-9 and 1e-8 of itself.

use endshake::timing::statistics::{autocorrelation, mean, standard_deviation};

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
        let spread = match id {
            "strd_NumAcc3" => 1e-9,
            "strd_NumAcc4" => 1e-8,
            _ => 1e-13,
        };
        let sd = standard_deviation(&values).unwrap();
        let lag = autocorrelation(&values).unwrap();
        table.value(
            source,
            &format!("{id} mean"),
            mean(&values).unwrap(),
            certified("mean"),
            Within::Relative(2e-16),
        );
        table.value(source, &format!("{id} sd"), sd, certified("sd_n_minus_1"), Within::Relative(spread));
        table.value(
            source,
            &format!("{id} lag 1"),
            lag,
            certified("lag1_autocorrelation"),
            Within::Relative(spread),
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
