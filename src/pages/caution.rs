//! What can hurt in the work that a log tells of, said wherever that work is shown.
//!
//! The words are common practice of the trade and of workshop safety; they defer to local rules and
//! promise nothing.

use crate::journal::{Build, Entry, Slot};
use crate::ledger::Ledger;

use super::context::Caution;
use super::source::Source;

/// Lume that must not be worked on.
pub const ACTIVE_LUME: [&str; 3] = ["radium", "tritium", "unknown"];

/// The heading of what is said of lume.
pub const LUME_TITLE: &str = "Lume";

/// What is said of a part whose lume is, or may be, radioactive.
pub const LUME: &str = "Do not cut, drill, sand or scrape it. Treat it as radioactive until it has been measured; keep it \
                        bagged and away from the bench; ask your radiation authority.";

/// What is always said of water.
pub const WATER: &str = "A test says what held on one day and is not a rating: not for diving; seals age. Test dry first, \
                         never wet after a failed or missing dry test; shield the tester, for a crystal can burst; \
                         release the pressure slowly.";

/// Words by which tools and ways of working are known, and what is said of them.
const WORK: &[(&[&str], &str, &str)] = &[
    (
        &["rotary tool", "diamond wheel", "lathe", "drill", "turned down", "drilled", "saw", "polishing"],
        "Turning tools",
        "Eye protection and no gloves; hold the work in a fixture and never in the fingers.",
    ),
    (
        &["turned down", "drilled", "feet cut", "sanding", "stone", "diamond wheel", "refinished", "file"],
        "Dust",
        "Brass, enamel, shell and lacquer dust is not for breathing: work wet or wear a fitted mask, wipe up and use no \
         compressed air.",
    ),
    (
        &["torch", "alcohol lamp", "soldering", "pickle"],
        "Heat",
        "Clear away what can burn and keep water at hand; pickle acid needs goggles.",
    ),
    (
        &["flux", "soldering"],
        "Flux",
        "Rosin fumes are a cause of asthma: use extraction, or a flux without rosin.",
    ),
    (
        &["solvent", "cleaning jars", "naphtha", "benzine", "acetone", "alcohol"],
        "Solvents",
        "Air the room, no flame, gloves: vapour catches fire well away from the cup.",
    ),
    (&["uv"], "Ultraviolet", "Do not look into the lamp and keep uncured glue off the skin."),
    (
        &["mainspring", "barrel", "serviced"],
        "Mainspring",
        "Let it down through the click before any bridge is taken off: a barrel that lets go cuts and throws parts.",
    ),
    (
        &["crystal press", "crystal lift"],
        "Pressing crystals",
        "Wear eye protection and press slowly: glass shatters without warning.",
    ),
    (
        &["button cell", "battery"],
        "Button cells",
        "A swallowed cell burns within two hours: keep them from children, and go to emergency care at once.",
    ),
];

/// What can hurt in the work of one day.
pub(super) fn of_entry(source: &Source<'_>, build: &Build, entry: &Entry) -> Vec<Caution> {
    let mut out = Vec::new();
    for alteration in &entry.altered {
        let id = match &alteration.part.value {
            crate::journal::Subject::Part(id) => Some(id.clone()),
            crate::journal::Subject::Slot(slot) => Ledger::occupant(build, *slot),
        };
        if let Some(id) = id.filter(|id| active_lume(source, id).is_some()) {
            push(&mut out, LUME_TITLE, &format!("{}: {LUME}", source.part_name(&id)));
        }
    }
    let words =
        entry.tools.iter().map(String::as_str).chain(entry.altered.iter().map(|a| a.how.value.as_str()));
    of_words(words, &mut out);
    if !entry.pressure.is_empty() {
        push(&mut out, "Water", WATER);
    }
    out
}

/// What can hurt in all the work on a build, and in its parts.
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
            push(&mut out, LUME_TITLE, &format!("{}, {told}. {LUME}", source.part_name(&id)));
        }
    }
    for entry in &build.entries {
        for caution in of_entry(source, build, entry) {
            if !out.iter().any(|known| known.title == caution.title) {
                out.push(caution);
            }
        }
    }
    let wet = build.target.water.is_some() || build.entries.iter().any(|entry| !entry.pressure.is_empty());
    if wet {
        push(&mut out, "Water", WATER);
    }
    out
}

/// The kind of a part's lume where it must not be worked on.
pub(super) fn active_lume(source: &Source<'_>, id: &str) -> Option<String> {
    let unit = source.ledger.units.get(id)?;
    let lumed = matches!(unit.kind.name, "dial" | "hand");
    // A dial that says nothing may have any; a hand that says nothing has none to speak of.
    let silent = if unit.kind.name == "dial" { "unknown" } else { "none" };
    let lume = unit.came.text("lume").unwrap_or(silent);
    (lumed && ACTIVE_LUME.contains(&lume)).then(|| lume.to_owned())
}

fn of_words<'a>(words: impl Iterator<Item = &'a str>, out: &mut Vec<Caution>) {
    let words: Vec<String> = words.map(str::to_lowercase).collect();
    for (signs, title, text) in WORK {
        // A sign begins a word: `drill` is in `drilled` and in `drill press`, `file` is not in `profile`.
        let begins = |word: &String, sign: &str| word.starts_with(sign) || word.contains(&format!(" {sign}"));
        if words.iter().any(|word| signs.iter().any(|sign| begins(word, sign))) {
            push(out, title, text);
        }
    }
}

fn push(out: &mut Vec<Caution>, title: &str, text: &str) {
    let caution = Caution { title: title.to_owned(), text: text.to_owned() };
    if !out.contains(&caution) {
        out.push(caution);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tools_are_known_by_the_beginnings_of_words() {
        let mut out = Vec::new();
        of_words(["small lathe", "profile gauge"].into_iter(), &mut out);
        assert_eq!(out.iter().map(|caution| caution.title.as_str()).collect::<Vec<_>>(), ["Turning tools"]);
    }
}
