//! Every piece of advice on the example journal, carried out in a copy of it: a day is added to the
//! build's log that says what was done, and the whole journal is read, replayed and judged again.

use std::path::Path;
use std::sync::Arc;

use endshake::fit::advice::{self, Tried};
use endshake::fit::assemble::assemble;
use endshake::fit::assembly::{Assembly, parted};
use endshake::fit::finding::Finding;
use endshake::fit::inspect;
use endshake::fit::standards::Standards;
use endshake::fit::verdict::Verdict;
use endshake::journal::folder::{self, Folder};
use endshake::journal::{self, Journal, Slot};
use endshake::ledger::Ledger;

/// A journal that was read, with all that judging takes.
struct Read {
    journal: Journal,
    ledger: Ledger,
    standards: Arc<Standards>,
}

impl Read {
    fn of(folder: Folder) -> Read {
        let journal = journal::read(folder);
        let ledger = Ledger::of(&journal);
        let standards = Arc::new(Standards::of(&journal).0);
        Read { journal, ledger, standards }
    }

    fn watch(&self, slug: &str) -> Assembly {
        let build = self.journal.build(slug).unwrap();
        assemble(&self.journal, &self.ledger, &self.standards, self.ledger.last_day(&self.journal), build)
    }

    fn findings(&self, slug: &str) -> Vec<Finding> {
        inspect::judge_both(&self.watch(slug))
    }
}

#[test]
fn advice_carried_out_gives_the_promised_verdict() {
    let example = folder::read(&Path::new(env!("CARGO_MANIFEST_DIR")).join("content-example")).unwrap();
    let read = Read::of(example.clone());
    let mut pieces = 0;
    for build in &read.journal.builds {
        let watch = read.watch(&build.slug);
        let findings = read.findings(&build.slug);
        for (at, finding) in findings.iter().enumerate() {
            if !matches!(finding.verdict, Some(Verdict::Fouls | Verdict::Tight)) {
                continue;
            }
            let (all, refused) = advice::options(&watch, watch.bands(), &findings, at);
            assert!(refused.is_none_or(|refused| !refused.caution.is_empty()));
            for tried in all {
                let told = format!("{}, {}: {}", build.slug, finding.key(), tried.advice.text);
                let done = carry_out(example.clone(), &read, &build.slug, &tried);
                let after = Read::of(done).findings(&build.slug);
                let same = after.iter().find(|other| other.key() == finding.key());
                let verdict = same.map_or(Some(Verdict::Clear), |same| same.verdict);
                assert_eq!(verdict, Some(tried.verdict), "{told}");
                for one in &after {
                    let was = findings.iter().find(|other| other.key() == one.key());
                    let was = was.and_then(|was| was.verdict).or(Some(Verdict::Clear));
                    assert!(one.verdict <= was, "{told}\nmakes {} worse: {:?}", one.key(), one.verdict);
                }
                pieces += 1;
            }
        }
    }
    assert!(pieces >= 12, "{pieces} pieces of advice in all");
}

/// The journal after the advice was followed.
fn carry_out(mut folder: Folder, read: &Read, slug: &str, tried: &Tried) -> Folder {
    let (slot, path) = parted(&tried.dimension).unwrap();
    let sheet = format!("builds/{slug}/build.md");
    let build = folder.texts.iter_mut().find(|(path, _)| *path == sheet).unwrap();
    let added = read.watch(slug).part(slot).is_none();
    let size = tried.watch.known(&tried.dimension).map(|known| known.size);
    let done = match size {
        None => {
            assert_eq!((slot, path), (Slot::Dial, "feet"), "the only list that is emptied");
            build.1 = without(&build.1, "dial_held_by:").replacen("parts:", "dial_held_by: tape\nparts:", 1);
            "altered: [{ part: dial, how: feet cut, to: { feet: [] } }]".to_owned()
        }
        Some(size) if added => {
            let part =
                format!("parts:\n  {slot}: {{ kind: {}, {path}: {size} }}", slot.kind(), slot = slot.name());
            build.1 = without(&build.1, &format!("  {}:", slot.name())).replacen("parts:", &part, 1);
            String::new()
        }
        Some(size) => format!("measured: {{ {}: {{ {path}: {size} }} }}", slot.name()),
    };
    let day = read.ledger.last_day(&read.journal);
    let entry = format!("---\ndate: {day}\ntime: 23:00\n{done}\n---\n");
    folder.texts.push((format!("builds/{slug}/carried-out.md"), entry));
    folder.texts.sort();
    folder
}

/// A text without the lines that begin so.
fn without(text: &str, start: &str) -> String {
    text.split_inclusive('\n').filter(|line| !line.starts_with(start)).collect()
}
