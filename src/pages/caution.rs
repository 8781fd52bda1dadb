//! What can hurt in the work that a log tells of, said wherever that work is shown; the words are
//! those of the engine's table.

use crate::fit::cautions;
use crate::journal::{Build, Entry, Slot};
use crate::ledger::Ledger;

use super::context::Caution;
use super::source::Source;

/// The heading of what is said of lume.
pub const LUME_TITLE: &str = "Lume";

/// What can hurt in the work of one day.
pub(super) fn of_entry(source: &Source<'_>, entry: &Entry) -> Vec<Caution> {
    let told = cautions::for_entry(source.ledger, entry);
    told.iter().map(shown).collect()
}

/// What can hurt in all the work on a build, and in its parts; of lume every part is told, of all
/// else the first time counts.
pub(super) fn of_build(source: &Source<'_>, build: &Build) -> Vec<Caution> {
    let mut out = Vec::new();
    for slot in Slot::ALL {
        if let Some(id) = Ledger::occupant(build, slot)
            && let Some(lume) = active_lume(source, &id)
        {
            let told = if lume == "unknown" {
                "its lume is of unknown kind"
            } else {
                &format!("its lume is {lume}")
            };
            let text = format!("{}, {told}. {}", source.part_name(&id), cautions::lume_words());
            out.push(Caution { title: LUME_TITLE.to_owned(), text });
        }
    }
    let known = |out: &[Caution], title: &str| out.iter().any(|known| known.title == title);
    for entry in &build.entries {
        for caution in of_entry(source, entry) {
            if !known(&out, &caution.title) {
                out.push(caution);
            }
        }
    }
    if build.target.water.is_some() && !known(&out, cautions::water().title.as_str()) {
        out.push(Caution { title: cautions::water().title.clone(), text: cautions::water().words.clone() });
    }
    out
}

/// The kind of a part's lume where it must not be worked on.
pub(super) fn active_lume(source: &Source<'_>, id: &str) -> Option<String> {
    let unit = source.ledger.units.get(id)?;
    cautions::active_lume(unit.kind.name, &cautions::lume_known(unit)).map(str::to_owned)
}

fn shown(caution: &cautions::Caution) -> Caution {
    Caution { title: caution.hazard.title.clone(), text: caution.text() }
}
