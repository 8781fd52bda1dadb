//! Smaller programs that have the same values inside a given box.

use crate::fit::engine::expression::program::{Op, Program, Scratch};
use crate::fit::engine::numbers::interval::Interval;
use crate::fit::engine::numbers::interval_functions::decided_turns;
use crate::fit::engine::numbers::number::whole_turns;
use crate::fit::engine::numbers::pairing::NO_HOLE;
use crate::fit::engine::numbers::possible_pairings::possible_pairings;

/// The program without what cannot matter inside the box: choices that are decided, and what
/// only the other choice needed. Variables keep their numbers.
pub(in crate::fit::engine) fn pruned(
    program: &Program,
    limits: &[Interval],
    scratch: &mut Scratch<Interval>,
) -> Program {
    program.value(limits, scratch);
    let known = &scratch.slots;
    let mut out = Program { leaves: program.leaves, ..Program::default() };
    // Where each slot's value stands in the new program; filled from the result backwards.
    let needed = needed(program, known);
    let mut place = vec![0u32; program.ops.len()];
    for (slot, op) in program.ops.iter().enumerate() {
        if !needed[slot] {
            continue;
        }
        place[slot] = match choice(program, *op, known) {
            Choice::Same(other) => place[other as usize],
            Choice::Turned(other) => out.push(Op::Neg(place[other as usize])),
            Choice::NoHole => out.push(Op::Const(NO_HOLE)),
            Choice::Open => out.copy(program, *op, &place),
        };
    }
    out.result = place[program.result as usize];
    out
}

/// One program for each whole number of pitches that an undecided turn can take inside the box,
/// where there is such a turn. In each the turned angle is held within half a pitch: what would
/// turn further belongs to the next program, which meets it at the rim.
pub(in crate::fit::engine) fn split_turns(
    program: &Program,
    limits: &[Interval],
    scratch: &mut Scratch<Interval>,
) -> Option<Vec<Program>> {
    program.value(limits, scratch);
    let (slot, angle, pitch, first, last) =
        program.ops.iter().enumerate().find_map(|(slot, op)| match *op {
            Op::Turn(a, b) if scratch.slots[b as usize].lo > 0.0 => {
                let turns = scratch.slots[a as usize] / scratch.slots[b as usize];
                let (first, last) = (whole_turns(turns.lo, 1.0), whole_turns(turns.hi, 1.0));
                (first < last && last - first <= MOST_TURNS).then_some((slot, a, b, first, last))
            }
            _ => None,
        })?;
    let mut programs = Vec::new();
    let mut turns = first;
    while turns <= last {
        programs.push(held(program, slot, (angle, pitch), turns));
        turns += 1.0;
    }
    Some(programs)
}

fn held(program: &Program, turn: usize, (angle, pitch): (u32, u32), turns: f64) -> Program {
    let mut out = Program { leaves: program.leaves, ..Program::default() };
    let mut place = Vec::with_capacity(program.ops.len());
    for (slot, op) in program.ops.iter().enumerate() {
        let moved = if slot == turn {
            let (angle, pitch) = (place[angle as usize], place[pitch as usize]);
            let (turns, half) = (out.push(Op::Const(turns)), out.push(Op::Const(0.5)));
            let back = out.push(Op::Mul(pitch, turns));
            let turned = out.push(Op::Sub(angle, back));
            let rim = out.push(Op::Mul(pitch, half));
            let below = out.push(Op::Min(turned, rim));
            let other_rim = out.push(Op::Neg(rim));
            out.push(Op::Max(below, other_rim))
        } else {
            out.copy(program, *op, &place)
        };
        place.push(moved);
    }
    out.result = place[program.result as usize];
    out
}

/// The formula on either side of the first choice that the box does not decide, where there is one.
pub(in crate::fit::engine) fn split_jump(
    program: &Program,
    limits: &[Interval],
    scratch: &mut Scratch<Interval>,
) -> Option<[Program; 2]> {
    program.value(limits, scratch);
    let (slot, before, beyond) = program.ops.iter().enumerate().find_map(|(slot, op)| match *op {
        Op::Choose(a, b, c) => {
            let decides = scratch.slots[a as usize];
            (decides.lo <= 0.0 && decides.hi > 0.0).then_some((slot, b, c))
        }
        _ => None,
    })?;
    let side = |taken: u32| {
        let mut out = Program { leaves: program.leaves, ..Program::default() };
        let mut place = Vec::with_capacity(program.ops.len());
        for (at, op) in program.ops.iter().enumerate() {
            place.push(if at == slot { place[taken as usize] } else { out.copy(program, *op, &place) });
        }
        out.result = place[program.result as usize];
        out
    };
    Some([side(before), side(beyond)])
}

/// More turns than these are searched through as they are.
const MOST_TURNS: f64 = 3.0;

/// The program with fewer variables, and their ranges. A part of the formula whose dimensions
/// each occur once in it, and nowhere else, moves as one: interval arithmetic gives its range
/// exactly, and every value in it is attained.
pub(in crate::fit::engine) fn lumped(
    program: &Program,
    limits: &[Interval],
    scratch: &mut Scratch<Interval>,
) -> (Program, Vec<Interval>) {
    program.value(limits, scratch);
    let known = &scratch.slots;
    let uses = uses(program);
    let fixed = |slot: u32| matches!(program.ops[slot as usize], Op::Const(_));
    let mut whole = vec![false; program.ops.len()];
    for (slot, op) in program.ops.iter().enumerate() {
        let (inputs, count) = op.inputs();
        whole[slot] = match *op {
            Op::Choose(..) | Op::Pairing { .. } => false,
            Op::Turn(a, b) if decided_turns(known[a as usize], known[b as usize]).is_none() => false,
            // The range of a quotient over zero is not one interval.
            Op::Div(_, b) if known[b as usize].holds(0.0) => false,
            // The distance of two radii that may lie below zero is not what its range assumes.
            Op::Apart(a, b, _) if known[a as usize].lo < 0.0 || known[b as usize].lo < 0.0 => false,
            _ => inputs[..count]
                .iter()
                .all(|&input| fixed(input) || whole[input as usize] && uses[input as usize] == 1),
        };
    }
    let mut out = Program::default();
    let mut ranges = Vec::new();
    let mut place = vec![u32::MAX; program.ops.len()];
    let mut stack = vec![program.result];
    // Depth first, so that every part stands before what needs it.
    while let Some(&slot) = stack.last() {
        let index = slot as usize;
        if place[index] != u32::MAX {
            stack.pop();
            continue;
        }
        let op = program.ops[index];
        if whole[index] && !fixed(slot) {
            place[index] = out.push(Op::Leaf(ranges.len() as u32));
            ranges.push(known[index]);
            continue;
        }
        let open = stack.len();
        match op {
            Op::Pairing { start, feet, holes, .. } => {
                let gaps = program.gaps_of(start, feet, holes);
                stack.extend(gaps.iter().filter(|&&gap| place[gap as usize] == u32::MAX));
            }
            op => {
                let (inputs, count) = op.inputs();
                stack.extend(inputs[..count].iter().filter(|&&i| place[i as usize] == u32::MAX));
            }
        }
        if stack.len() > open {
            continue;
        }
        place[index] = out.copy(program, op, &place);
    }
    out.result = place[program.result as usize];
    out.leaves = ranges.len();
    (out, ranges)
}

enum Choice {
    Same(u32),
    Turned(u32),
    NoHole,
    Open,
}

fn choice(program: &Program, op: Op, known: &[Interval]) -> Choice {
    let at = |slot: u32| known[slot as usize];
    match op {
        Op::Abs(a) if at(a).lo >= 0.0 => Choice::Same(a),
        Op::Abs(a) if at(a).hi <= 0.0 => Choice::Turned(a),
        Op::Min(a, b) if at(a).hi <= at(b).lo => Choice::Same(a),
        Op::Min(a, b) if at(b).hi <= at(a).lo => Choice::Same(b),
        Op::Max(a, b) if at(a).lo >= at(b).hi => Choice::Same(a),
        Op::Max(a, b) if at(b).lo >= at(a).hi => Choice::Same(b),
        Op::Choose(a, b, _) if at(a).hi <= 0.0 => Choice::Same(b),
        Op::Choose(a, _, c) if at(a).lo > 0.0 => Choice::Same(c),
        Op::Pairing { start, feet, holes, foot } => {
            let gaps = program.gaps_of(start, feet, holes);
            let row: Vec<Interval> = gaps.iter().map(|&gap| at(gap)).collect();
            let possible = possible_pairings(&row, holes.into());
            let own = possible[0][usize::from(foot)];
            if possible.iter().any(|pairs| pairs[usize::from(foot)] != own) {
                return Choice::Open;
            }
            match own {
                Some(hole) => Choice::Same(gaps[usize::from(foot) * usize::from(holes) + hole]),
                None => Choice::NoHole,
            }
        }
        _ => Choice::Open,
    }
}

fn needed(program: &Program, known: &[Interval]) -> Vec<bool> {
    let mut needed = vec![false; program.ops.len()];
    needed[program.result as usize] = true;
    for (slot, op) in program.ops.iter().enumerate().rev() {
        if !needed[slot] {
            continue;
        }
        match choice(program, *op, known) {
            Choice::Same(other) | Choice::Turned(other) => needed[other as usize] = true,
            Choice::NoHole => {}
            Choice::Open => {
                let (inputs, count) = op.inputs();
                for &input in &inputs[..count] {
                    needed[input as usize] = true;
                }
                if let Op::Pairing { start, feet, holes, .. } = *op {
                    for &gap in program.gaps_of(start, feet, holes) {
                        needed[gap as usize] = true;
                    }
                }
            }
        }
    }
    needed
}

/// How often each slot is used.
fn uses(program: &Program) -> Vec<u32> {
    let mut uses = vec![0u32; program.ops.len()];
    for op in &program.ops {
        let (inputs, count) = op.inputs();
        for &input in &inputs[..count] {
            uses[input as usize] += 1;
        }
        if let Op::Pairing { start, feet, holes, .. } = *op {
            for &gap in program.gaps_of(start, feet, holes) {
                uses[gap as usize] += 1;
            }
        }
    }
    uses
}

#[cfg(test)]
mod tests {
    use crate::fit::engine::expression::compiled::Compiled;
    use crate::fit::engine::fixtures::{self, Dice};

    use super::*;

    /// What is left out of a pruned program makes no difference inside the box.
    #[test]
    fn a_pruned_program_is_the_same_inside_its_box() {
        for seed in 0..40 {
            let mut dice = Dice(seed);
            for (name, expr) in fixtures::formulas(seed) {
                let compiled = Compiled::new(&expr);
                let limits = compiled.limits();
                let small = pruned(&compiled, &limits, &mut Scratch::new());
                assert!(small.ops.len() <= compiled.ops.len(), "{name}");
                let mut scratch = Scratch::new();
                for _ in 0..30 {
                    let within = |limit: &Interval| limit.lo + dice.unit() * limit.width();
                    let point: Vec<f64> = limits.iter().map(within).collect();
                    let whole = compiled.value(&point, &mut scratch);
                    assert_eq!(small.value(&point, &mut scratch), whole, "{name}, seed {seed}");
                }
            }
        }
    }
}
