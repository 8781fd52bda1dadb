//! What each check needs, asked of watches that have every part and of whose parts nothing is known.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, LazyLock};

use crate::fit::assemble::assemble;
use crate::fit::judge::judge_all;
use crate::fit::standards::Standards;
use crate::journal;
use crate::journal::folder::Folder;
use crate::ledger::Ledger;

/// The names of the dimensions that a check asks for, such as `case.dial_seat`; empty for one that
/// looks at the log.
pub(super) fn of(check: &str) -> &'static BTreeSet<String> {
    static NONE: BTreeSet<String> = BTreeSet::new();
    NEEDS.get(check).unwrap_or(&NONE)
}

/// Every kind of part, with what decides which formula a check takes and nothing else.
const PARTS: &str = "
case: { kind: case, crown_at: 4h }
front-case: { kind: case, ledge: back }
crystal: { kind: crystal, form: domed, held: radial }
box: { kind: crystal, form: box, held: tension }
crystal_gasket: { kind: crystal_gasket, material: nylon }
chapter_ring: { kind: chapter_ring }
bezel: { kind: bezel }
insert: { kind: insert }
dial: { kind: dial, crown_at: 4h, date_window: { at: 3h }, day_window: { at: 3h }, small_seconds: { at: 6h }, indices: { height: 0.4 } }
plain-dial: { kind: dial }
dial_ring: { kind: dial_ring }
shim: { kind: shim }
hour: { kind: hand }
minute: { kind: hand }
seconds: { kind: hand }
second_time: { kind: hand }
movement: { kind: movement, seconds_at: small, date: { at: 3h }, day: { at: 3h } }
plain-movement: { kind: movement }
ring: { kind: ring }
stem: { kind: stem, length: 12 measured }
crown: { kind: crown }
back: { kind: back }
back_gasket: { kind: back_gasket }
strap: { kind: strap }
";

/// One watch with every slot filled, and one without what stands in for something else.
const BUILDS: [(&str, &str); 2] = [
    (
        "all",
        "case: case, crystal: crystal, crystal_gasket: crystal_gasket, chapter_ring: chapter_ring, bezel: bezel, \
         insert: insert, dial: dial, dial_ring: dial_ring, shim: shim, hour: hour, minute: minute, \
         seconds: seconds, second_time: second_time, movement: movement, ring: ring, stem: stem, crown: crown, \
         back: back, back_gasket: back_gasket, strap: strap",
    ),
    (
        "few",
        "case: front-case, crystal: box, crystal_gasket: crystal_gasket, dial: plain-dial, hour: hour, \
         minute: minute, seconds: seconds, movement: plain-movement, stem: stem, crown: crown, back: back, strap: strap",
    ),
];

static NEEDS: LazyLock<BTreeMap<&'static str, BTreeSet<String>>> = LazyLock::new(|| {
    let mut folder = Folder::default();
    folder.texts.push(("journal.yaml".to_owned(), "title: Needs\nwrist: 170\n".to_owned()));
    folder.texts.push(("parts/all.yaml".to_owned(), PARTS.to_owned()));
    for (slug, parts) in BUILDS {
        folder.builds.push(slug.to_owned());
        let text = format!(
            "---\ntitle: {slug}\nstate: planned\ntarget: {{ water: 3 bar, rate: \"-5..+10 s/d\" }}\nparts: {{ {parts} }}\n---\n"
        );
        folder.texts.push((format!("builds/{slug}/build.md"), text));
    }
    let journal = journal::read(folder);
    let ledger = Ledger::of(&journal);
    let standards = Arc::new(Standards::of(&journal).0);
    let today = ledger.last_day(&journal);
    let mut out: BTreeMap<&'static str, BTreeSet<String>> = BTreeMap::new();
    for build in &journal.builds {
        let watch = assemble(&journal, &ledger, &standards, today, build);
        for finding in judge_all(&watch, watch.bands()) {
            let names = out.entry(finding.check.id).or_default();
            names.extend(finding.missing.into_iter().map(|missing| missing.name));
            names.extend(finding.used.into_iter().map(|used| used.name.to_string()));
        }
    }
    out
});

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fit::checks::ALL;

    #[test]
    fn checks_say_what_they_need() {
        let measuring = ALL.iter().filter(|check| check.unit == "mm").map(|check| check.id);
        let nothing: Vec<&str> = measuring.filter(|id| of(id).is_empty()).collect();
        assert!(nothing.is_empty(), "{nothing:?}");
        assert!(
            of("dial-in-seat").contains("case.dial_seat") && of("dial-in-seat").contains("dial.diameter")
        );
        assert!(of("hand-under-crystal").contains("case.shelf"));
    }
}
