//! What can hurt in the work: said wherever that work is proposed, logged or shown.

use std::sync::LazyLock;

use serde::Deserialize;

use crate::journal::{Build, Entry, Journal, Spec};
use crate::ledger::{Ledger, Unit};
use crate::problem::Problem;

use super::assembly::Assembly;

/// One thing to beware of, with the signs by which it is known to apply.
#[derive(Clone, PartialEq, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Hazard {
    /// Its name, kebab-case.
    pub id: String,
    /// Its heading.
    pub title: String,
    /// What to do and what to leave, in sentences.
    pub words: String,
    /// The gist of it, for where room is short.
    pub brief: String,
    /// A publication, or "common practice, no source".
    pub source: String,
    /// Alterations, in the words of the log.
    #[serde(default)]
    alterations: Vec<String>,
    /// Beginnings of words among the tools.
    #[serde(default)]
    tools: Vec<String>,
    /// Slots that were filled or emptied.
    #[serde(default)]
    slots: Vec<String>,
    /// A dial or a hand whose lume may be radioactive.
    #[serde(default)]
    lume: bool,
    /// A target or a test of pressure.
    #[serde(default)]
    water: bool,
    /// A movement that a cell drives.
    #[serde(default)]
    quartz: bool,
}

/// A hazard where it applies.
#[derive(Clone, PartialEq, Debug)]
pub struct Caution {
    /// What is said.
    pub hazard: &'static Hazard,
    /// Which part, and why it: "Amber dial, its lume is of unknown kind"; empty where it is the work.
    pub about: String,
}

/// Kinds of lume that must not be worked on.
pub const ACTIVE_LUME: [&str; 3] = ["radium", "tritium", "unknown"];

/// Alterations that raise dust or chips from a dial or a hand, or put brush and solvent to its lume.
const INTO_LUME: [&str; 4] = ["turned down", "drilled", "refinished", "relumed"];

/// Beginnings of words for ways of working that do so under any name.
const INTO_LUME_BY: [&str; 6] = ["sand", "emery", "scrap", "grind", "file", "rotary tool"];

impl Caution {
    /// The whole of it as one text.
    pub fn text(&self) -> String {
        match self.about.is_empty() {
            true => self.hazard.words.clone(),
            false => format!("{}. {}", self.about, self.hazard.words),
        }
    }
}

/// Every hazard, in the order in which they are told: the gravest first.
pub fn all() -> &'static [Hazard] {
    &TABLE
}

/// The words of the caution on lume.
pub fn lume_words() -> &'static str {
    &LUME.words
}

/// The caution on water.
pub fn water() -> &'static Hazard {
    &WATER
}

/// What to beware of with a watch: in its parts, and in all the work that its log tells of. The
/// same thing is said once, but of lume for every part.
pub fn for_watch(watch: &Assembly, build: &Build, ledger: &Ledger) -> Vec<Caution> {
    let mut out = Vec::new();
    for (slot, part) in watch.parts() {
        if let Some(lume) = active_lume(slot.kind(), &part.spec) {
            add(&mut out, &lume_of(&part.name, lume), |hazard| hazard.lume);
        }
    }
    if watch.target_water().is_some() {
        add(&mut out, "", |hazard| hazard.water);
    }
    if watch.flag("movement.quartz") == Some(true) {
        add(&mut out, "", |hazard| hazard.quartz);
    }
    for entry in &build.entries {
        for caution in for_entry(ledger, entry) {
            if !out.iter().any(|told: &Caution| told.hazard.id == caution.hazard.id) {
                out.push(caution);
            }
        }
    }
    sorted(out)
}

/// What to beware of in the work of one day.
pub fn for_entry(ledger: &Ledger, entry: &Entry) -> Vec<Caution> {
    let mut out = Vec::new();
    for alteration in &entry.altered {
        let unit = ledger.subject(alteration.part.span);
        let part = unit.map(|unit| (unit.name.as_str(), unit.kind.name, lume_known(unit)));
        let by = alteration.by.as_deref();
        merge(
            &mut out,
            for_alteration(&alteration.how.value, by, part.as_ref().map(|(n, k, s)| (*n, *k, s))),
        );
    }
    let touched = entry.fitted.iter().map(|(slot, _)| slot.value);
    for slot in touched.chain(entry.removed.iter().map(|slot| slot.value)) {
        add(&mut out, "", |hazard| hazard.slots.iter().any(|name| name == slot.name()));
    }
    for tool in &entry.tools {
        add(&mut out, "", |hazard| begins(tool, &hazard.tools));
    }
    if !entry.pressure.is_empty() {
        add(&mut out, "", |hazard| hazard.water);
    }
    sorted(out)
}

/// What to beware of in an alteration: `how` in the words of the log, `by` the tool if one is
/// named, and the part as name, kind and fields if it is known which.
pub fn for_alteration(how: &str, by: Option<&str>, part: Option<(&str, &str, &Spec)>) -> Vec<Caution> {
    let mut out = Vec::new();
    if let Some((name, kind, spec)) = part
        && let Some(lume) = active_lume(kind, spec)
    {
        add(&mut out, &lume_of(name, lume), |hazard| hazard.lume);
    }
    add(&mut out, "", |hazard| {
        hazard.alterations.iter().any(|word| word == how) || by.is_some_and(|by| begins(by, &hazard.tools))
    });
    sorted(out)
}

/// The lume of a part that must not be worked on. A dial that says nothing may have any; a hand
/// that says nothing has none to speak of.
pub fn active_lume<'a>(kind: &str, spec: &'a Spec) -> Option<&'a str> {
    let lume = match kind {
        "dial" => spec.text("lume").unwrap_or("unknown"),
        "hand" => spec.text("lume")?,
        _ => return None,
    };
    ACTIVE_LUME.contains(&lume).then_some(lume)
}

/// Whether an alteration goes into the lume of the part that it is made on.
pub fn goes_into_lume(how: &str, by: Option<&str>) -> bool {
    let words: Vec<String> = INTO_LUME_BY.map(str::to_owned).to_vec();
    INTO_LUME.contains(&how) || by.is_some_and(|by| begins(by, &words))
}

/// A warning for every part that was cut, drilled, sanded or relumed though its lume may be
/// radioactive.
pub fn problems(journal: &Journal, ledger: &Ledger) -> Vec<Problem> {
    let mut problems = Vec::new();
    for build in &journal.builds {
        for alteration in build.entries.iter().flat_map(|entry| &entry.altered) {
            let Some(unit) = ledger.subject(alteration.part.span) else { continue };
            let spec = lume_known(unit);
            let Some(lume) = active_lume(unit.kind.name, &spec) else { continue };
            if !goes_into_lume(&alteration.how.value, alteration.by.as_deref()) {
                continue;
            }
            let known = match lume {
                "unknown" => "its lume is not known".to_owned(),
                lume => format!("its lume is {lume}"),
            };
            let message = format!(
                "`{}` was {}, and {known}: {} If it has none, or was measured, write `lume: none` or `lume: modern` beside its sizes",
                unit.id,
                alteration.how.value,
                lume_words()
            );
            problems.push(Problem::warning(journal.files.place(alteration.part.span), message));
        }
    }
    problems
}

/// What is known of a part's lume: as it came, and as it was measured since. What an alteration
/// says of it tells of the new lume, not of the one that was in the way.
pub fn lume_known(unit: &Unit) -> Spec {
    let mut spec = unit.came.clone();
    for change in unit.changes.iter().filter(|change| change.altered.is_none()) {
        spec.merge(&change.sizes);
    }
    spec
}

fn lume_of(name: &str, lume: &str) -> String {
    match lume {
        "unknown" => format!("{name}, its lume is of unknown kind"),
        lume => format!("{name}, its lume is {lume}"),
    }
}

/// Whether a sign begins a word of a tool: `drill` is in `drilled` and in `small drill press`,
/// `file` is not in `profile gauge`.
fn begins(tool: &str, signs: &[String]) -> bool {
    let tool = tool.to_lowercase();
    signs.iter().any(|sign| tool.starts_with(sign.as_str()) || tool.contains(&format!(" {sign}")))
}

fn add(out: &mut Vec<Caution>, about: &str, applies: impl Fn(&Hazard) -> bool) {
    let met = TABLE.iter().filter(|hazard| applies(hazard));
    merge(out, met.map(|hazard| Caution { hazard, about: about.to_owned() }).collect());
}

fn merge(out: &mut Vec<Caution>, more: Vec<Caution>) {
    for caution in more {
        if !out.contains(&caution) {
            out.push(caution);
        }
    }
}

fn sorted(mut cautions: Vec<Caution>) -> Vec<Caution> {
    cautions.sort_by_key(|caution| TABLE.iter().position(|hazard| hazard.id == caution.hazard.id));
    cautions
}

static LUME: LazyLock<&Hazard> = LazyLock::new(|| first(|hazard| hazard.lume));
static WATER: LazyLock<&Hazard> = LazyLock::new(|| first(|hazard| hazard.water));

fn first(wanted: impl Fn(&Hazard) -> bool) -> &'static Hazard {
    TABLE.iter().find(|hazard| wanted(hazard)).expect("the built-in table is read by every test")
}

static TABLE: LazyLock<Vec<Hazard>> = LazyLock::new(|| {
    serde_yaml::from_str(include_str!("data/cautions.yaml"))
        .expect("the built-in table is read by every test")
});

#[cfg(test)]
mod tests {
    use super::*;
    use crate::journal::entry::ALTERATIONS;
    use crate::journal::{self, Folder, Slot};

    fn ids(cautions: &[Caution]) -> Vec<&str> {
        cautions.iter().map(|caution| caution.hazard.id.as_str()).collect()
    }

    #[test]
    fn the_table_speaks_the_words_of_the_log() {
        let mut seen = std::collections::BTreeSet::new();
        for hazard in all() {
            assert!(seen.insert(&hazard.id) && !hazard.source.is_empty(), "{}", hazard.id);
            assert!(hazard.words.ends_with('.'), "{}", hazard.id);
            assert!(!hazard.brief.is_empty() && hazard.brief.len() < hazard.words.len(), "{}", hazard.id);
            assert!(
                hazard.alterations.iter().all(|word| ALTERATIONS.contains(&word.as_str())),
                "{}",
                hazard.id
            );
            assert!(hazard.slots.iter().all(|slot| Slot::of(slot).is_some()), "{}", hazard.id);
            assert!(hazard.tools.iter().all(|tool| *tool == tool.to_lowercase()), "{}", hazard.id);
        }
        assert_eq!(seen.len(), 11);
    }

    #[test]
    fn tools_are_known_by_the_beginnings_of_words() {
        let by = |tool: &str| {
            let cautions = for_alteration("other", Some(tool), None);
            ids(&cautions).into_iter().map(str::to_owned).collect::<Vec<_>>()
        };
        assert_eq!(by("small lathe"), ["rotary-tools"]);
        assert_eq!(by("Rotary tool and diamond wheel"), ["rotary-tools", "dust"]);
        assert_eq!(by("profile gauge"), [""; 0]);
        assert_eq!(ids(&for_alteration("feet cut", None, None)), ["dust"]);
    }

    fn journal(dial: &str, how: &str) -> (Journal, Ledger) {
        let texts = [
            ("journal.yaml", "title: A journal\n".to_owned()),
            ("parts/d.yaml", format!("d: {{ kind: dial, name: Old dial, diameter: 28 {dial} }}\n")),
            ("builds/w/build.md", "---\ntitle: W\nbegun: 2026-01-01\nparts: { dial: d }\n---\n".to_owned()),
            (
                "builds/w/1.md",
                format!("---\ndate: 2026-01-02\naltered: [{{ part: dial, how: {how} }}]\n---\n"),
            ),
        ];
        let texts = texts.map(|(path, text)| (path.to_owned(), text)).to_vec();
        let journal = journal::read(Folder { texts, builds: vec!["w".into()], ..Folder::default() });
        let ledger = Ledger::of(&journal);
        (journal, ledger)
    }

    #[test]
    fn old_lume_that_was_cut_is_a_warning() {
        for (dial, how, warned) in [
            ("", "turned down", true),
            (", lume: radium", "relumed", true),
            (", lume: none", "turned down", false),
            (", lume: tritium", "feet cut", false),
        ] {
            let (journal, ledger) = journal(dial, how);
            assert!(journal.problems.is_empty(), "{:?}", journal.problems);
            let problems = problems(&journal, &ledger);
            assert_eq!(problems.len(), usize::from(warned), "{dial} {how}: {problems:?}");
            let told = for_entry(&ledger, &journal.builds[0].entries[0]);
            assert_eq!(ids(&told).contains(&"lume"), dial != ", lume: none", "{dial} {how}");
        }
        let (journal, ledger) = journal("", "turned down");
        let problem = &problems(&journal, &ledger)[0];
        assert_eq!(problem.place.to_string(), "builds/w/1.md:3:19");
        assert!(problem.message.contains("`d` was turned down, and its lume is not known: Do not cut."));
    }
    /// The dial that sat in the slot then, and not the one that sits there now.
    #[test]
    fn the_dial_that_was_cut_is_the_one_warned_of() {
        let texts = [
            ("journal.yaml", "title: A journal\n"),
            ("parts/d.yaml", "old: { kind: dial, lume: radium }\nnew: { kind: dial, lume: none }\n"),
            ("builds/w/build.md", "---\ntitle: W\nbegun: 2026-01-01\nparts: { dial: new }\n---\n"),
            ("builds/w/1.md", "---\ndate: 2026-01-01\nfitted: { dial: old }\n---\n"),
            ("builds/w/2.md", "---\ndate: 2026-01-02\naltered: [{ part: dial, how: turned down }]\n---\n"),
            ("builds/w/3.md", "---\ndate: 2026-01-03\nfitted: { dial: new }\n---\n"),
        ];
        let texts = texts.map(|(path, text)| (path.to_owned(), text.to_owned())).to_vec();
        let journal = journal::read(Folder { texts, builds: vec!["w".into()], ..Folder::default() });
        let ledger = Ledger::of(&journal);
        let problems = problems(&journal, &ledger);
        assert_eq!(problems.len(), 1, "{problems:?}");
        assert!(problems[0].message.contains("`old` was turned down"), "{}", problems[0].message);
        assert!(ids(&for_entry(&ledger, &journal.builds[0].entries[1])).contains(&"lume"));
    }
}
