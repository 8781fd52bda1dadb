//! The example's drawings: each whole, light enough for its page, and telling its figures in words.

use std::path::Path;
use std::sync::Arc;

use endshake::draw::{self, DrawnWatch};
use endshake::fit::assemble::assemble;
use endshake::fit::inspect::inspect;
use endshake::fit::standards::Standards;
use endshake::journal::{self, folder};
use endshake::ledger::Ledger;

/// Every build of the example by its slug, as the drawings see it.
fn example() -> Vec<(String, DrawnWatch)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("content-example");
    let journal = journal::read(folder::read(&root).unwrap());
    let ledger = Ledger::of(&journal);
    let standards = Arc::new(Standards::of(&journal).0);
    let today = ledger.last_day(&journal);
    let figures = journal.builds.iter().map(|build| {
        let now = assemble(&journal, &ledger, &standards, today, build);
        (build.slug.clone(), draw::drawn_watch(&build.title, &now, &now.as_came(), &inspect(&now)))
    });
    figures.collect()
}

fn of<'a>(all: &'a [(String, DrawnWatch)], slug: &str) -> &'a DrawnWatch {
    &all.iter().find(|(name, _)| name == slug).unwrap().1
}

#[test]
fn every_build_is_drawn_whole_and_light() {
    for (slug, watch) in example() {
        let drawings = [
            draw::section(&watch, "sw"),
            draw::narrow_section(&watch, "sw"),
            draw::plan(&watch, "pw"),
            draw::narrow_plan(&watch, "pw"),
        ];
        let mut ids = Vec::new();
        for svg in &drawings {
            let document = roxmltree::Document::parse(svg).unwrap_or_else(|fault| panic!("{slug}: {fault}"));
            let root = document.root_element();
            assert_eq!(root.attribute("role"), Some("img"), "{slug}");
            if root.attribute("class") == Some("dw wide") {
                let title = root.children().find(|n| n.has_tag_name("title")).and_then(|n| n.text());
                assert!(title.unwrap().starts_with(&watch.name), "{slug}");
            } else {
                // Told by the wide drawing beside it.
                let known =
                    |name: &str| root.attribute(name).is_some_and(|id| ids.iter().any(|known| known == id));
                assert!(known("aria-labelledby") && known("aria-describedby"), "{slug}");
            }
            assert!(!svg.contains("NaN") && !svg.contains("style="), "{slug}");
            ids.extend(document.descendants().filter_map(|n| n.attribute("id").map(str::to_owned)));
        }
        let count = ids.len();
        ids.sort();
        ids.dedup();
        assert_eq!(ids.len(), count, "{slug}: ids are the page's only ones");
        // A page has 120 KB, and bars and words want theirs.
        let bytes: usize = drawings.iter().map(String::len).sum();
        assert!(bytes < 36_000, "{slug}: {bytes}");
    }
}

#[test]
fn an_altered_dial_is_drawn_before_and_after() {
    let all = example();
    let lantern = of(&all, "lantern");
    let dial = lantern.dial.as_ref().unwrap();
    assert_eq!((dial.diameter, dial.diameter_as_came), (Some(27.10), Some(28.50)));
    assert!(dial.feet.len() == 2 && dial.feet.iter().all(|foot| foot.cut));
    let words = draw::section_words(lantern);
    assert!(words.contains("came as \u{2212}1.28, fouls"), "{words}");
    // The line of a part as it came is in the detail of the seat and in the plan.
    assert!(draw::section(lantern, "s").contains("class=\"p\""));
    assert!(draw::plan(lantern, "p").contains("class=\"p\""));
}

#[test]
fn the_gap_in_a_drawing_is_that_of_its_finding() {
    let all = example();
    let lantern = of(&all, "lantern");
    let hand = |role| lantern.hands.iter().find(|hand| hand.role == role).unwrap();
    let (seconds, minute) = (hand(draw::Role::Seconds), hand(draw::Role::Minute));
    let drawn = seconds.top.unwrap() - seconds.thickness.unwrap() - minute.top.unwrap();
    let place = draw::Place::HandsApart { upper: draw::Role::Seconds, lower: draw::Role::Minute };
    let told = lantern.clearances.iter().find(|c| c.place == place).unwrap();
    assert!((drawn - told.figure.unwrap()).abs() < 1e-9, "{drawn} {told:?}");
}

#[test]
fn a_movement_is_drawn_with_its_stem_at_the_crown() {
    for (slug, watch) in example() {
        let (Some(case), Some(movement)) = (&watch.case, &watch.movement) else { continue };
        let (Some(crown), Some(dial)) = (case.crown_at, &watch.dial) else { continue };
        let (Some(shown), Some(window)) = (movement.date, dial.date_window) else { continue };
        // The figure drawn is the one nearest to the window: within half a pitch of 360/31 degrees.
        if let (Some(shown), Some(window)) = (shown.at, window.at) {
            let apart = (shown - window + 540.0).rem_euclid(360.0) - 180.0;
            assert!(apart.abs() <= 360.0 / 62.0 + 1e-9, "{slug}: {shown} for {window}, crown at {crown}");
        }
    }
}
