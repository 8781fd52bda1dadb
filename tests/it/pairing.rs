//! `wanted` and `combine` as a user runs them, on the example.

use std::path::Path;

use endshake::cli::Exit;
use serde_json::Value;

use super::user::{EXAMPLE, files_of, told as run};

fn told(journal: &Path, arguments: &[&str]) -> anyhow::Result<(String, Exit)> {
    let told = run(&[arguments, &["--journal", &journal.display().to_string()]].concat())?;
    Ok((told.out, told.outcome))
}

fn json(arguments: &[&str]) -> Value {
    let all: Vec<&str> = arguments.iter().chain(&["--format", "json"]).copied().collect();
    let (out, outcome) = told(Path::new(EXAMPLE), &all).unwrap();
    assert_eq!(outcome, Exit::Good);
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
fn wanted_lists_parts_for_the_open_slots() {
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
    assert_eq!(outcome, Exit::Good, "{out}");
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
fn combine_keeps_to_its_arguments() {
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

#[cfg(target_os = "linux")]
/// Some cases, dials, movements and hands that all go together.
fn bin_of(count: usize) -> String {
    use std::fmt::Write as _;

    let mut bin = String::new();
    for at in 0..count {
        let size = 0.01 * at as f64;
        let _ = writeln!(
            bin,
            "case-{at}: {{ kind: case, origin: measured, diameter: 38, crown_at: 3h, dial_seat: {:.2}, bore: 28.2, depth: 5.6, \
             rehaut: {{ bottom: 27.6, top: 28, height: 1.6 }}, tube: {{ below: 2.3 }} }}\n\
             dial-{at}: {{ kind: dial, origin: measured, diameter: {:.2}, thickness: 0.4, centre_hole: 2.2, track_diameter: 27, feet: [], lume: none }}\n\
             mv-{at}: {{ kind: movement, origin: measured, casing_diameter: {:.2}, height_below: 4.5, stem: {{ below: 1.9 }}, \
             posts: {{ hour: {{ fits: 1.5, top: 1, pipe_diameter: 1.6 }}, minute: {{ fits: 0.9, top: 1.6 }}, seconds: {{ fits: 0.2, top: 2.2 }} }} }}",
            28.5 + size,
            28.2 + size,
            27.6 + size,
        );
        for (name, fits, length) in [("h", 1.5, 8.0), ("m", 0.9, 12.0), ("s", 0.2, 12.2)] {
            let _ = writeln!(
                bin,
                "{name}-{at}: {{ kind: hand, origin: measured, fits: {fits}, length: {:.2}, thickness: 0.12 }}",
                length + size
            );
        }
    }
    bin
}

#[cfg(target_os = "linux")]
/// Whether a process catches Ctrl-C and has worked for a second, by what the kernel lists of it.
fn searches(process: u32) -> bool {
    const INTERRUPT: u64 = 1 << (2 - 1);
    const SECOND: u64 = 100;
    let read = |file| std::fs::read_to_string(format!("/proc/{process}/{file}")).unwrap_or_default();
    let (status, worked) = (read("status"), read("stat"));
    let caught = status.lines().find_map(|line| line.strip_prefix("SigCgt:"));
    // The fields that follow the program's name in brackets; the twelfth counts hundredths of a second.
    let worked = worked.rsplit(')').next().and_then(|fields| fields.split_whitespace().nth(11));
    caught.is_some_and(|mask| u64::from_str_radix(mask.trim(), 16).unwrap() & INTERRUPT != 0)
        && worked.is_some_and(|ticks| SECOND <= ticks.parse().unwrap())
}

#[cfg(target_os = "linux")]
#[test]
fn ctrl_c_ends_a_long_search_with_what_was_found() {
    use std::process::{Command, Stdio};
    use std::time::{Duration, Instant};

    use crate::user::end;

    // Sixteen of each: more than ten million fillings, of which all are asked for.
    let journal = tempfile::tempdir().unwrap();
    std::fs::create_dir(journal.path().join("parts")).unwrap();
    std::fs::write(journal.path().join("journal.yaml"), "title: A large bin\n").unwrap();
    std::fs::write(journal.path().join("parts/bin.yaml"), bin_of(16)).unwrap();
    for format in ["text", "json"] {
        let mut search = Command::new(env!("CARGO_BIN_EXE_endshake"));
        search
            .args(["combine", "--every", "--most", "3", "--format", format, "--journal"])
            .arg(journal.path());
        let mut search = search
            .env("XDG_CACHE_HOME", journal.path())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let begun = Instant::now();
        // The system tells nobody of a signal that comes to be caught.
        while !searches(search.id()) {
            assert_eq!(search.try_wait().unwrap(), None, "it ended before it was asked to");
            assert!(begun.elapsed() < PATIENCE, "it never came to search");
            std::thread::sleep(Duration::from_millis(20));
        }
        end(&mut search, "INT");
        let told = search.wait_with_output().unwrap();
        let out = String::from_utf8(told.stdout).unwrap();
        assert_eq!(told.status.code(), Some(0), "{out}{}", String::from_utf8_lossy(&told.stderr));
        if format == "text" {
            assert!(out.contains("stopped before everything was searched"), "{out}");
            assert!(out.contains(" together"), "{out}");
        } else {
            let found: Value = serde_json::from_str(&out).unwrap();
            assert_eq!((&found["stopped"], &found["complete"]["goes"]), (&true.into(), &false.into()));
            for one in found["goes"].as_array().unwrap() {
                assert!(one["parts"]["movement"].is_string(), "{one}");
            }
        }
    }
}

/// Only what hangs takes so long.
#[cfg(target_os = "linux")]
const PATIENCE: std::time::Duration = std::time::Duration::from_secs(120);
