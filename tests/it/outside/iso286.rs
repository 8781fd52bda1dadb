//! ISO 286-1:2010 and -2:2010 against `measure::iso286`.
//!
//! Most limits come from PyPI pressfit 0.1.0 (MIT) and agree with the standard as remembered; IT1
//! to IT4, IT12 to IT14 and the letter r are from memory alone and stand in a row of their own.

use endshake::measure::iso286::limits;

use super::{Table, Within, number, vectors};

pub(super) fn compare(table: &mut Table) {
    let micrometres = |nominal: f64, class: &str| {
        let (upper, lower) = limits(nominal, class).unwrap_or_else(|fault| panic!("{class}: {fault}"));
        (upper * 1000.0, lower * 1000.0)
    };
    let exact = Within::Absolute(1e-9);
    for vector in vectors("iso286") {
        let id = vector["id"].as_str().unwrap();
        let inputs = &vector["inputs"];
        let source = if vector["seen"].as_str().unwrap().starts_with("from memory") {
            "ISO 286:2010, from memory only (um)"
        } else {
            "ISO 286:2010 by pressfit 0.1.0 (um)"
        };
        if let Some(fit) = inputs["fit"].as_str() {
            let size = number(&vector, &["inputs", "size_mm"]);
            let (hole, shaft) = fit.split_once('/').unwrap();
            let (hole, shaft) = (micrometres(size, hole), micrometres(size, shaft));
            let (least, most) = (hole.1 - shaft.0, hole.0 - shaft.1);
            for (key, ours) in [
                ("ES_um", hole.0),
                ("EI_um", hole.1),
                ("es_um", shaft.0),
                ("ei_um", shaft.1),
                ("clearance_min_um", least),
                ("clearance_max_um", most),
            ] {
                table.value(source, id, ours, number(&vector, &["expected", key]), exact);
            }
            let kind = match (least, most) {
                _ if least >= 0.0 => "clearance",
                _ if most <= 0.0 => "interference",
                _ => "transition",
            };
            table.word(source, id, kind, vector["expected"]["kind"].as_str().unwrap());
            continue;
        }
        let (over, to) =
            (number(&vector, &["inputs", "over_mm"]), number(&vector, &["inputs", "up_to_incl_mm"]));
        // Both ends of the range; grade 14 begins above 1 mm.
        for size in [over.max(1.0) + 0.001, to] {
            if let Some(grade) = inputs["grade"].as_str() {
                let (upper, _) = micrometres(size, &grade.replace("IT", "H"));
                table.value(source, id, upper, number(&vector, &["expected", "tol_um"]), exact);
                continue;
            }
            let class = inputs["class"].as_str().unwrap();
            let (upper, lower) = micrometres(size, class);
            let keys = if class.starts_with('H') { ("ES_um", "EI_um") } else { ("es_um", "ei_um") };
            table.value(source, id, upper, number(&vector, &["expected", keys.0]), exact);
            table.value(source, id, lower, number(&vector, &["expected", keys.1]), exact);
        }
    }
}
