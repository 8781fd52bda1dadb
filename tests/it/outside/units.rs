//! The ligne (the metre was fixed at 443.296 lignes on 10 December 1799) and the clock's angles.

use endshake::measure::{self, Quantity, clock};

use super::{Table, Within, number, vectors, within};

pub(super) fn compare(table: &mut Table) {
    for vector in vectors("units") {
        let id = vector["id"].as_str().unwrap();
        let source = "lignes, 1000/443.296 mm by Python fractions (mm)";
        if let Some(lignes) = vector["inputs"]["lignes"].as_f64() {
            let theirs = number(&vector, &["expected", "mm"]);
            table.value(source, id, read(&format!("{lignes} lig")), theirs, within(&vector));
        } else if let Some(mm) = vector["inputs"]["mm"].as_f64() {
            let lignes = number(&vector, &["expected", "lignes"]);
            // The published lignes have six decimals.
            table.value(source, id, read(&format!("{lignes}'''")), mm, Within::Absolute(2e-6));
        }
    }
    for vector in vectors("practice") {
        let id = vector["id"].as_str().unwrap();
        let source = "angles by the clock, 30 degrees an hour (deg)";
        if let Some(hours) = vector["inputs"]["clock_hours"].as_f64() {
            let written = format!("{}h{:02}", hours.floor(), (hours.fract() * 60.0).round());
            let theirs = number(&vector, &["expected", "angle_deg_cw_from_12"]);
            table.value(source, id, clock::parse(&written).unwrap(), theirs, within(&vector));
        } else if id.starts_with("angles_") && vector["inputs"]["s"] == 0 {
            let input = |key: &str| vector["inputs"][key].as_u64().unwrap();
            let written = format!("{}h{:02}", input("h"), input("m"));
            let theirs = number(&vector, &["expected", "hour_deg"]);
            table.value(source, id, clock::parse(&written).unwrap(), theirs, within(&vector));
        }
    }
}

fn read(text: &str) -> f64 {
    measure::parse(text, Quantity::Length).unwrap_or_else(|fault| panic!("{text}: {fault}")).value
}
