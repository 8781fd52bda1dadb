//! In whichever order files come, lie or are cut, the same journal gives the same ledger and the same
//! audit.

use std::fmt::Write as _;
use std::path::Path;
use std::sync::Arc;

use endshake::audit::{Audit, AuditScope};
use endshake::fit::inspect;
use endshake::fit::standards::Standards;
use endshake::journal::folder::{self, Folder};
use endshake::journal::{self, Content, Spec};
use endshake::ledger::{Ledger, When};
use endshake::report;
use endshake::text::Files;
use serde_json::Value;

use super::dice::Dice;
use super::user::{EXAMPLE, files_of};

/// What is compared: byte for byte.
#[derive(PartialEq, Debug)]
struct Said {
    ledger: String,
    audit: String,
}

/// `places`: where each thing is written counts too.
fn said(folder: Folder, places: bool) -> Said {
    let journal = journal::read(folder);
    let ledger = Ledger::of(&journal);
    let reports = inspect::all(&journal, &ledger, &Arc::new(Standards::of(&journal).0));
    let mut problems = inspect::problems(&journal, &ledger, &reports);
    problems.extend(journal.problems.iter().cloned());
    problems.extend(ledger.problems.iter().cloned());
    endshake::problem::sort(&mut problems);
    let audit = Audit::of(&journal, &ledger, &reports, &AuditScope::default());
    let mut audit = report::audit::json(&audit, "journal", &problems);
    if !places {
        without_places(&mut audit);
        // They stand in the order of their places.
        let told = audit["problems"].as_array_mut().unwrap();
        told.sort_by_key(Value::to_string);
    }
    let audit = serde_json::to_string_pretty(&audit).unwrap();
    Said { ledger: written(&ledger, &journal.files, places), audit }
}

fn without_places(value: &mut Value) {
    match value {
        Value::Object(map) => {
            map.retain(|key, _| !["file", "line", "column"].contains(&key.as_str()));
            map.values_mut().for_each(without_places);
        }
        Value::Array(list) => list.iter_mut().for_each(without_places),
        _ => {}
    }
}

/// Everything that the ledger knows of every unit, a line a thing.
fn written(ledger: &Ledger, files: &Files, places: bool) -> String {
    let mut out = String::new();
    let at = |span| if places { format!(" at {}", files.place(span)) } else { String::new() };
    let when = |when: Option<When>| when.map(|when| format!("{}{}", when.at, at(when.span)));
    for unit in ledger.units.values() {
        let _ = writeln!(out, "{} {} {}{}", unit.id, unit.name, unit.kind.name, at(unit.span));
        let _ = writeln!(out, "  had {:?}, {:?} off {:?}", when(unit.had), when(unit.split), unit.split_from);
        let _ = writeln!(out, "  count {:?}, left {}, free {}", unit.count, unit.left(), unit.free());
        let _ = writeln!(out, "  came {}", sizes(&unit.came));
        let _ = writeln!(out, "  is {}", sizes(&unit.spec_in("", None)));
        for change in &unit.changes {
            let entry = if places { change.entry.as_str() } else { "" };
            let (how, day) = (&change.altered, when(Some(change.when)));
            let _ = writeln!(out, "  {day:?} {} {entry} {how:?} {}", change.build, sizes(&change.sizes));
        }
        for stay in &unit.stays {
            let (build, slot) = (&stay.build, stay.slot.name());
            let span = at(stay.span);
            let _ = writeln!(out, "  {build} {slot} {:?} {:?} {}{span}", stay.from, stay.to, stay.planned);
        }
        for gone in &unit.gone {
            let _ = writeln!(out, "  {:?} {} {}", when(Some(gone.when)), gone.how, gone.count);
        }
    }
    out
}

fn sizes(spec: &Spec) -> String {
    let each = spec.iter().map(|(path, content)| match &content.value {
        Content::Items(items) => format!("{path} {:?}", items.iter().map(sizes).collect::<Vec<_>>()),
        Content::Texts(texts) => {
            format!("{path} {:?}", texts.iter().map(|text| &text.value).collect::<Vec<_>>())
        }
        Content::Raw(_) => format!("{path} raw"),
        other => format!("{path} {other:?}"),
    });
    each.collect::<Vec<_>>().join(", ")
}

#[test]
fn a_folder_walked_in_any_order_is_the_same_journal() {
    let folder = folder::read(Path::new(EXAMPLE)).unwrap();
    let first = said(folder.clone(), true);
    assert!(first.ledger.lines().count() > 300 && first.audit.lines().count() > 1000);
    for seed in 0..6 {
        let (mut dice, mut folder) = (Dice(seed), folder.clone());
        dice.shuffle(&mut folder.texts);
        dice.shuffle(&mut folder.builds);
        dice.shuffle(&mut folder.photos);
        let now = said(folder, true);
        assert!(now.ledger == first.ledger, "seed {seed}");
        assert!(now.audit == first.audit, "seed {seed}");
    }
}

#[test]
fn files_laid_down_in_any_order_are_the_same_journal() {
    let example = Path::new(EXAMPLE);
    let texts = |path: &std::path::PathBuf| path.extension().is_some_and(|e| e == "md" || e == "yaml");
    let files: Vec<_> = files_of(example).into_iter().filter(texts).collect();
    let mut first = None;
    for seed in 0..4 {
        let mut files = files.clone();
        match seed {
            0 => {}
            1 => files.reverse(),
            seed => Dice(seed).shuffle(&mut files),
        }
        let copy = tempfile::tempdir().unwrap();
        for file in &files {
            let to = copy.path().join(file);
            std::fs::create_dir_all(to.parent().unwrap()).unwrap();
            std::fs::copy(example.join(file), to).unwrap();
        }
        let now = said(folder::read(copy.path()).unwrap(), true);
        let first = first.get_or_insert_with(|| said(folder::read(copy.path()).unwrap(), true));
        assert!(now.ledger == first.ledger && now.audit == first.audit, "seed {seed}");
    }
}

#[test]
fn a_bin_cut_into_any_files_and_entries_of_any_name_are_the_same_journal() {
    let (mut altered, mut split, mut wrong) = (0, 0, 0);
    for seed in 0..200 {
        let plan = Plan::drawn(&mut Dice(seed));
        let first = said(plan.laid_out(&mut Dice(seed ^ 0xa)), false);
        let second = said(plan.laid_out(&mut Dice(seed ^ 0xb)), false);
        assert_eq!(first, second, "seed {seed}");
        altered += usize::from(first.ledger.contains("turned down"));
        split += usize::from(first.ledger.contains("off Some(\"lot\")"));
        wrong += usize::from(!first.audit.contains("\"problems\": []"));
    }
    // The plans are worth comparing: parts are worked on, split off, and contradicted.
    assert!(altered > 50 && split > 20 && wrong > 50, "{altered} {split} {wrong}");
}

/// A small journal, still without names for the files of its bin and of its entries.
struct Plan {
    parts: Vec<String>,
    /// Slug and front matter.
    builds: Vec<(String, String)>,
    /// Slug and front matter; no two are of one moment.
    entries: Vec<(String, String)>,
}

/// Parts by their slot and what of them is measured.
const PARTS: [(&str, &str, &str, &str); 7] = [
    ("amber", "dial", "dial", "diameter"),
    ("plum", "dial", "dial", "diameter"),
    ("round", "case", "case", "dial_seat"),
    ("stick", "hour", "hand", "length"),
    ("sword", "minute", "hand", "length"),
    ("lot", "crown", "crown", "diameter"),
    ("calibre", "movement", "movement", "casing_diameter"),
];

impl Plan {
    fn drawn(dice: &mut Dice) -> Plan {
        let part = |dice: &mut Dice, (id, _, kind, size): (&str, &str, &str, &str)| {
            let mut text = format!("{id}:\n  kind: {kind}\n  {size}: {}\n", 20 + dice.below(20));
            if id == "lot" {
                let _ = writeln!(text, "  count: {}", 1 + dice.below(4));
            }
            if id == "plum" && dice.one_in(3) {
                text.push_str("  like: amber\n");
            }
            if dice.one_in(2) {
                let price = dice.below(50);
                let day = 1 + dice.below(28);
                let _ =
                    writeln!(text, "  from: {{ bought: a fair, date: 2025-06-{day:02}, price: {price} }}");
            }
            text
        };
        let parts = PARTS.map(|one| part(dice, one)).to_vec();
        let slugs = ["heron", "lantern", "orchard"];
        let builds = slugs.map(|slug| {
            let state = dice.pick(&["planned", "on the bench", "finished", "taken apart"]);
            let mut text = format!("title: {slug}\nstate: {state}\n");
            if dice.one_in(2) {
                let _ = writeln!(text, "begun: 2025-0{}-01", 4 + dice.below(5));
            }
            text.push_str("parts:\n  seconds: none\n");
            for (id, slot, ..) in PARTS {
                if dice.one_in(2) && (id != "plum" || !text.contains("dial:")) {
                    let _ = writeln!(text, "  {slot}: {id}");
                }
            }
            (slug.to_owned(), text)
        });
        let mut days: Vec<usize> = (0..200).collect();
        dice.shuffle(&mut days);
        let count = 4 + dice.below(10);
        let entries = days.into_iter().take(count).map(|day| {
            let (month, day, hour) = (5 + day / 84, 1 + day / 3 % 28, 8 + day % 3);
            let date = format!("date: 2025-{month:02}-{day:02}\ntime: {hour:02}:00\n");
            (slugs[dice.below(3)].to_owned(), format!("{date}{}", Plan::entry(dice)))
        });
        Plan { parts, builds: builds.to_vec(), entries: entries.collect() }
    }

    fn entry(dice: &mut Dice) -> String {
        let mut out = String::new();
        let (id, slot, _, size) = *dice.pick(&PARTS);
        let figure = format!("{}.{:02}", 18 + dice.below(20), dice.below(100));
        let becomes =
            if id == "lot" && dice.one_in(2) { format!("one-{}", dice.below(3)) } else { String::new() };
        let becomes = if becomes.is_empty() { becomes } else { format!(", as: {becomes}") };
        let _ = match dice.below(7) {
            0 => writeln!(out, "had: [{id}]"),
            1 => writeln!(out, "removed: [{slot}]"),
            2 => writeln!(out, "fitted: {{ {slot}: {id} }}"),
            3 => writeln!(out, "measured: {{ {id}: {{ {size}: {figure}{becomes} }} }}"),
            4 => writeln!(
                out,
                "altered: [{{ part: {id}, how: turned down, to: {{ {size}: {figure} }}{becomes} }}]"
            ),
            5 => writeln!(out, "left: [{{ part: {id}, how: {} }}]", dice.pick(&["sold", "lost", "used up"])),
            _ => writeln!(out, "timing: [{{ position: CH, rate: +{} }}]", dice.below(20)),
        };
        if dice.one_in(3) {
            let _ = writeln!(out, "minutes: {}\nspent: {}", dice.below(200), dice.below(30));
        }
        out
    }

    /// As files: the bin cut into a few, entries by any name, all in any order.
    fn laid_out(&self, dice: &mut Dice) -> Folder {
        let mut folder = Folder::default();
        folder.texts.push(("journal.yaml".into(), "title: Any order\ncurrency: EUR\n".into()));
        let mut parts = self.parts.clone();
        dice.shuffle(&mut parts);
        while !parts.is_empty() {
            let taken: String = parts.drain(..1 + dice.below(parts.len())).collect();
            folder.texts.push((format!("parts/{:016x}.yaml", dice.roll()), taken));
        }
        for (slug, text) in &self.builds {
            folder.builds.push(slug.clone());
            folder.texts.push((format!("builds/{slug}/build.md"), format!("---\n{text}---\n")));
        }
        for (slug, text) in &self.entries {
            let name = format!("builds/{slug}/{:016x}.md", dice.roll());
            folder.texts.push((name, format!("---\n{text}---\n")));
        }
        dice.shuffle(&mut folder.texts);
        dice.shuffle(&mut folder.builds);
        folder
    }
}
