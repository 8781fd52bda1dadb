//! The pairings of dial feet with holes that can be the best one where the gaps are not known exactly.

use super::interval::Interval;
use super::pairing::{Pairs, best_pairing, each_pairing};

/// Every pairing that is the best one somewhere in the box of gaps; never empty.
pub(in crate::fit::engine) fn possible_pairings(gaps: &[Interval], holes: usize) -> Vec<Pairs> {
    let middles: Vec<f64> = gaps.iter().map(|gap| gap.middle()).collect();
    let favourite = best_pairing(&middles, holes);
    let mut possible = vec![favourite];
    each_pairing(gaps.len() / holes, holes, &mut |pairs, feet| {
        if *pairs != favourite && !beaten(gaps, holes, feet, pairs, &favourite) {
            possible.push(*pairs);
        }
    });
    possible
}

/// Whether one pairing is worse than another everywhere in the box. What both have in common
/// cannot decide, so only the feet that they treat differently are compared.
fn beaten(gaps: &[Interval], holes: usize, feet: usize, one: &Pairs, other: &Pairs) -> bool {
    let (mut most, mut least) = (f64::INFINITY, f64::INFINITY);
    for foot in (0..feet).filter(|&foot| one[foot] != other[foot]) {
        if let Some(hole) = one[foot] {
            most = most.min(gaps[foot * holes + hole].hi);
        }
        if let Some(hole) = other[foot] {
            least = least.min(gaps[foot * holes + hole].lo);
        }
    }
    most < least
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pairing_that_can_never_win_is_left_out() {
        let near = |x: f64| Interval::new(x - 0.05, x + 0.05);
        let gaps = [near(0.02), near(-25.0), near(-25.0), near(0.02)];
        assert_eq!(possible_pairings(&gaps, 2).len(), 1);
        let even = [near(0.0), near(0.0), near(0.0), near(0.0)];
        assert_eq!(possible_pairings(&even, 2).len(), 2);
    }
}
