//! Water, plates, gaskets, hands and wrists against `fit::physics`.

use endshake::fit::physics::gasket;
use endshake::fit::physics::hand::{self, Moments};
use endshake::fit::physics::materials::material;
use endshake::fit::physics::plate::{Plate, Rim};
use endshake::fit::physics::{water, wrist};
use serde_json::Value;

use super::{Table, Within, number, vectors, within};

pub(super) fn compare(table: &mut Table) {
    for vector in vectors("hydrostatic") {
        hydrostatic(table, &vector);
    }
    for vector in vectors("plate") {
        plate(table, &vector);
    }
    for vector in vectors("oring") {
        gaskets(table, &vector);
    }
    for vector in vectors("practice") {
        hands(table, &vector);
    }
    for vector in vectors("wrist") {
        let id = vector["id"].as_str().unwrap();
        if let Some(girth) = vector["inputs"]["girth_mm"].as_f64() {
            let theirs = number(&vector, &["expected", "breadth_by_fit_mm"]);
            let source = "wrist breadth, line through 507 adults of openintro bdims (mm)";
            // The line's two numbers are used as published, with four and three digits.
            table.value(source, id, wrist::breadth_mm(girth), theirs, Within::Absolute(0.005));
        } else if id == "bdims_wrist_all" {
            let source = "scatter about that line (mm)";
            let theirs = number(&vector, &["expected", "fit_residual_sd_mm"]);
            table.value(source, id, wrist::BREADTH_SCATTER_MM, theirs, Within::Absolute(0.05));
        }
    }
}

fn hydrostatic(table: &mut Table, vector: &Value) {
    let id = vector["id"].as_str().unwrap();
    let expected = |key: &str| number(vector, &["expected", key]);
    // TEOS-10 itself, where ours is a formula of three terms at one temperature.
    let sea = "sea water at 45 degrees, TEOS-10 by gsw 3.6.23 (kPa, m)";
    if let Some(depth) = vector["inputs"]["depth_m"].as_f64() {
        let ours = water::sea_pressure_mpa(depth) * 1000.0;
        let theirs = expected("sea_gsw_lat45_dbar") * 10.0;
        table.value(sea, id, ours, theirs, Within::Relative(2e-5));
        // At the equator and the pole ours, at 45 degrees, is off by what gravity differs.
        for key in ["sea_gsw_lat0_dbar", "sea_gsw_lat90_dbar"] {
            let source = "the same, equator and pole (kPa)";
            table.value(source, id, ours, expected(key) * 10.0, Within::Relative(3e-3));
        }
    } else if let Some(bar) = vector["inputs"]["overpressure_bar"].as_f64() {
        // The pressure at the depth that gsw gives for it.
        let ours = water::sea_pressure_mpa(expected("sea_gsw_lat45_m")) * 10.0;
        table.value(sea, id, ours, bar, Within::Relative(2e-5));
    } else {
        // gsw at 10 degrees; ours is the heavier water of 0 degrees, so that nothing is understated.
        let ours = water::SEA_DENSITY;
        table.value("density of sea water, gsw (kg/m3)", id, ours, expected("kg_m3"), Within::Absolute(1.5));
    }
}

/// Timoshenko and Woinowsky-Krieger article 16, checked with scipy 1.17.1 solve_bvp; tydexoptics.com
/// (germanium window); "The Design of Pressure Windows"; ispoptics.com article 8 and SPIE (strength).
fn plate(table: &mut Table, vector: &Value) {
    let id = vector["id"].as_str().unwrap();
    let input = |key: &str| number(vector, &["inputs", key]);
    let within = within(vector);
    let glass = |rim, poisson| Plate { rim, poisson, young_mpa: 1.0 };
    if id.starts_with("plate_") {
        let (p, a, t) = (input("pressure_MPa"), input("support_radius_mm"), input("thickness_mm"));
        let source = "round plates, Timoshenko art. 16 by scipy solve_bvp (MPa, mm)";
        let plate = |rim| Plate { rim, poisson: input("nu"), young_mpa: input("E_MPa") };
        let (free, held) = (plate(Rim::Free), plate(Rim::Held));
        for (group, key, ours) in [
            ("simply_supported", "max_stress_MPa", stress(free, p, a, t)),
            ("simply_supported", "deflection_mm", free.deflection_mm(p, a, t)),
            ("clamped", "edge_stress_MPa", stress(held, p, a, t)),
            ("clamped", "deflection_mm", held.deflection_mm(p, a, t)),
        ] {
            let theirs = number(vector, &["expected", group, key]);
            table.value(source, &format!("{id} {group} {key}"), ours, theirs, within);
        }
        let safety = free.safety(450.0, p, a, t);
        let theirs = 450.0 / number(vector, &["expected", "simply_supported", "max_stress_MPa"]);
        table.value(source, &format!("{id} safety"), safety, theirs, within);
    } else if id == "window_published_germanium" {
        // The page's factor 1.1 is that of a free plate with Poisson's ratio -0.07; 0.22 gives 5 % more.
        let ours = thickness(glass(Rim::Free, 0.22), 10_500.0, 5.0, 14.696, 45.0);
        let theirs = number(vector, &["expected", "published_mm"]);
        table.value("germanium window, tydexoptics.com (mm)", id, ours, theirs, Within::Absolute(0.2));
    } else if id.starts_with("window_") {
        let (pressure, radius) = (input("pressure_MPa"), input("unsupported_diameter_mm") / 2.0);
        // 1.125 is the free rim of Poisson's ratio 0.
        let rim = if input("K") == 0.75 { Rim::Held } else { Rim::Free };
        let ours =
            thickness(glass(rim, 0.0), input("apparent_elastic_limit_MPa"), input("SF"), pressure, radius);
        let theirs = number(vector, &["expected", "thickness_mm"]);
        table.value("The Design of Pressure Windows, scribd 327990477 (mm)", id, ours, theirs, within);
    } else if id.starts_with("K_from") {
        let nu = input("nu");
        let (free, held) = (glass(Rim::Free, nu), glass(Rim::Held, nu));
        let ratio = free.deflection_mm(1.0, 1.0, 1.0) / held.deflection_mm(1.0, 1.0, 1.0);
        for (key, ours) in [
            ("K_simply_supported", stress(free, 1.0, 1.0, 1.0)),
            ("K_clamped_edge", stress(held, 1.0, 1.0, 1.0)),
            ("deflection_ratio_ss_over_clamped", ratio),
        ] {
            table.value(
                "stress factors of plate theory",
                id,
                ours,
                number(vector, &["expected", key]),
                within,
            );
        }
    } else if id == "rupture_sapphire" {
        let ours = material("sapphire").unwrap().strength.value;
        let theirs = number(vector, &["expected", "MPa"]);
        table.value(
            "strength of sapphire, ispoptics.com article 8 (MPa)",
            id,
            ours,
            theirs,
            Within::Absolute(0.5),
        );
    }
}

/// The greatest stress: what the plate would just bear.
fn stress(plate: Plate, pressure: f64, radius: f64, thickness: f64) -> f64 {
    1.0 / plate.safety(1.0, pressure, radius, thickness)
}

/// The thickness that bears `safety` times its load: the safety grows with its square.
fn thickness(plate: Plate, strength: f64, safety: f64, pressure: f64, radius: f64) -> f64 {
    (safety / plate.safety(strength, pressure, radius, 1.0)).sqrt()
}

/// allorings.com and marcorubber.com (definitions), computed with Python 3.11.
fn gaskets(table: &mut Table, vector: &Value) {
    let id = vector["id"].as_str().unwrap();
    let input = |key: &str| number(vector, &["inputs", key]);
    let within = within(vector);
    let section = input("cross_section_mm");
    if id.starts_with("oring_depth_range") {
        for (key, depth) in [("squeeze_min", "depth_max_mm"), ("squeeze_max", "depth_min_mm")] {
            let ours = gasket::squeeze(section, number(vector, &["expected", depth]));
            table.value("gasket squeeze at a depth", id, ours, input(key), within);
        }
        return;
    }
    let (ring, groove) = (input("ring_id_mm"), input("groove_inner_d_mm"));
    let (depth, width) = (input("gland_depth_mm"), input("gland_width_mm"));
    let (ring_tol, depth_tol) = (input("cs_tol_mm"), input("depth_tol_mm"));
    let stretch = gasket::stretch(ring, groove);
    let stretched = gasket::section_at_constant_volume(section, ring, groove);
    for (key, ours) in [
        ("stretch_pct", 100.0 * stretch),
        ("cs_after_stretch_mm", stretched),
        ("squeeze_pct_unstretched", 100.0 * gasket::squeeze(section, depth)),
        ("squeeze_pct_stretched", 100.0 * gasket::squeeze(stretched, depth)),
        ("squeeze_pct_min", 100.0 * gasket::squeeze(section - ring_tol, depth + depth_tol)),
        ("squeeze_pct_max", 100.0 * gasket::squeeze(section + ring_tol, depth - depth_tol)),
        ("fill_pct_section", 100.0 * gasket::fill(section, depth, width)),
        ("fill_pct_max_section", 100.0 * gasket::fill(section + ring_tol, depth - depth_tol, width)),
    ] {
        let theirs = number(vector, &["expected", key]);
        table.value(
            "O-rings, allorings.com and marcorubber.com (%, mm)",
            &format!("{id} {key}"),
            ours,
            theirs,
            within,
        );
    }
}

/// Static unbalance and inertia of a bar, a disc and a point, computed with Python 3.11.
fn hands(table: &mut Table, vector: &Value) {
    let id = vector["id"].as_str().unwrap();
    let inputs = &vector["inputs"];
    let input = |key: &str| number(vector, &["inputs", key]);
    let expected = |key: &str| number(vector, &["expected", key]);
    let within = within(vector);
    let source = "hands, statics of bar, disc and point (mg, mm, uN m)";
    if id.starts_with("hand_moment") {
        let ours = Moments::point(input("mass_mg"), input("centroid_mm_from_axis")).unbalance_unm();
        table.value(source, id, ours, expected("moment_uNm"), within);
    } else if inputs["density_kg_m3"].is_number() {
        let (density, thickness) = (input("density_kg_m3"), input("thickness_mm"));
        let (tip, tail) = (input("tip_mm"), input("tail_mm"));
        let bar = Moments::bar(density, input("width_mm"), thickness, tip, tail);
        if inputs["tail_disc_diameter_and_centre_mm"].is_null()
            && inputs["lume_mass_mg_and_radius_mm"].is_null()
        {
            // The same hand, weighed instead of computed.
            let weighed = Moments::weighed(bar.mass, bar.centroid_mm(), tip, tail);
            table.value(
                source,
                &format!("{id} weighed"),
                weighed.inertia,
                expected("inertia_mg_mm2"),
                within,
            );
        }
        let mut whole = bar;
        // The computed figures take a disc's own moment about a diameter of its face, m d^2 / 16. It
        // turns about its axis, m d^2 / 8 (a sum over small squares agrees), so that share is put right.
        let mut turned = 0.0;
        if let Some([diameter, centre]) = pair(&inputs["tail_disc_diameter_and_centre_mm"]) {
            let disc = Moments::disc(density, diameter, thickness, -centre);
            turned = disc.mass * diameter * diameter / 16.0;
            whole = whole.and(disc);
        }
        if let Some([mass, radius]) = pair(&inputs["lume_mass_mg_and_radius_mm"]) {
            whole = whole.and(Moments::point(mass, radius));
        }
        for (key, ours) in [
            ("mass_mg", whole.mass),
            ("first_moment_mg_mm", whole.first),
            ("centroid_mm", whole.centroid_mm()),
            ("moment_uNm", whole.unbalance_unm()),
            ("inertia_mg_mm2", whole.inertia - turned),
        ] {
            table.value(source, &format!("{id} {key}"), ours, expected(key), within);
        }
    } else if id == "hand_counterweight" {
        let mass = hand::counterweight_mg(input("first_moment_mg_mm"), input("counterweight_radius_mm"));
        table.value(source, id, mass, expected("mass_mg"), within);
        let diameter = hand::disc_diameter_mm(mass, 8500.0, 0.10);
        table.value(source, id, diameter, expected("disc_diameter_mm_same_sheet_0.10_brass"), within);
    }
}

fn pair(value: &Value) -> Option<[f64; 2]> {
    Some([value[0].as_f64()?, value[1].as_f64()?])
}
