//! The rows about parts.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use jiff::civil::Date;
use serde::Deserialize;

use crate::journal::{BuildState, Content, PartSource};
use crate::ledger::{self, ChangeRecord, Stay, Unit};
use crate::text::Place;

use super::{Books, Item, Spell, words};

/// A part in builds that stand; a lot may be in several.
#[derive(Clone, Debug)]
pub struct InUse {
    /// The part.
    pub part: Item,
    /// Where it is.
    pub stays: Vec<Spell>,
}

/// A part that is free.
#[derive(Clone, Debug)]
pub struct Free {
    /// The part.
    pub part: Item,
    /// How many of a lot are free; `None` for a single part.
    pub count: Option<u32>,
    /// The last build that it was in; `None` where it was in none.
    pub last: Option<Spell>,
    /// The plans that count on it.
    pub planned: Vec<Spell>,
}

/// A part that two builds have at one time, or that a plan counts on and another build has.
#[derive(Clone, Debug)]
pub struct Booked {
    /// The part.
    pub part: Item,
    /// The stay that began later, or is planned.
    pub late: Spell,
    /// The one that had it.
    pub early: Spell,
}

/// A part that went from one build into another.
#[derive(Clone, Debug)]
pub struct Reused {
    /// The part.
    pub part: Item,
    /// The builds in order of time.
    pub chain: Vec<Spell>,
    /// What was done to it on the way, which it keeps.
    pub alterations: Vec<AlterationRow>,
}

/// A part that was altered.
#[derive(Clone, Debug)]
pub struct Worked {
    /// The part.
    pub part: Item,
    /// The alterations that cannot be undone, in order of time.
    pub alterations: Vec<AlterationRow>,
}

/// One alteration.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct AlterationRow {
    /// The day.
    pub on: Date,
    /// How, in the words of the log.
    pub how: String,
    /// How, in words for people.
    pub what: String,
    /// With what.
    pub by: Option<String>,
    /// The build whose log says so.
    pub build: String,
    /// What changed.
    pub changes: Vec<SizeChange>,
    /// Where it is written.
    pub place: Place,
}

/// A size before and after.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct SizeChange {
    /// The field's path.
    pub name: String,
    /// Before; `None` where it was not known.
    pub before: Option<String>,
    /// After.
    pub after: String,
    /// mm for lengths, whose figures are told without it; empty for anything else.
    pub unit: &'static str,
}

impl AlterationRow {
    /// The sizes before and after, "(diameter 28.50 to 27.10 mm)"; empty where none was written.
    pub fn sizes(&self) -> String {
        let steps: Vec<String> = self.changes.iter().map(SizeChange::words).collect();
        if steps.is_empty() { String::new() } else { format!("({})", steps.join(", ")) }
    }
}

impl SizeChange {
    /// A step of the ledger in words.
    pub fn of(step: &ledger::FieldChange<'_>) -> SizeChange {
        let unit = match step.after {
            Content::Size(size) if size.quantity.is_length() => size.quantity.unit(),
            _ => "",
        };
        let before = step.before.as_ref().map(words);
        SizeChange { name: step.path.to_owned(), before, after: words(step.after), unit }
    }

    /// "diameter 28.50 to 27.10 mm".
    pub fn words(&self) -> String {
        let name = self.name.replace(['.', '_'], " ");
        let before = self.before.as_ref().map(|before| format!("{before} to ")).unwrap_or_default();
        format!("{name} {before}{} {}", self.after, self.unit).trim_end().to_owned()
    }
}

/// A part, or some of a lot, that left.
#[derive(Clone, Debug)]
pub struct Departed {
    /// The part.
    pub part: Item,
    /// sold, lost, broken, given, used up.
    pub how: String,
    /// How many.
    pub count: u32,
    /// The day.
    pub on: Date,
    /// Where it is written.
    pub place: Place,
}

/// A donor.
#[derive(Clone, Debug)]
pub struct Donor {
    /// The watch.
    pub part: Item,
    /// The day it came; `None`: not known.
    pub had: Option<Date>,
    /// What it gave.
    pub gave: Vec<Given>,
    /// What is left on it, in the person's words.
    pub left: Vec<String>,
    /// How it left itself; empty while it is there.
    pub gone: String,
}

/// A part that a donor gave.
#[derive(Clone, Debug)]
pub struct Given {
    /// The part.
    pub part: Item,
    /// The build that it is in; `None` where it is in none.
    pub in_build: Option<Spell>,
    /// How the part left; empty while it is there.
    pub gone: String,
}

pub(super) fn in_use(books: &Books<'_>) -> Vec<InUse> {
    let rows = books.units.iter().filter_map(|unit| {
        let stays: Vec<Spell> =
            unit.stays.iter().filter(|stay| stay.stands()).map(|stay| books.spell(stay)).collect();
        (!stays.is_empty()).then(|| InUse { part: books.item(unit), stays })
    });
    rows.collect()
}

pub(super) fn free(books: &Books<'_>, wanted: impl Fn(&Unit) -> bool) -> Vec<Free> {
    let rows = books.units.iter().filter(|unit| unit.free() > 0 && wanted(unit));
    rows.map(|unit| free_row(books, unit)).collect()
}

fn free_row(books: &Books<'_>, unit: &Unit) -> Free {
    Free {
        part: books.item(unit),
        count: unit.count.map(|_| u32::try_from(unit.free()).unwrap_or(0)),
        last: last(unit).map(|stay| books.spell(stay)),
        planned: unit.stays.iter().filter(|stay| stay.planned).map(|stay| books.spell(stay)).collect(),
    }
}

/// The stay that ended last.
fn last(unit: &Unit) -> Option<&Stay> {
    unit.stays.iter().filter(|stay| !stay.planned && stay.to.is_some()).max_by_key(|stay| stay.to)
}

pub(super) fn left_over(books: &Books<'_>) -> Vec<Free> {
    let apart = |stay: &Stay| {
        books.journal.build(&stay.build).is_some_and(|build| build.state == BuildState::TakenApart)
    };
    free(books, |unit| last(unit).is_some_and(apart))
}

pub(super) fn booked_twice(books: &Books<'_>) -> Vec<Booked> {
    let mut out = Vec::new();
    for unit in &books.units {
        for clash in unit.clashes(true) {
            let (late, early) = (books.spell(clash.late), books.spell(clash.early));
            out.push(Booked { part: books.item(unit), late, early });
        }
    }
    out
}

/// Pieces of a lot that went into several builds are no reuse: nobody knows which of them came back.
pub(super) fn reused(books: &Books<'_>) -> Vec<Reused> {
    let rows = books.units.iter().filter(|unit| unit.count.is_none()).filter_map(|unit| {
        let stays: Vec<&Stay> = unit.stays.iter().filter(|stay| !stay.planned).collect();
        let mut builds: Vec<&str> = stays.iter().map(|stay| stay.build.as_str()).collect();
        builds.dedup();
        (builds.len() > 1).then(|| Reused {
            part: books.item(unit),
            chain: stays.into_iter().map(|stay| books.spell(stay)).collect(),
            alterations: alterations(books, unit, |_| true),
        })
    });
    rows.collect()
}

pub(super) fn altered(books: &Books<'_>) -> Vec<Worked> {
    let rows = books.units.iter().filter_map(|unit| {
        let alterations = alterations(books, unit, |changed| beyond_return(unit, changed));
        (!alterations.is_empty()).then(|| Worked { part: books.item(unit), alterations })
    });
    rows.collect()
}

fn alterations(
    books: &Books<'_>,
    unit: &Unit,
    wanted: impl Fn(&ChangeRecord<'_>) -> bool,
) -> Vec<AlterationRow> {
    // Most parts are as they came: what they were is not gone through.
    if unit.alterations(None).next().is_none() {
        return Vec::new();
    }
    let changed = unit.changed(None);
    let wanted = changed.iter().filter(|changed| wanted(changed));
    let rows = wanted.filter_map(|changed| {
        let altered = changed.change.altered.as_ref()?;
        Some(AlterationRow {
            on: changed.change.when.at.date(),
            how: altered.how.clone(),
            what: altered.words().to_owned(),
            by: altered.by.clone(),
            build: changed.change.build.clone(),
            changes: changed.steps.iter().map(SizeChange::of).collect(),
            place: books.place(changed.change.when.span),
        })
    });
    rows.collect()
}

/// Whether what was done to a part cannot be undone.
fn beyond_return(unit: &Unit, changed: &ChangeRecord<'_>) -> bool {
    let Some(altered) = &changed.change.altered else { return false };
    if BEYOND.alterations.contains(&altered.how) {
        return true;
    }
    let Some(paths) = BEYOND.shorter.get(unit.kind.name) else { return false };
    changed.steps.iter().any(|step| {
        let smaller = match (&step.before, step.after) {
            (Some(Content::Size(before)), Content::Size(after)) => after.value < before.value,
            _ => false,
        };
        smaller && paths.iter().any(|path| path == step.path)
    })
}

pub(super) fn gone(books: &Books<'_>) -> Vec<Departed> {
    let mut out = Vec::new();
    for unit in &books.units {
        for gone in unit.gone.iter().filter(|gone| gone.how != "split") {
            out.push(Departed {
                part: books.item(unit),
                how: gone.how.clone(),
                count: gone.count,
                on: gone.when.at.date(),
                place: books.place(gone.when.span),
            });
        }
    }
    out
}

/// Donors, with all that they gave or, where the audit is kept to some kinds, what they gave of those.
pub(super) fn donors(books: &Books<'_>) -> Vec<Donor> {
    let mut gave: BTreeMap<&str, Vec<Given>> = BTreeMap::new();
    for unit in &books.units {
        let part = books.journal.parts.get(&unit.id);
        if let Some(PartSource::Donor(donor)) = part.and_then(|part| part.from.source.as_ref()) {
            let stay = unit.stays.iter().find(|stay| stay.stands());
            let given = Given {
                part: books.item(unit),
                in_build: stay.map(|stay| books.spell(stay)),
                gone: how_gone(unit),
            };
            gave.entry(&donor.value).or_default().push(given);
        }
    }
    let all = books.ledger.units.values().filter(|unit| unit.kind.name == "watch");
    let mut units: Vec<&Unit> =
        all.filter(|unit| gave.contains_key(unit.id.as_str()) || books.has(unit)).collect();
    units.sort_by_key(|unit| (&unit.name, &unit.id));
    let rows = units.into_iter().map(|unit| Donor {
        part: books.item(unit),
        had: unit.had.map(|had| had.at.date()),
        gave: gave.remove(unit.id.as_str()).unwrap_or_default(),
        left: unit.spec_in("", None).texts("holds").iter().map(|text| text.value.clone()).collect(),
        gone: how_gone(unit),
    });
    rows.collect()
}

fn how_gone(unit: &Unit) -> String {
    unit.gone_for_good().map(|gone| gone.how.clone()).unwrap_or_default()
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Beyond {
    alterations: Vec<String>,
    shorter: BTreeMap<String, Vec<String>>,
    #[cfg_attr(
        not(test),
        expect(dead_code, reason = "said for whoever reads the data; a test holds that it is")
    )]
    source: String,
}

static BEYOND: LazyLock<Beyond> = LazyLock::new(|| {
    serde_yaml::from_str(include_str!("data/beyond_return.yaml"))
        .expect("the built-in data is read by every test")
});

#[cfg(test)]
mod tests {
    use super::*;
    use crate::journal::Kind;
    use crate::journal::entry::ALTERATIONS;

    #[test]
    fn the_data_speaks_the_words_of_the_log() {
        assert!(BEYOND.alterations.iter().all(|how| ALTERATIONS.contains(&how.as_str())));
        assert!(!BEYOND.source.is_empty());
        for (kind, paths) in &BEYOND.shorter {
            let kind = Kind::of(kind).unwrap_or_else(|| panic!("there is no kind {kind}"));
            assert!(paths.iter().all(|path| kind.field(path).is_some()), "{}", kind.name);
        }
    }
}
