//! The example journal: its findings held as printed, and the same twice.
//!
//! `UPDATE_EXPECT=1 cargo test --test it example` writes them anew; read the difference as someone
//! who knows watches before you keep it.

use std::path::Path;

use endshake::cli::{Arguments, Outcome, Streams, run};
use endshake::fit::verdict::Verdict;
use expect_test::expect_file;

use clap::Parser as _;

fn example() -> String {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("content-example").display().to_string()
}

/// What a command prints on both streams, and how it ends.
fn told(arguments: &[&str]) -> (String, String, Outcome) {
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let arguments = Arguments::parse_from(std::iter::once(&"endshake").chain(arguments));
    let outcome = run(&arguments, &mut Streams { out: &mut out, err: &mut err }).unwrap();
    (plain(&out), plain(&err), outcome)
}

/// Text without the colours that a terminal would show.
fn plain(bytes: &[u8]) -> String {
    String::from_utf8(anstream::adapter::strip_bytes(bytes).into_vec()).unwrap()
}

#[test]
fn its_findings_are_the_intended_ones() {
    let (out, err, outcome) = told(&["fit", "--journal", &example()]);
    expect_file!["example/findings.txt"].assert_eq(&out);
    expect_file!["example/problems.txt"].assert_eq(&err);
    assert_eq!(outcome, Outcome::Fouls, "the example has builds that foul, and no error");
}

#[test]
fn its_json_is_the_same_twice_and_has_every_verdict() {
    let arguments = ["fit", "--journal", &example(), "--format", "json"];
    let (out, ..) = told(&arguments);
    assert_eq!(out, told(&arguments).0);
    let json: serde_json::Value = serde_json::from_str(&out).unwrap();
    let builds = json["builds"].as_array().unwrap();
    assert!(builds.len() >= 8);
    for verdict in [Verdict::Clear, Verdict::Tight, Verdict::Fouls, Verdict::Unmeasured] {
        let counted = |build: &serde_json::Value| build["counts"][verdict.word()].as_u64().unwrap();
        assert!(builds.iter().any(|build| counted(build) > 0), "no build is {verdict}");
    }
    let findings = builds.iter().flat_map(|build| build["findings"].as_array().unwrap());
    for finding in findings {
        for dimension in finding["dimensions"].as_array().unwrap() {
            assert!(!dimension["file"].as_str().unwrap().is_empty(), "{finding}");
        }
        // Whatever fouls has advice, or says why there is none.
        if finding["verdict"] == "fouls" {
            let advised = !finding["advice"].as_array().unwrap().is_empty();
            assert!(advised || !finding["text"].as_str().unwrap().is_empty(), "{finding}");
        }
    }
}
