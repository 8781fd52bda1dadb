//! The example journal: its findings held as printed, and the same twice.
//!
//! `UPDATE_EXPECT=1 cargo test --test it example` writes them anew; read the difference as someone
//! who knows watches before you keep it.

use endshake::cli::Exit;
use endshake::fit::verdict::Verdict;
use expect_test::expect_file;

use super::user::on_example;

#[test]
fn the_example_has_the_intended_findings() {
    let told = on_example(&["fit"]).unwrap();
    expect_file!["example/findings.txt"].assert_eq(&told.out);
    expect_file!["example/problems.txt"].assert_eq(&told.err);
    assert_eq!(told.outcome, Exit::Fouls, "the example has builds that foul, and no error");
}

#[test]
fn the_examples_json_is_stable_and_has_every_verdict() {
    let arguments = ["fit", "--format", "json"];
    let out = on_example(&arguments).unwrap().out;
    assert_eq!(out, on_example(&arguments).unwrap().out);
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
