//! Beats, amplitude, beat error and rate, and the criteria of ISO 3159, against `timing`.

use endshake::timing::balance;
use endshake::timing::chronometer::{Category, CriterionResult, Programme};
use jiff::civil::date;
use serde_json::Value;

use super::{Table, Within, number, vectors, within};

pub(super) fn compare(table: &mut Table) {
    for vector in vectors("timing") {
        let id = vector["id"].as_str().unwrap().to_owned();
        let within = within(&vector);
        let input = |key: &str| number(&vector, &["inputs", key]);
        let mut row = |source: &str, pairs: &[(&str, f64)]| {
            for (key, ours) in pairs {
                table.value(source, &id, *ours, number(&vector, &["expected", key]), within);
            }
        };
        if id.starts_with("beat_error_angle") {
            let (off, amplitude) = (input("off_centre_deg"), input("amplitude_deg"));
            let half = balance::beat_error_of_angle_ms(off, amplitude, input("vph")).unwrap();
            row(
                "beat error of a harmonic balance off centre (ms)",
                &[("half_difference_ms", half), ("full_difference_ms", 2.0 * half)],
            );
        } else if id.starts_with("beat_error") {
            let (to, fro) = (input("t_tick_to_tock_ms"), input("t_tock_to_tick_ms"));
            row(
                "beat error, both definitions in use (ms)",
                &[
                    ("half_difference_ms", balance::beat_error_ms(to, fro)),
                    ("full_difference_ms", balance::beat_error_full_ms(to, fro)),
                ],
            );
        } else if id.starts_with("beat_") {
            let vph = input("vph");
            let second = balance::beats_per_second(vph);
            row(
                "definition of vph",
                &[
                    ("oscillator_hz", balance::frequency_hz(vph)),
                    ("beats_per_s", second),
                    ("beat_interval_ms", balance::beat_ms(vph)),
                    ("period_ms", balance::period_ms(vph)),
                    ("beats_per_day", second * 86_400.0),
                    ("seconds_hand_step_deg", balance::seconds_step_deg(vph)),
                ],
            );
        } else if id.starts_with("amp_forum") {
            let (lift, half, vph) = (input("lift_angle_deg"), input("t1_ms"), input("vph"));
            row(
                "small-angle form, watchrepairtalk.com topic 26608 (deg)",
                &[
                    ("centred_exact", balance::amplitude_deg(lift, half, vph).unwrap()),
                    ("small_angle", balance::amplitude_small_angle_deg(lift, half, vph)),
                ],
            );
        } else if id.starts_with("amp_ode") {
            let (lift, amplitude) = (input("lift_angle_deg"), input("amplitude_deg"));
            row(
                "balance integrated by scipy 1.17.1 solve_ivp (ms)",
                &[("pulse_time_ms", balance::pulse_ms(lift, amplitude, input("vph")).unwrap())],
            );
        } else if id.starts_with("amp_") {
            let (lift, pulse, vph) = (input("lift_angle_deg"), input("pulse_time_ms"), input("vph"));
            let exact = balance::amplitude_deg(lift, pulse, vph).unwrap();
            let small = balance::amplitude_small_angle_deg(lift, pulse, vph);
            row(
                "amplitude from dt (deg)",
                &[
                    ("amplitude_deg", exact),
                    ("amplitude_small_angle_deg", small),
                    ("small_angle_error_deg", small - exact),
                ],
            );
        } else if id.starts_with("wrong_lift") {
            let (own, set) = (input("true_lift_deg"), input("lift_set_deg"));
            let (shown, truth) =
                (number(&vector, &["expected", "displayed_amplitude_deg"]), input("true_amplitude_deg"));
            let source = "wrong lift angle, displayed = true x set / true lift (deg)";
            let ours = balance::corrected_amplitude_deg(shown, set, own);
            table.value(source, &id, ours, truth, within);
        } else if id.starts_with("rate_freq") {
            let ours = balance::rate_of_frequency_s_per_day(input("nominal_hz"), input("measured_hz"));
            row("rate of a frequency (s/d)", &[("rate_s_per_day", ours)]);
        } else if id.starts_with("rate_resolution") {
            let ours = balance::rate_resolution_s_per_day(input("timing_sigma_us"), input("window_s"));
            let theirs = number(&vector, &["expected", "rate_sigma_s_per_day_two_point"]);
            let source = "rate's resolution, two time stamps (s/d)";
            // Six decimals are given, which is coarser than the share beside the small ones.
            table.value(source, &id, ours, theirs, Within::Absolute(1e-6));
        } else {
            let rate = balance::rate_s_per_day(input("gain_s"), input("elapsed_h"));
            row(
                "rate = gain x 24 / hours (s/d, ppm)",
                &[("rate_s_per_day", rate), ("ppm", balance::rate_ppm(rate))],
            );
        }
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
