//! How far does the crown stand off the case?

use crate::fit::assembly::Assembly;
use crate::fit::check::{Answer, Asked, Check, Concerns, Group, Thumbnail};
use crate::journal::Slot;
use crate::measure::Origin;

pub(super) const CHECK: Check = Check {
    id: "crown-gap",
    title: "crown against the case",
    group: Group::Movement,
    asks: "Does the stem, as it is cut, bring the crown close to the case?",
    formula: "movement.stem.seat_radius + stem.length − crown.reach − tube.end_radius, for a crown that is pushed in",
    measured: "The cut stem from its shoulder to its end with a calliper; the rest as for the stem's length. Or the gap itself, with a feeler gauge.",
    ignored: "The crown stands proud, catches on cuffs and pulls itself out; with a stem that is too short it never reaches the winding position.",
    remedy: "File a long stem down a little at a time; for a short one a new stem, or an extender.",
    unit: "mm",
    concerns: Concerns::Parts,
    acceptable: true,
    thumbnail: Thumbnail::Stem,
    scene: None,
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    let screwed = watch.knows("crown.tube_thread") || watch.knows("case.tube.thread");
    if screwed || !watch.filled([Slot::Case, Slot::Movement, Slot::Crown, Slot::Stem]) {
        return;
    }
    let reach = watch.dim("crown.reach") + watch.dim("case.tube.end_radius");
    let gap = watch.dim("movement.stem.seat_radius") + watch.dim("stem.length") - reach;
    if is_cut(watch, watch.nominal(&gap)) {
        asked.measure("", gap.clone());
        if watch.nominal(&gap).is_some_and(|gap| gap < SHORT) {
            let words = "the stem is too short: the crown meets the tube before the stem is home";
            asked.rule("stem", Answer::Barely, words).titled("stem long enough");
        }
    }
}

/// Whether the stem was cut: it was altered, or measured at a length that can be meant. Until then
/// the length to cut it to is all there is to say.
fn is_cut(watch: &Assembly, gap: Option<f64>) -> bool {
    let Some(stem) = watch.part(Slot::Stem) else { return false };
    let Some(length) = watch.known("stem.length") else { return false };
    let altered = stem.set_by_alteration.iter().any(|path| path == "length");
    let measured = length.size.origin <= Origin::Measured;
    altered || measured && gap.is_none_or(|gap| gap <= UNCUT)
}

/// Below this, mm, a stem is short and not merely measured so: half the tenth that makers allow.
const SHORT: f64 = -0.05;

/// A crown that would stand further off than this, mm, is on a stem as it is sold.
const UNCUT: f64 = 1.0;
