//! The sizes that a part must have which is not there yet.

use crate::fit::assembly::Assembly;
use crate::fit::bands::Bands;
use crate::fit::finding::Finding;
use crate::fit::fitted::Fitted;
use crate::fit::inverse::{self, Range};
use crate::fit::judge::judge_all;
use crate::fit::solve;
use crate::journal::{Slot, Spec};

use super::{CheckRange, WantedSize};

/// The slots that every watch has sooner or later. Those of them that are open are looked at as
/// filled by a part of which nothing is known, so that a size that depends on them says so.
const USUAL: [Slot; 10] = [
    Slot::Case,
    Slot::Crystal,
    Slot::Dial,
    Slot::Hour,
    Slot::Minute,
    Slot::Seconds,
    Slot::Movement,
    Slot::Stem,
    Slot::Crown,
    Slot::Strap,
];

/// The sizes for an open slot, and what is asked of it besides: a field and the check's words.
pub(super) fn list(base: &Assembly, bands: &Bands, slot: Slot) -> (Vec<WantedSize>, Vec<(String, String)>) {
    let mut watch = base.with_part(slot, Some(blank(slot)));
    for usual in USUAL.into_iter().filter(|usual| !base.has(*usual) && !base.without(*usual)) {
        watch = watch.with_part(usual, Some(blank(usual)));
    }
    let mut sizes: Vec<WantedSize> = Vec::new();
    let mut asked: Vec<(String, String)> = Vec::new();
    for mut finding in judge_all(&watch, bands) {
        let own = |name: &str| name.split('.').next() == Some(slot.name());
        if !finding.check.of_parts() || !finding.missing.iter().any(|wanted| own(&wanted.name)) {
            continue;
        }
        if finding.formula.is_none() {
            for wanted in finding.missing.iter().filter(|wanted| own(&wanted.name)) {
                if !asked.iter().any(|(name, _)| *name == wanted.name) {
                    asked.push((wanted.name.clone(), finding.check.asks.to_owned()));
                }
            }
            continue;
        }
        solve::ranges(&watch, &mut finding);
        for wanted in finding.missing.iter().filter(|wanted| own(&wanted.name)) {
            // Beside its own part's sizes: those it has to be chosen with.
            let depends = finding.missing.iter().filter(|other| !own(&other.name));
            let limit = CheckRange {
                key: finding.key(),
                title: finding.title.clone(),
                range: wanted.range.map(|(low, high)| Range { low, high }),
                depends: depends.map(|other| other.name.clone()).collect(),
                note: wanted.note.clone(),
            };
            match sizes.iter_mut().find(|size| size.name == wanted.name) {
                Some(size) => size.limits.push(limit),
                None => {
                    sizes.push(WantedSize {
                        name: wanted.name.clone(),
                        ranges: Vec::new(),
                        limits: vec![limit],
                    });
                }
            }
        }
    }
    asked.retain(|(name, _)| sizes.iter().all(|size| size.name != *name));
    for size in &mut sizes {
        let known: Vec<[Range; 1]> = size.limits.iter().filter_map(|limit| Some([limit.range?])).collect();
        size.ranges = match known.is_empty() {
            true => Vec::new(),
            false => inverse::common(known.iter().map(<[Range; 1]>::as_slice)),
        };
    }
    (sizes, asked)
}

impl CheckRange {
    /// Whether it could be worked out what the check allows, be it nothing.
    pub fn is_worked_out(&self) -> bool {
        self.range.is_some() || self.depends.is_empty()
    }
}

impl WantedSize {
    /// Whether any check could be solved for it.
    pub fn is_solved(&self) -> bool {
        self.limits.iter().any(|limit| limit.range.is_some())
    }

    /// The checks that set the lower end of its ranges, or the upper one.
    pub fn set_by(&self, lower: bool) -> Vec<&CheckRange> {
        let end = |range: &Range| if lower { range.low } else { range.high };
        let ends: Vec<f64> = self.ranges.iter().filter_map(end).collect();
        let sets = |limit: &&CheckRange| {
            limit.range.as_ref().and_then(end).is_some_and(|own| ends.is_empty() || ends.contains(&own))
        };
        self.limits.iter().filter(sets).collect()
    }

    /// What it depends on that is not chosen or not measured yet, each once.
    pub fn depends(&self) -> Vec<&str> {
        let mut out: Vec<&str> = Vec::new();
        for name in self.limits.iter().flat_map(|limit| &limit.depends) {
            if !out.contains(&name.as_str()) {
                out.push(name);
            }
        }
        out
    }
}

/// A part of which nothing is known.
fn blank(slot: Slot) -> Fitted {
    Fitted::unlogged(slot.name(), slot.words(), Spec::default())
}

/// A finding's first words on why something does not go.
pub(super) fn reason(finding: &Finding) -> String {
    let mut out = finding.title.clone();
    let numbers = finding.numbers();
    if !numbers.is_empty() {
        out.push_str(": ");
        out.push_str(&numbers);
        if !finding.unit.is_empty() {
            out.push(' ');
            out.push_str(finding.unit);
        }
    }
    if !finding.text.is_empty() {
        out.push_str(if numbers.is_empty() { ": " } else { "; " });
        out.push_str(&finding.text.to_string());
    }
    out
}
