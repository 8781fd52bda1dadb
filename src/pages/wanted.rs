//! What a build that is not done yet still wants, and what of the bin would go into it.

use crate::fit::inspect::range_words;
use crate::fit::verdict::Verdict;
use crate::journal::{Build, BuildState};
use crate::pairing::spares::spares;
use crate::pairing::wanted::{Candidate, Effort, Suitability, Vacancy, WantedSize, wanted};

use super::context::{FitsToo, ToFind};
use super::findings;
use super::source::Source;

/// The sizes to look for in the open slots of a build, and the free parts that would go there; nothing
/// of a build that is done, or of a watch that is handed over alone.
pub(super) fn of(source: &Source<'_>, build: &Build, page: &str) -> (Vec<ToFind>, Vec<FitsToo>) {
    let done = matches!(build.state, BuildState::Finished | BuildState::TakenApart);
    if done || source.scope.only.is_some() {
        return (Vec::new(), Vec::new());
    }
    let shows_bin = source.journal.settings.show.bin || source.scope.private;
    let spares = if shows_bin { spares(source.journal, source.ledger) } else { Vec::new() };
    let Some(watch) = source.assembly(build) else { return (Vec::new(), Vec::new()) };
    let vacancies = wanted(&watch, watch.bands(), &spares, None, Effort::Altering);
    let sizes = vacancies.iter().flat_map(to_find);
    let parts = vacancies.iter().flat_map(|vacancy| {
        let going = vacancy.candidates.iter().filter_map(|one| fits_too(source, vacancy, one, page));
        going.take(MOST_PARTS).collect::<Vec<_>>()
    });
    (sizes.collect(), parts.collect())
}

/// A page lists so many parts for a slot; the rest is for the terminal.
const MOST_PARTS: usize = 4;

/// The sizes that could be worked out, with whatever sets their ends.
fn to_find(vacancy: &Vacancy) -> impl Iterator<Item = ToFind> {
    let solved = vacancy.sizes.iter().filter(|size| !size.ranges.is_empty() && !is_open(size));
    solved.map(|size| {
        let mut by: Vec<String> = Vec::new();
        for limit in size.set_by(true).into_iter().chain(size.set_by(false)) {
            if !by.contains(&limit.title) {
                by.push(limit.title.clone());
            }
        }
        let ranges = size.ranges.iter().map(|range| range_words(range.low, range.high));
        ToFind {
            slot: vacancy.slot.words().to_owned(),
            size: size.name.split_once('.').map_or("", |(_, path)| path).replace(['.', '_'], " "),
            range: ranges.collect::<Vec<_>>().join(", or "),
            by: by.join(", "),
            depends: size.depends().join(", "),
        }
    })
}

fn is_open(size: &WantedSize) -> bool {
    size.ranges.iter().all(|range| range.low.is_none() && range.high.is_none())
}

/// A part that goes, as it is or after work.
fn fits_too(source: &Source<'_>, vacancy: &Vacancy, one: &Candidate, page: &str) -> Option<FitsToo> {
    let (how, least, verdict) = match &one.answer {
        Suitability::Goes(ease) => match ease.deviations() {
            Some(ease) => {
                let side = if ease < 0.0 { "outside" } else { "inside" };
                let words = format!("{:.1} standard deviations {side} what is advised", ease.abs());
                ("as it is".to_owned(), words, if ease < 0.0 { Verdict::Tight } else { Verdict::Clear })
            }
            None => ("as it is".to_owned(), String::new(), Verdict::Clear),
        },
        Suitability::After(steps) => {
            let texts: Vec<String> = steps.iter().map(|step| step.advice.text.named(source)).collect();
            let cautions: Vec<&str> = steps
                .iter()
                .map(|step| step.advice.caution.as_str())
                .filter(|words| !words.is_empty())
                .collect();
            let caution = match cautions.is_empty() {
                true => String::new(),
                false => format!("Caution: {}", cautions.join("; ")),
            };
            (texts.join("; then "), caution, Verdict::Tight)
        }
        Suitability::Unmeasured(_) | Suitability::Cannot(..) => return None,
    };
    let verdict = match &one.answer {
        Suitability::Goes(_) if !least.is_empty() => findings::verdict(verdict, false),
        _ => super::context::Verdict::default(),
    };
    Some(FitsToo {
        slot: vacancy.slot.words().to_owned(),
        part: source.part_link(page, &one.id),
        how,
        least,
        verdict,
    })
}
