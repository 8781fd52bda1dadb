//! Is every part in one build at a time, from when it came until it was used up?

use crate::fit::assembly::Assembly;
use crate::fit::booking::Misbooked;
use crate::fit::check::{Answer, Asked, Check, Concerns, Group, Thumbnail};
use crate::fit::sentence::Sentence;

pub(super) const CHECK: Check = Check {
    id: "part-booked-once",
    title: "every part booked once",
    group: Group::Records,
    asks: "Is every part in one build at a time, from the day it came until it left?",
    formula: "no two builds hold a part on the same day; none before it came; none after it was sold, lost or used up",
    measured: "From the dates of the log.",
    ignored: "The plan counts on a dial that is in another watch, and one of the two waits.",
    remedy: "Look which of the two has it, and correct the log or choose another part.",
    unit: "",
    concerns: Concerns::Build,
    acceptable: false,
    thumbnail: Thumbnail::Log,
    scene: None,
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    let mut wrong = Vec::new();
    let mut parts = 0;
    for (slot, part) in watch.parts() {
        parts += 1;
        let told = part.misbooked.iter().map(|wrong| (slot.name().to_owned(), reason(&part.id, wrong)));
        wrong.extend(told);
    }
    if parts == 0 {
        return;
    }
    if wrong.is_empty() {
        let count = if parts == 1 { "its one part is".to_owned() } else { format!("all {parts} parts are") };
        asked.rule("", Answer::Holds, format!("{count} in no other build at the time"));
    }
    for (about, reason) in wrong {
        asked.rule(about, Answer::Fails, reason);
    }
}

fn reason(id: &str, misbooked: &Misbooked) -> Sentence {
    let part = Sentence::from("`").part(id).words("`");
    match misbooked {
        Misbooked::Elsewhere { build, since } => {
            let since = since.map_or("always".to_owned(), |since| format!("since {since}"));
            part.words(" is in ").build(build).words(format!(" as well, {since}"))
        }
        Misbooked::BeforeItCame { fitted, came } => {
            part.words(format!(" was fitted on {fitted}, and came on {came}"))
        }
        Misbooked::AfterItLeft { how, on } => part.words(format!(" was {how} on {on}")),
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use crate::fit::inspect;
    use crate::fit::standards::Standards;
    use crate::journal::{self, Folder};
    use crate::ledger::Ledger;

    /// What each build is told about a lot of `count` crowns, by the days it has one.
    fn told(count: u32, stays: &[(&str, &str)]) -> Vec<Vec<String>> {
        let mut folder = Folder::default();
        folder.texts.push(("journal.yaml".into(), "title: A test\n".into()));
        folder.texts.push(("parts/crowns.yaml".into(), format!("lot: {{ kind: crown, count: {count} }}\n")));
        for (number, (begun, ended)) in stays.iter().enumerate() {
            let end = if ended.is_empty() {
                "state: finished".to_owned()
            } else {
                format!("state: taken apart\nended: {ended}")
            };
            let text =
                format!("---\ntitle: B{number}\nbegun: {begun}\n{end}\nparts: {{ crown: lot }}\n---\n");
            folder.texts.push((format!("builds/b{number}/build.md"), text));
            folder.builds.push(format!("b{number}"));
        }
        folder.texts.sort();
        let journal = journal::read(folder);
        assert!(journal.problems.is_empty(), "{:?}", journal.problems);
        let ledger = Ledger::of(&journal);
        let reports = inspect::all(&journal, &ledger, &Arc::new(Standards::of(&journal).0));
        let about = |report: &inspect::Report| {
            let booked = report.findings.iter().filter(|finding| finding.check.id == "part-booked-once");
            booked.map(|finding| finding.about.clone()).collect()
        };
        reports.iter().map(about).collect()
    }

    #[test]
    fn a_lot_is_counted_at_each_moment() {
        let (clear, booked) = (vec![String::new()], vec!["crown".to_owned()]);
        let one_after_another = [("2025-06-01", ""), ("2026-02-01", "2026-06-01"), ("2026-09-01", "")];
        assert_eq!(told(2, &one_after_another), [clear.clone(), clear.clone(), clear.clone()]);
        let at_once = [("2025-06-01", ""), ("2026-02-01", "2026-10-01"), ("2026-09-01", "")];
        assert_eq!(told(2, &at_once), [booked.clone(), booked.clone(), booked.clone()]);
        assert_eq!(told(3, &at_once), [clear.clone(), clear.clone(), clear]);
        assert_eq!(told(1, &one_after_another), [booked.clone(), booked.clone(), booked]);
    }
}
