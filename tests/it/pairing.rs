//! `wanted` and `combine` as a user runs them, on the example.

use std::path::Path;

use endshake::cli::Outcome;
use serde_json::Value;

use super::user::{EXAMPLE, files_of, told as run};

fn told(journal: &Path, arguments: &[&str]) -> anyhow::Result<(String, Outcome)> {
    let told = run(&[arguments, &["--journal", &journal.display().to_string()]].concat())?;
    Ok((told.out, told.outcome))
}

fn json(arguments: &[&str]) -> Value {
    let all: Vec<&str> = arguments.iter().chain(&["--format", "json"]).copied().collect();
    let (out, outcome) = told(Path::new(EXAMPLE), &all).unwrap();
    assert_eq!(outcome, Outcome::Good);
    serde_json::from_str(&out).unwrap()
}

/// The example, to write into.
fn copy() -> tempfile::TempDir {
    let to = tempfile::tempdir().unwrap();
    for file in files_of(Path::new(EXAMPLE)) {
        let path = to.path().join(&file);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::copy(Path::new(EXAMPLE).join(&file), path).unwrap();
    }
    to
}

#[test]
fn the_open_slots_of_a_build_are_shopped_for() {
    let told = json(&["wanted", "orchard"]);
    let slots = told["slots"].as_array().unwrap();
    let strap = slots.iter().find(|slot| slot["slot"] == "strap").unwrap();
    let width = strap["sizes"].as_array().unwrap().iter().find(|size| size["name"] == "strap.width").unwrap();
    // Lugs of 20.00 ±0.02, a strap as well measured: -0.3 to 0.8 between them, less what both may be off.
    let range = &width["ranges"][0];
    assert!((range[0].as_f64().unwrap() - 19.2).abs() < 0.05, "{range}");
    assert!((range[1].as_f64().unwrap() - 20.3).abs() < 0.15, "{range}");
    let grey = strap["parts"].as_array().unwrap().iter().find(|part| part["part"] == "grey-20").unwrap();
    assert_eq!(grey["answer"], "goes");

    let dial = json(&["wanted", "orchard", "--slot", "dial"]);
    assert_eq!(dial["slots"].as_array().unwrap().len(), 1);
    assert_eq!(dial["slots"][0]["filled"], "plum-arabic");
    // Nothing that may be radioactive is ever to be worked on.
    for part in dial["slots"][0]["parts"].as_array().unwrap() {
        if part["answer"] == "after" {
            for step in part["steps"].as_array().unwrap() {
                assert_ne!(step["part"], "parlour-spare", "{step}");
            }
        }
    }
}

#[test]
fn a_combination_of_the_example_becomes_a_build_that_fits() {
    let found = json(&["combine"]);
    let goes = found["goes"].as_array().unwrap();
    assert!(goes.len() >= 3, "{found}");
    let ease: Vec<f64> = goes.iter().map(|one| one["ease"].as_f64().unwrap()).collect();
    assert!(ease.is_sorted_by(|a, b| a >= b), "{ease:?}");

    let journal = copy();
    told(journal.path(), &["combine", "--start", "tide-pool", "--take", "2"]).unwrap();
    let text = std::fs::read_to_string(journal.path().join("builds/tide-pool/build.md")).unwrap();
    assert!(text.contains(goes[1]["parts"]["dial"].as_str().unwrap()), "{text}");
    let (out, outcome) = told(journal.path(), &["fit", "tide-pool", "--format", "json"]).unwrap();
    let fit: Value = serde_json::from_str(&out).unwrap();
    assert_eq!(outcome, Outcome::Good, "{out}");
    for verdict in ["clear", "tight"] {
        // Beside the parts, fit asks whether each is booked once.
        let more = u64::from(verdict == "clear");
        let counted = fit["builds"][0]["counts"][verdict].as_u64().unwrap();
        assert_eq!(counted, goes[1]["counts"][verdict].as_u64().unwrap() + more, "{verdict}");
    }
    // Nothing is overwritten, and what the new build has is no longer free.
    assert!(told(journal.path(), &["combine", "--start", "tide-pool"]).is_err());
    let (out, _) = told(journal.path(), &["combine", "--format", "json"]).unwrap();
    let left: Value = serde_json::from_str(&out).unwrap();
    for one in left["goes"].as_array().unwrap() {
        assert_ne!(one["parts"]["case"], goes[1]["parts"]["case"]);
    }
}

#[test]
fn what_is_asked_of_combine_is_kept() {
    let only = json(&["combine", "--with", "slate-footless", "--without", "strap", "--most", "2"]);
    for one in only["goes"].as_array().unwrap() {
        assert_eq!(one["parts"]["dial"], "slate-footless");
        assert_eq!(one["dial_held_by"], "dots");
        assert!(one["parts"].get("strap").is_none());
    }
    assert_eq!(json(&["combine", "--diameter", "..30"])["goes"].as_array().unwrap().len(), 0);
    for wrong in [
        vec!["combine", "--with", "no-such-part"],
        vec!["combine", "--with", "plum-arabic"],
        vec!["combine", "--without", "case"],
        vec!["combine", "--diameter", "38"],
        vec!["wanted", "no-such-build"],
        vec!["wanted", "orchard", "--slot", "lens"],
    ] {
        assert!(told(Path::new(EXAMPLE), &wrong).is_err(), "{wrong:?}");
    }
}
