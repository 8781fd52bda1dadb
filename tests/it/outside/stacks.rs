//! Stacks of tolerances and the spread of results against the engine of `fit`: the law of
//! propagation (NIST/SEMATECH e-Handbook 2.5.5, GUM H.1), distributions (JCGM 101:2008), worst case
//! and root-sum-square of stacks seen on web pages or of our own construction.

use endshake::fit::compiled::Compiled;
use endshake::fit::distribution::Study;
use endshake::fit::expr::{Expr, Name, Shape, Term};
use serde_json::Value;

use super::{Table, Within, number, vectors, within};

pub(super) fn compare(table: &mut Table) {
    for vector in vectors("tolerance") {
        let id = vector["id"].as_str().unwrap();
        if let Some(name) = id.strip_prefix("nist_prop_") {
            propagation(table, &vector, name);
        } else if id == "gum_h1_computed" || id == "gum_h1_published" {
            end_gauge(table, &vector);
        } else if id.starts_with("stack_") {
            stack(table, &vector);
        } else if id.starts_with("jcgm101_9_2") {
            sums(table, &vector);
        } else if id.starts_with("normal_tail") {
            tail(table, &vector);
        } else if id == "mc_rectangular_seconds_hand" {
            rectangular(table, &vector);
        }
    }
}

/// A normal size of that standard deviation.
fn normal(name: &str, value: f64, sigma: f64) -> Expr {
    sized(name, value, 3.0 * sigma, 3.0 * sigma, Shape::Normal)
}

fn sized(name: &str, value: f64, plus: f64, minus: f64, shape: Shape) -> Expr {
    Expr::leaf(Term { name: Name::Made(name.into()), value: Some(value), plus, minus, shape, tag: 0 })
}

/// Value and first-order standard deviation, from the engine's slopes.
fn first_order(expr: &Expr) -> (f64, f64) {
    let compiled = Compiled::new(expr);
    let values: Vec<f64> = compiled.terms.iter().map(|term| term.value.unwrap()).collect();
    let mut slopes = Vec::new();
    let value = compiled.gradient(&values, &mut slopes, &mut endshake::fit::compiled::Scratch::new());
    let sigma = |term: &Term| match term.shape {
        Shape::Normal => term.plus / 3.0,
        Shape::Uniform => term.plus / 3_f64.sqrt(),
    };
    let variance: f64 =
        compiled.terms.iter().zip(&slopes).map(|(term, slope)| (slope * sigma(term)).powi(2)).sum();
    (value, variance.sqrt())
}

fn propagation(table: &mut Table, vector: &Value, name: &str) {
    let input = |key: &str| number(vector, &["inputs", key]);
    let x = normal("x", input("x"), input("sx"));
    let z = || normal("z", input("z"), input("sz"));
    let expr = match name {
        "product" => x * z(),
        "quotient" => x / z(),
        "difference" => x - z(),
        "ratio_xz" => x.clone() / (x + z()),
        "sqrt" => x.sqrt(),
        "square" => x.square(),
        "inv" => Expr::from(1.0) / x,
        "sin" => (x * 180.0 / std::f64::consts::PI).sin_deg(),
        // The checks need no logarithm and no exponential, and the engine has none.
        "ln" | "exp" => return,
        other => panic!("no formula for {other}"),
    };
    let (value, sigma) = first_order(&expr);
    let source = "propagation of error, NIST e-Handbook 2.5.5 by uncertainties 3.2.3";
    let id = vector["id"].as_str().unwrap();
    // Values are printed with nine decimals, deviations with as many.
    table.value(
        source,
        &format!("{id} value"),
        value,
        number(vector, &["expected", "y"]),
        Within::Absolute(1e-9),
    );
    table.value(
        source,
        &format!("{id} deviation"),
        sigma,
        number(vector, &["expected", "s_y"]),
        within(vector),
    );
}

/// GUM H.1, the end gauge of 50 mm, nm.
fn end_gauge(table: &mut Table, vector: &Value) {
    let input = |name: &str, key: &str| number(vector, &["inputs", name, key]);
    let rectangle = |name: &str| {
        let half = input(name, "half_width_rectangular");
        sized(name, input(name, "x"), half, half, Shape::Uniform)
    };
    let gauge = |name: &str| normal(name, input(name, "x"), input(name, "u"));
    let standard = gauge("l_s_nm");
    let difference = gauge("d_mean_nm") + gauge("d_random_nm") + gauge("d_syst_nm");
    // An arcsine spread of half width a has the deviation a / sqrt 2.
    let swing = input_swing(vector);
    let theta = gauge("theta_bar_C") + normal("Delta_C", 0.0, swing);
    let warmth =
        rectangle("delta_alpha_perC") * theta + rectangle("alpha_s_perC") * rectangle("delta_theta_C");
    let (length, sigma) = first_order(&(standard.clone() + difference - standard * warmth));
    let id = vector["id"].as_str().unwrap();
    if id == "gum_h1_published" {
        let source = "GUM H.1 end gauge, as published (nm)";
        let theirs = number(vector, &["expected", "l_mm"]) * 1e6;
        table.value(source, &format!("{id} length"), length, theirs, Within::Absolute(0.5));
        table.value(
            source,
            &format!("{id} u"),
            sigma,
            number(vector, &["expected", "u_c_nm"]),
            Within::Absolute(0.5),
        );
    } else {
        let source = "GUM H.1 end gauge, by GTC 1.5.1 (nm)";
        table.value(
            source,
            &format!("{id} length"),
            length,
            number(vector, &["expected", "l_nm"]),
            Within::Relative(1e-12),
        );
        table.value(
            source,
            &format!("{id} u"),
            sigma,
            number(vector, &["expected", "u_c_nm"]),
            Within::Relative(1e-6),
        );
    }
}

fn input_swing(vector: &Value) -> f64 {
    number(vector, &["inputs", "Delta_C", "half_width_arcsine"]) / 2_f64.sqrt()
}

/// The sum of a vector's terms, each as it is spread.
fn sum(vector: &Value, shape: Shape) -> Expr {
    let terms = vector["inputs"]["terms"].as_array().unwrap();
    let term = |(index, term): (usize, &Value)| {
        let symmetric = term["tol"].as_f64();
        let (plus, minus) = match symmetric {
            Some(tolerance) => (tolerance, tolerance),
            None => (term["plus"].as_f64().unwrap(), term["minus"].as_f64().unwrap()),
        };
        let mut nominal = term["nominal"].as_f64().unwrap();
        // A size whose two limits lie on one side of it: to the nearer limit, and on from there.
        let (plus, minus) = if plus < 0.0 {
            nominal += plus;
            (0.0, minus + plus)
        } else {
            (plus, minus)
        };
        sized(&format!("term {index}"), nominal, plus, minus, shape) * term["sign"].as_f64().unwrap()
    };
    terms.iter().enumerate().map(term).reduce(|sum, term| sum + term).unwrap()
}

fn stack(table: &mut Table, vector: &Value) {
    let id = vector["id"].as_str().unwrap();
    let source = if vector["source"].as_str().unwrap().starts_with("Page seen") {
        "stacks, worst case and RSS, seen on web pages"
    } else {
        "stacks, worst case and RSS, own construction"
    };
    let expected = |key: &str| vector["expected"][key].as_f64();
    let study = |shape| Study::new(&Compiled::new(&sum(vector, shape)));
    let normal = study(Shape::Normal);
    let half = (normal.worst.high - normal.worst.low) / 2.0;
    let (low, high) = normal.likely();
    // The likely interval is 1.96 sigma either way, three sigma are the root-sum-square.
    let sigma = (high - low) / 2.0 / Z_95;
    let uniform = study(Shape::Uniform);
    let mut pairs = vec![
        ("nominal", normal.nominal),
        ("wc_min", normal.worst.low),
        ("wc_max", normal.worst.high),
        ("worst_case", half),
        ("wc_half", half),
        ("rss", 3.0 * sigma),
        ("rss_half", 3.0 * sigma),
        ("sigma_if_tol_is_3sigma", sigma),
        ("mean", (low + high) / 2.0),
    ];
    if let endshake::fit::distribution::Distribution::FirstOrder(spread) = &uniform.distribution {
        pairs.push(("sigma_if_rectangular", spread.sigma()));
    }
    for (key, ours) in pairs {
        if let Some(theirs) = expected(key) {
            table.value(source, &format!("{id} {key}"), ours, theirs, Within::Absolute(1e-6));
        }
    }
    if let (Some(least), Some(_)) =
        (vector["inputs"]["required_min"].as_f64(), expected("p_gap_below_req_3sigma_normal"))
    {
        // All of these lie inside in the worst case too, so the chance is 0 by definition.
        let (below, _) = normal.outside(Some(least), None);
        table.value("chance below, worst case inside", id, below, 0.0, Within::Absolute(1e-10));
    }
}

/// JCGM 101:2008, 9.2.2 to 9.2.4: where 95 of 100 results lie.
fn sums(table: &mut Table, vector: &Value) {
    let root3 = 3_f64.sqrt();
    let rectangle = |name: &str, half: f64| sized(name, 0.0, half, half, Shape::Uniform);
    let id = vector["id"].as_str().unwrap();
    let parts: Vec<Expr> = match id {
        "jcgm101_9_2_2_four_normals" => (0..4).map(|n| normal(&format!("{n}"), 0.0, 1.0)).collect(),
        "jcgm101_9_2_3_four_rectangulars" => (0..4).map(|n| rectangle(&format!("{n}"), root3)).collect(),
        "jcgm101_9_2_4_dominant_rectangular" => {
            (0..4).map(|n| rectangle(&format!("{n}"), if n == 3 { 10.0 * root3 } else { root3 })).collect()
        }
        other => panic!("no sum for {other}"),
    };
    let sum = parts.into_iter().reduce(|sum, part| sum + part).unwrap();
    let (low, high) = Study::new(&Compiled::new(&sum)).likely();
    for (index, ours) in [low, high].into_iter().enumerate() {
        let theirs = vector["expected"]["interval"][index].as_f64().unwrap();
        table.value("95 % intervals, JCGM 101:2008 9.2", id, ours, theirs, within(vector));
    }
}

/// The tails of the normal distribution, beyond a limit that the worst case does reach.
fn tail(table: &mut Table, vector: &Value) {
    let id = vector["id"].as_str().unwrap();
    let z = number(vector, &["inputs", "z"]);
    // A wide normal size, so that half a digit of 0.1 um is nothing beside its deviation.
    let sigma = 1e6;
    let size = sized("x", 0.0, 3.0 * sigma, 3.0 * sigma, Shape::Normal);
    let (_, above) = Study::new(&Compiled::new(&size)).outside(None, Some(z * sigma));
    // Three deviations are the worst case: beyond it the chance is 0 by definition.
    let theirs = if z < 3.0 { number(vector, &["expected", "one_sided_tail"]) } else { 0.0 };
    table.value("normal tails by scipy 1.17.1", id, above, theirs, Within::Absolute(1e-9));
}

/// Two million random draws of five rectangular sizes.
fn rectangular(table: &mut Table, vector: &Value) {
    let id = vector["id"].as_str().unwrap();
    let study = Study::new(&Compiled::new(&sum(vector, Shape::Uniform)));
    let endshake::fit::distribution::Distribution::FirstOrder(spread) = &study.distribution else {
        panic!("a sum is its own first order");
    };
    let source = "five rectangular sizes, numpy, two million draws";
    let exact = number(vector, &["expected", "sigma_exact"]);
    table.value(source, &format!("{id} sigma"), spread.sigma(), exact, Within::Absolute(1e-6));
    for (key, part) in [("q0.00135", 0.00135), ("q0.99865", 0.99865)] {
        let at = number(vector, &["expected", key]);
        // The draws' own noise: 0.00135 is 2700 of two million; ours is good to 1e-5.
        table.value(source, &format!("{id} {key}"), spread.below(at), part, Within::Absolute(2e-4));
    }
}

/// 97.5 of 100 normal results lie below so many deviations.
const Z_95: f64 = 1.959_963_984_540_054;
