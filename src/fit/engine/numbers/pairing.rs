//! One-to-one pairings of dial feet with foot holes.

/// The gap, in mm, of a dial foot that finds no hole.
pub(in crate::fit::engine) const NO_HOLE: f64 = -100.0;
/// The most dial feet that a pairing looks at.
pub(in crate::fit::engine) const MOST_FEET: usize = 6;

/// The hole of each foot, by number; `None`: it stays without one.
pub(in crate::fit::engine) type Pairs = [Option<usize>; MOST_FEET];

/// The pairing whose least gap is greatest (and among those the next least, and so on); the
/// first in order of holes where even that leaves several.
pub(in crate::fit::engine) fn best_pairing(gaps: &[f64], holes: usize) -> Pairs {
    let mut best: Option<(Pairs, [f64; MOST_FEET])> = None;
    each_pairing(gaps.len() / holes, holes, &mut |pairs, feet| {
        let mut sorted = [f64::INFINITY; MOST_FEET];
        for foot in 0..feet {
            sorted[foot] = gap(gaps, holes, foot, pairs[foot]);
        }
        sorted[..feet].sort_unstable_by(f64::total_cmp);
        let better = best.as_ref().is_none_or(|(_, so_far)| {
            (0..feet)
                .map(|k| sorted[k].total_cmp(&so_far[k]))
                .find(|order| order.is_ne())
                .is_some_and(std::cmp::Ordering::is_gt)
        });
        if better {
            best = Some((*pairs, sorted));
        }
    });
    best.map_or([None; MOST_FEET], |(pairs, _)| pairs)
}

fn gap(gaps: &[f64], holes: usize, foot: usize, hole: Option<usize>) -> f64 {
    hole.map_or(NO_HOLE, |hole| gaps[foot * holes + hole])
}

/// Every pairing that leaves as few feet as possible without a hole.
pub(in crate::fit::engine) fn each_pairing(feet: usize, holes: usize, visit: &mut dyn FnMut(&Pairs, usize)) {
    let mut pairs = [None; MOST_FEET];
    go(0, feet, holes, 0, feet.saturating_sub(holes), &mut pairs, visit);

    fn go(
        foot: usize,
        feet: usize,
        holes: usize,
        taken: u32,
        spare: usize,
        pairs: &mut Pairs,
        visit: &mut dyn FnMut(&Pairs, usize),
    ) {
        if foot == feet {
            visit(pairs, feet);
            return;
        }
        for hole in (0..holes).filter(|hole| taken & (1 << hole) == 0) {
            pairs[foot] = Some(hole);
            go(foot + 1, feet, holes, taken | (1 << hole), spare, pairs, visit);
        }
        pairs[foot] = None;
        if spare > 0 {
            go(foot + 1, feet, holes, taken, spare - 1, pairs, visit);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_least_gap_of_all_is_made_greatest() {
        // Foot 0 would like hole 0 best, but then foot 1 has none that fits.
        let gaps = [0.05, 0.02, 0.04, -3.0];
        assert_eq!(best_pairing(&gaps, 2)[..2], [Some(1), Some(0)]);
    }

    #[test]
    fn the_next_least_decides_where_the_least_is_shared() {
        // Foot 2 only fits hole 2, with a gap worse than all others.
        let gaps = [0.05, 0.03, -9.0, 0.03, 0.02, -9.0, -9.0, -9.0, -0.5];
        assert_eq!(best_pairing(&gaps, 3)[..3], [Some(1), Some(0), Some(2)]);
    }

    #[test]
    fn as_few_feet_as_possible_stay_without_a_hole() {
        let gaps = [0.1, -5.0, 0.2];
        assert_eq!(best_pairing(&gaps, 1)[..3], [None, None, Some(0)]);
        assert_eq!(f64_gap(&gaps, 1, 0), NO_HOLE);
    }

    fn f64_gap(gaps: &[f64], holes: usize, foot: usize) -> f64 {
        <f64 as super::super::number::Number>::pairing(gaps, holes, foot)
    }

    #[test]
    fn more_holes_than_feet_leave_holes_empty() {
        let gaps = [-9.0, 0.03, -9.0, -9.0, -9.0, -9.0, -9.0, 0.04];
        assert_eq!(best_pairing(&gaps, 4)[..2], [Some(1), Some(3)]);
    }
}
