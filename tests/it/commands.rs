//! `audit` and `caption` as a user runs them, on the example: their output held as printed.
//!
//! `UPDATE_EXPECT=1 cargo test --test it commands` writes it anew; read the difference as the person
//! at the bench would.

use std::path::Path;

use endshake::caption::{Caption, Prices};
use endshake::cli::Exit;
use endshake::journal::{self, Journal, PartSource, folder};
use endshake::ledger::Ledger;
use expect_test::expect_file;
use serde_json::Value;

use super::user::{EXAMPLE, on_example, told};

/// What a command prints, once it went well.
fn printed(arguments: &[&str]) -> String {
    let told = on_example(arguments).unwrap();
    assert_eq!(told.outcome, Exit::Good, "{arguments:?}\n{}", told.err);
    told.out
}

fn json(arguments: &[&str]) -> Value {
    serde_json::from_str(&printed(&[arguments, &["--format", "json"]].concat())).unwrap()
}

fn example() -> Journal {
    journal::read(folder::read(Path::new(EXAMPLE)).unwrap())
}

#[test]
fn the_audit_of_the_example() {
    let told = on_example(&["audit"]).unwrap();
    assert_eq!(told.outcome, Exit::Good);
    expect_file!["example/audit.txt"].assert_eq(&told.out);
    expect_file!["example/problems.txt"].assert_eq(&told.err);
    // The folder may be named without --journal.
    assert_eq!(super::user::told(&["audit", EXAMPLE]).unwrap().out, told.out);
}

#[test]
fn the_audit_kept_to_kinds() {
    let told = printed(&["audit", "--kind", "hand", "--kind", "movement"]);
    expect_file!["example/audit-hands-and-movements.txt"].assert_eq(&told);
    for line in told.lines().filter(|line| line.starts_with("  ")) {
        let kinds = ["hand ", "movement "];
        let of_a_part = kinds.iter().any(|kind| line.contains(kind));
        // Donors are told by what they gave; sums by build and year have no kind.
        let other = line.contains("watch ") || line.contains("EUR") || line.starts_with("    ");
        assert!(of_a_part || other, "{line}");
    }
    assert!(!told.contains("Time at the bench"), "hours are of no kind");
    let fault = |kind: &str| on_example(&["audit", "--kind", kind]).err().unwrap().to_string();
    assert_eq!(fault("hnad"), "`hnad` is not a kind of part, did you mean `hand`?");
    assert!(fault("zzzzzz").contains("it is one of"), "{}", fault("zzzzzz"));
}

#[test]
fn the_audit_as_json() {
    let told = printed(&["audit", "--kind", "dial", "--format", "json"]);
    expect_file!["example/audit-dial.json"].assert_eq(&told.replace(EXAMPLE, "content-example"));

    let (whole, text) = (json(&["audit"]), printed(&["audit"]));
    for (key, title) in [
        ("in_use", "In use"),
        ("free", "Free"),
        ("reused", "Reused"),
        ("altered_beyond_return", "Altered beyond return"),
        ("left_over", "Left over from watches taken apart"),
        ("never_used", "Never used"),
        ("gone", "Gone"),
        ("to_measure", "To be measured"),
        ("donors", "Donors"),
    ] {
        let rows = whole[key].as_array().unwrap();
        assert!(!rows.is_empty(), "{key}");
        assert!(text.contains(&format!("{title}  {}\n", rows.len())), "{title}");
        for row in rows {
            let file = Path::new(EXAMPLE).join(row["file"].as_str().unwrap());
            assert!(file.is_file(), "{row}");
        }
        // What is kept to a kind is a part of the whole, in the same order.
        let of_hands = |row: &&Value| row["kind"] == "hand";
        if !["to_measure", "donors"].contains(&key) {
            let hands = json(&["audit", "--kind", "hand"]);
            let expected: Vec<&Value> = rows.iter().filter(of_hands).collect();
            assert_eq!(hands[key].as_array().unwrap().iter().collect::<Vec<_>>(), expected, "{key}");
        }
    }
    // What settles most comes first.
    let settles: Vec<u64> =
        whole["to_measure"].as_array().unwrap().iter().map(|row| row["settles"].as_u64().unwrap()).collect();
    assert!(settles.is_sorted_by(|a, b| a >= b), "{settles:?}");
    let sum = |key: &str| -> f64 {
        whole["spent"][key].as_array().unwrap().iter().map(|row| row["sum"].as_f64().unwrap()).sum()
    };
    let all = whole["spent"]["all"].as_f64().unwrap();
    assert!((sum("by_build") - all).abs() < 1e-6 && (sum("by_year") - all).abs() < 1e-6 && all > 0.0);
}

#[test]
fn the_audit_of_a_day_gone_by() {
    let told = printed(&["audit", "--on", "2026-03-01"]);
    expect_file!["example/audit-then.txt"].assert_eq(&told);
    let then = json(&["audit", "--on", "2026-03-01"]);
    let build_of = |audit: &Value, part: &str| {
        let row = audit["in_use"].as_array().unwrap().iter().find(|row| row["part"] == part)?;
        Some(row["stays"][0]["build"].as_str()?.to_owned())
    };
    // The hand went from one watch into the next, and keeps what was done to it in the first.
    assert_eq!(build_of(&then, "blue-seconds").as_deref(), Some("first-light"));
    assert_eq!(build_of(&json(&["audit"]), "blue-seconds").as_deref(), Some("sluice-gate"));
    // On the last day and after it nothing is left out.
    for (key, now) in json(&["audit"]).as_object().unwrap() {
        if !["today", "as_of", "to_measure"].contains(&key.as_str()) {
            assert_eq!(&json(&["audit", "--on", "2031-01-01"])[key], now, "{key}");
        }
    }
    let before = json(&["audit", "--on", "2020-01-01"]);
    assert_eq!(before["spent"]["all"], 0.0);
    assert_eq!(before["hours"].as_array().unwrap().len(), 0);
}

#[test]
fn captions_of_the_example() {
    expect_file!["example/caption.txt"].assert_eq(&printed(&["caption", "lantern"]));
    expect_file!["example/caption-prices.txt"].assert_eq(&printed(&["caption", "lantern", "--prices"]));
    let short: String = ["800", "400", "200", "60"]
        .map(|most| format!("=== {most}\n{}", printed(&["caption", "lantern", "--length", most])))
        .concat();
    expect_file!["example/caption-short.txt"].assert_eq(&short);
    let fault = |arguments: &[&str]| on_example(arguments).err().unwrap().to_string();
    assert!(fault(&["caption", "lantern", "--length", "3"]).contains("the title alone is longer"));
    assert!(fault(&["caption", "lantren"]).contains("did you mean `lantern`?"));
}

#[test]
fn captions_keep_their_length_and_drop_the_least_first() {
    let journal = example();
    let ledger = Ledger::of(&journal);
    for build in &journal.builds {
        let caption = Caption::of(&journal, &ledger, build, Prices::Private);
        let whole = caption.text();
        let (title, all) = (build.title.chars().count(), whole.chars().count());
        let mut before = 0;
        for most in title..=all {
            let told = caption.within(most).unwrap();
            assert!(told.chars().count() <= most, "{} {most}", build.slug);
            assert!(told.starts_with(&build.title), "{told}");
            let lines = told.lines().filter(|line| !line.is_empty()).count();
            assert!(lines >= before, "{} {most}: {lines} lines, {before} before", build.slug);
            before = lines;
        }
        assert_eq!(caption.within(title - 1), None, "{}", build.slug);
        assert_eq!(caption.within(all), Some(whole));
    }
}

#[test]
fn captions_contain_nothing_private() {
    let journal = example();
    let mut private: Vec<String> = Vec::new();
    for part in journal.parts.values() {
        if let Some(PartSource::Bought(from) | PartSource::Made(from) | PartSource::Given(from)) =
            &part.from.source
        {
            private.push(from.clone());
        }
        private.extend(["note", "serial"].iter().filter_map(|path| part.spec.text(path)).map(str::to_owned));
    }
    private.retain(|text| text.len() > 4);
    private.extend(journal.settings.currency.clone());
    assert!(private.len() > 20, "{private:?}");
    let (mut told, mut priced) = (0, 0);
    for build in &journal.builds {
        let caption = printed(&["caption", &build.slug]);
        for text in &private {
            assert!(!caption.contains(text.as_str()), "{} tells `{text}`", build.slug);
        }
        for hidden in journal.builds.iter().filter(|other| other.hidden && other.slug != build.slug) {
            assert!(!caption.contains(&hidden.title), "{} tells of {}", build.slug, hidden.title);
        }
        let currency = journal.settings.currency.as_deref().unwrap();
        priced += usize::from(printed(&["caption", &build.slug, "--prices"]).contains(currency));
        told += caption.lines().count();
    }
    assert!(told > 80 && priced > 4, "{told} lines, {priced} with prices");
}

#[test]
fn a_caption_of_nothing_but_a_title() {
    let journal = tempfile::tempdir().unwrap();
    std::fs::create_dir_all(journal.path().join("builds/bare")).unwrap();
    std::fs::write(journal.path().join("journal.yaml"), "title: Bare\n").unwrap();
    let text = "---\ntitle: Bare\nstate: planned\nparts: { case: none }\n---\n";
    std::fs::write(journal.path().join("builds/bare/build.md"), text).unwrap();
    let told = told(&["caption", "bare", "--journal", &journal.path().display().to_string()]).unwrap();
    assert_eq!(told.out, "Bare\n");
}
