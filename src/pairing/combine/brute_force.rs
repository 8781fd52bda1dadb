//! The search beside one that tries every combination and skips nothing, over random bins: over a few
//! of them among the tests, over more by hand, `ENDSHAKE_BINS=30 cargo test --release --lib brute_force`.

use std::cmp::Reverse;
use std::collections::BTreeSet;
use std::fmt::Write as _;

use rayon::prelude::*;

use super::search_space::{SearchSpace, SlotChoice};
use super::*;
use crate::fit::nominal::{Grade, grade};
use crate::fit::standards::Standards;
use crate::journal::{self, Folder, Journal};
use crate::ledger::Ledger;
use crate::pairing::spares::spares;

/// A small generator of its own, so that a seed means the same bin for ever.
struct Rng(u64);

impl Rng {
    fn roll(&mut self, sides: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % sides
    }

    /// A size between two, in hundredths.
    fn size(&mut self, from: f64, to: f64) -> f64 {
        let steps = ((to - from) * 100.0).round() as u64 + 1;
        from + self.roll(steps) as f64 / 100.0
    }

    fn one_in(&mut self, sides: u64) -> bool {
        self.roll(sides) == 0
    }
}

/// A bin in which enough goes that the order matters, and enough fouls that pruning does.
fn bin_of(seed: u64) -> String {
    let rng = &mut Rng(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15));
    let mut out = String::new();
    for at in 0..2 + rng.roll(2) {
        let seat = rng.size(28.4, 28.8);
        let ledge = match rng.roll(3) {
            0 => "ledge: back, ",
            1 => "ledge: { over_seat: 0.5 }, ",
            _ => "",
        };
        let shelf = if rng.one_in(6) { String::new() } else { format!("shelf: {:.2}, ", rng.size(1.6, 2.4)) };
        let _ = writeln!(
            out,
            "case-{at}: {{ kind: case, origin: measured, diameter: {:.1}, crown_at: {}, dial_seat: {seat:.2}, {ledge}\
             rehaut: {{ bottom: 27.6, top: {:.2}, height: 1.6 }}, {shelf}bore: {:.2}, depth: {:.2}, back_to_ledge: 6, rim: 3, \
             tube: {{ below: {:.2}, end_radius: 19 }}, crystal_seat: {{ diameter: 31 }}, lug_width: {} }}",
            rng.size(36.0, 40.0),
            if rng.one_in(4) { "4h" } else { "3h" },
            rng.size(27.6, 28.4),
            rng.size(27.9, 28.3),
            rng.size(5.0, 5.4),
            rng.size(2.2, 2.6),
            18 + 2 * rng.roll(2),
        );
    }
    for at in 0..2 + rng.roll(2) {
        let feet = match rng.roll(3) {
            0 => "feet: [], ",
            1 => "feet: [{ at: 4h30, radius: 12.0, diameter: 0.7 }], ",
            _ if rng.one_in(2) => "",
            _ => {
                "feet: [{ at: 4h30, radius: 12.05, diameter: 0.7 }, { at: 10h30, radius: 12.0, diameter: 0.7 }], "
            }
        };
        let window = if rng.one_in(3) {
            "date_window: { at: 3h, radius: 10.6, along: 2.7, across: 2.0 }, "
        } else {
            ""
        };
        let indices = if rng.one_in(2) {
            format!(
                "indices: {{ height: {:.2}, inner_radius: {:.1} }}, ",
                rng.size(0.2, 0.6),
                rng.size(8.0, 12.0)
            )
        } else {
            String::new()
        };
        let _ = writeln!(
            out,
            "dial-{at}: {{ kind: dial, origin: measured, diameter: {:.2}, thickness: {:.2}, centre_hole: {:.2}, track_diameter: 27.0, {feet}{window}\
             {indices}lume: none }}",
            rng.size(28.2, 28.7),
            rng.size(0.35, 0.5),
            rng.size(2.0, 2.3),
        );
    }
    for at in 0..1 + rng.roll(2) {
        let small = if rng.one_in(5) { ", at: 6h, radius: 6" } else { "" };
        let date =
            if rng.one_in(2) { "date: { at: 3h, radius: 10.6, along: 2.2, across: 1.6 }, " } else { "" };
        let _ = writeln!(
            out,
            "mv-{at}: {{ kind: movement, origin: measured, casing_diameter: {:.2}, height_below: {:.2}, {date}\
             posts: {{ hour: {{ fits: 1.5, top: {:.2}, pipe_diameter: 2.0 }}, minute: {{ fits: 0.9, top: {:.2} }}, \
             seconds: {{ fits: 0.2, top: {:.2}{small} }} }}, stem: {{ below: 1.9, tap: 0.9 }}, \
             foot_holes: [{{ at: 4h30, radius: 12.0, diameter: 0.8 }}, {{ at: 10h30, radius: 12.0, diameter: 0.8 }}] }}",
            rng.size(27.6, 28.0),
            rng.size(4.1, 4.5),
            rng.size(0.75, 1.05),
            rng.size(1.1, 1.4),
            rng.size(1.5, 1.8),
        );
    }
    for (name, fits, most) in [("h", 1.5, 9.0), ("m", 0.9, 13.9), ("s", 0.2, 14.0)] {
        for at in 0..1 + rng.roll(2) {
            let count = if rng.one_in(4) { "count: 2, " } else { "" };
            let proud = if rng.one_in(4) { "proud: 0.05, " } else { "" };
            let fits = if rng.one_in(6) { 0.9 } else { fits };
            let pipe = if rng.one_in(3) { "pipe: 0.1, " } else { "" };
            let _ = writeln!(
                out,
                "{name}{at}: {{ kind: hand, origin: measured, {count}{proud}{pipe}fits: {fits}, length: {:.2}, thickness: {:.2} }}",
                rng.size(most - 1.5, most),
                rng.size(0.1, 0.3),
            );
        }
    }
    for at in 0..rng.roll(3) {
        let rise = if rng.one_in(2) { "form: domed, inner_rise: 0.8" } else { "form: flat" };
        let _ = writeln!(
            out,
            "crystal-{at}: {{ kind: crystal, origin: measured, diameter: {:.2}, {rise}, inner_aperture: 28.6, held: glued, \
             height: 1.5, thickness: 1.5, material: sapphire }}",
            rng.size(30.8, 31.02)
        );
    }
    if rng.one_in(3) {
        let _ = writeln!(
            out,
            "shim-0: {{ kind: shim, origin: measured, thickness: {:.2} }}",
            rng.size(0.05, 0.2)
        );
    }
    if rng.one_in(3) {
        let (inner, outer) = (rng.size(27.6, 28.0), rng.size(28.0, 28.4));
        let _ = writeln!(
            out,
            "ring-0: {{ kind: ring, origin: measured, inner: {inner:.2}, outer: {outer:.2}, height: 4, from_seat: 1 }}"
        );
    }
    if rng.one_in(2) {
        let width = 18 + 2 * rng.roll(2);
        let _ = writeln!(out, "strap-0: {{ kind: strap, origin: measured, width: {width} }}");
    }
    out
}

fn journal_of(bin: String) -> Journal {
    let folder = Folder {
        texts: vec![("journal.yaml".into(), "title: A bin\n".into()), ("parts/bin.yaml".into(), bin)],
        ..Folder::default()
    };
    let journal = journal::read(folder);
    assert!(journal.problems.is_empty(), "{:?}", journal.problems);
    journal
}

/// One result as the two are compared by: alterations, ease, ids in order.
type Listing = (usize, Reverse<Ease>, Vec<String>);

/// A combination that was tried and does not foul.
#[derive(Clone)]
struct Enumerated {
    grade: Grade,
    missed: usize,
    chosen: Vec<u16>,
    line: Listing,
}

/// One of all combinations, by its number.
fn numbered(space: &SearchSpace, number: usize) -> Vec<u16> {
    let mut rest = number;
    let digit = |choices: &Vec<SlotChoice>| {
        let at = rest % choices.len();
        rest /= choices.len();
        at as u16
    };
    space.choices.iter().map(digit).collect()
}

/// Everything there is, by trying it: what goes and what is not all measured.
fn try_all(base: &Assembly, bands: &Bands, space: &SearchSpace, limits: HeadlineLimits) -> Vec<Enumerated> {
    let total: usize = space.choices.iter().map(Vec::len).product();
    let one = |number: usize| {
        let chosen = numbered(space, number);
        let choices: Vec<&SlotChoice> =
            chosen.iter().enumerate().map(|(slot, at)| &space.choices[slot][usize::from(*at)]).collect();
        let used = |spare: usize| choices.iter().filter(|choice| choice.spare == spare).count();
        let spares = choices.iter().filter(|choice| choice.part.is_some()).map(|choice| choice.spare);
        if spares.into_iter().any(|spare| used(spare) > space.pieces[spare]) {
            return None;
        }
        let (parts, held) = space.parts(&chosen);
        let watch = base.of_parts(parts, held);
        let grade = grade(&watch, bands).and(limits.grade(&watch));
        let id = |choice: &&SlotChoice| choice.part.as_ref().map_or(String::new(), |part| part.id.clone());
        let ids: Vec<String> = choices.iter().map(id).collect();
        let missed = (0..chosen.len()).filter(|slot| choices[*slot].part.is_none() && space.is_missed(*slot));
        let (missed, steps) = (missed.count(), choices.iter().map(|choice| choice.steps.len()).sum());
        let line = (steps, Reverse(grade.ease()), ids);
        (grade != Grade::Fouls).then_some(Enumerated { grade, missed, chosen, line })
    };
    (0..total).filter_map(one).collect()
}

/// One line for each case, dial and movement, filled best; of a part altered in several ways that
/// which is best then.
fn best_of(mut all: Vec<Enumerated>) -> Vec<Listing> {
    let worth = |one: &Enumerated| (one.line.0, one.missed, one.line.1, one.chosen.clone());
    all.sort_by_key(worth);
    let mut seen: BTreeSet<Vec<u16>> = BTreeSet::new();
    all.retain(|one| seen.insert(one.chosen[..3].to_vec()));
    all.sort_by_key(|one| (one.line.0, one.line.1, one.chosen.clone()));
    let mut told: BTreeSet<Vec<String>> = BTreeSet::new();
    all.retain(|one| told.insert(one.line.2[..3].to_vec()));
    all.into_iter().map(|one| one.line).collect()
}

fn lines(found: &[Combination], slots: &[(Slot, usize)]) -> Vec<Listing> {
    let line = |one: &Combination| {
        let id =
            |(slot, _): &(Slot, usize)| one.parts.get(slot).map_or(String::new(), |part| part.id.clone());
        (one.steps.len(), Reverse(one.ease), slots.iter().map(id).collect())
    };
    found.iter().map(line).collect()
}

/// What `work` finds with so many bins, or with as many as are asked for.
fn over_bins<T: Send>(usual: u64, work: impl Fn(u64, &Assembly, &Bands, &[Spare]) -> T + Sync) -> Vec<T> {
    let with = |seed| {
        let journal = journal_of(bin_of(seed));
        let ledger = Ledger::of(&journal);
        let spares = spares(&journal, &ledger);
        let watch = Assembly::empty(&Arc::new(Standards::of(&journal).0), None);
        work(seed, &watch, &Bands::built_in(), &spares)
    };
    let asked = std::env::var("ENDSHAKE_BINS").ok();
    let bins = asked.map_or(usual, |number| number.parse().expect("ENDSHAKE_BINS is a number"));
    (1..=bins).into_par_iter().map(with).collect()
}

#[test]
fn the_search_finds_what_trying_everything_finds() {
    let told: Vec<(usize, usize)> = over_bins(8, |seed, watch, bands, spares| {
        let limits = match seed % 4 {
            0 => HeadlineLimits {
                thickness: crate::fit::verdict::Band::at_most(10.0),
                diameter: crate::fit::verdict::Band::at_most(39.0),
                ..HeadlineLimits::default()
            },
            _ => HeadlineLimits::default(),
        };
        let allowed = PartFilter { altered: seed % 5 == 0, ..PartFilter::default() };
        let query = Query { allowed, limits, most: usize::MAX, ..Query::default() };
        let mut space = SearchSpace::of(spares, &query.allowed);
        if query.allowed.altered {
            alterations::vary(watch, bands, &mut space, &AtomicBool::new(false));
        }
        let all = try_all(watch, bands, &space, limits);
        let (goes, unmeasured): (Vec<_>, Vec<_>) =
            all.into_iter().partition(|one| matches!(one.grade, Grade::Goes(_)));
        let count = (goes.len(), unmeasured.len());

        let best = combine(watch, bands, spares, &query, &AtomicBool::new(false));
        let every = Query { every: true, ..query.clone() };
        let every = combine(watch, bands, spares, &every, &AtomicBool::new(false));
        for (found, wanted) in [(&every.goes, &goes), (&every.unmeasured, &unmeasured)] {
            let mut wanted = wanted.clone();
            wanted.sort_by_key(|one| (one.line.0, one.line.1, one.chosen.clone()));
            let wanted: Vec<Listing> = wanted.into_iter().map(|one| one.line).collect();
            assert_eq!(lines(found, &every.slots), wanted, "every combination of bin {seed}");
        }
        let going: BTreeSet<Vec<u16>> = goes.iter().map(|one| one.chosen[..3].to_vec()).collect();
        let measured = best_of(goes);
        assert_eq!(lines(&best.goes, &best.slots), measured, "what goes of bin {seed}");
        let other = unmeasured.into_iter().filter(|one| !going.contains(&one.chosen[..3]));
        let other = best_of(other.collect());
        assert_eq!(lines(&best.unmeasured, &best.slots), other, "what is not measured of bin {seed}");

        let few = Query { most: 2, ..query };
        let few = combine(watch, bands, spares, &few, &AtomicBool::new(false));
        assert_eq!(lines(&few.goes, &few.slots), measured[..measured.len().min(2)], "the best of bin {seed}");
        count
    });
    // Bins in which nothing goes, or everything, would show nothing.
    assert!(told.iter().any(|(goes, _)| *goes > 0), "{told:?}");
    assert!(told.iter().any(|(_, unmeasured)| *unmeasured > 0), "{told:?}");
}

/// What the advice for a whole watch makes go by one alteration of a dial or a hand is found by the
/// search too, which altered them for a few parts at a time. Shims stay out of it.
#[test]
fn what_one_alteration_makes_go_is_found() {
    let told: Vec<usize> = over_bins(4, |seed, watch, bands, spares| {
        let open = vec![Slot::Shim];
        let allowed = PartFilter { altered: true, open, ..PartFilter::default() };
        let query = Query { allowed, most: usize::MAX, ..Query::default() };
        let found = combine(watch, bands, spares, &query, &AtomicBool::new(false));
        assert!(found.altered_for_several, "bin {seed} is small");
        let least = |three: &[String]| {
            let all = found.goes.iter().chain(&found.unmeasured);
            let ids = |one: &&Combination| {
                let slots = [Slot::Case, Slot::Dial, Slot::Movement];
                slots.iter().zip(three).all(|(slot, id)| one.parts[slot].id == *id)
            };
            all.filter(ids).map(|one| one.steps.len()).min()
        };

        let space = SearchSpace::of(spares, &query.allowed);
        let mut mended = 0;
        for chosen in fouling(watch, bands, &space, 40) {
            for slot in [Slot::Dial, Slot::Hour, Slot::Minute, Slot::Seconds] {
                let Some(at) = space.position(slot) else { continue };
                let choice = &space.choices[at][usize::from(chosen[at])];
                let (parts, held) = space.parts(&chosen);
                let ids: Vec<String> = [Slot::Case, Slot::Dial, Slot::Movement]
                    .iter()
                    .map(|slot| parts[slot].id.clone())
                    .collect();
                let whole = watch.of_parts(parts.clone(), held);
                for altered in alterations::mended(&whole, bands, slot, choice) {
                    let mut parts = parts.clone();
                    parts.extend(altered.part.map(|part| (slot, part)));
                    let after = watch.of_parts(parts, altered.held.or(held));
                    if grade(&after, bands) != Grade::Fouls {
                        mended += 1;
                        let steps = least(&ids);
                        assert!(steps.is_some_and(|steps| steps <= 1), "bin {seed}, {ids:?}: {steps:?}");
                    }
                }
            }
        }
        mended
    });
    assert!(told.iter().sum::<usize>() * 2 >= told.len(), "nearly nothing was mended: {told:?}");
}

/// The first combinations in which one or two findings foul.
fn fouling(base: &Assembly, bands: &Bands, space: &SearchSpace, most: usize) -> Vec<Vec<u16>> {
    let total: usize = space.choices.iter().map(Vec::len).product();
    let nearly = |chosen: &Vec<u16>| {
        let (parts, held) = space.parts(chosen);
        let grades = grade_all(&base.of_parts(parts, held), bands);
        (1..=2).contains(&grades.iter().filter(|one| one.grade == Grade::Fouls).count())
    };
    (0..total).map(|number| numbered(space, number)).filter(nearly).take(most).collect()
}
