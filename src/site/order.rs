//! The order in which new pages appear: a page that is linked to before those that link to it.
//!
//! Pages of a site link in circles (a build to its parts, a part to its builds), so no order does
//! it alone. Where a circle has to be broken, a page first appears without the links that do not
//! lead anywhere yet, and gets them once all are there. The same order read backwards is safe for
//! taking pages away.

use std::collections::{BTreeMap, BTreeSet};

/// One page in its turn.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Turn {
    pub(super) page: String,
    /// Links to pages whose turn comes later.
    pub(super) early: BTreeSet<String>,
}

/// Puts pages in an order with few early links. `links` has every page with the pages that it
/// links to; a link to a page that is not among the keys leads to one that is there already.
pub(super) fn turns(links: &BTreeMap<String, Vec<String>>) -> Vec<Turn> {
    let place: BTreeMap<&str, usize> = links.keys().enumerate().map(|(n, page)| (page.as_str(), n)).collect();
    let to: Vec<BTreeSet<usize>> = links
        .iter()
        .enumerate()
        .map(|(n, (_, targets))| {
            targets.iter().filter_map(|t| place.get(t.as_str()).copied()).filter(|t| *t != n).collect()
        })
        .collect();
    let mut from: Vec<Vec<usize>> = vec![Vec::new(); to.len()];
    for (n, targets) in to.iter().enumerate() {
        for t in targets {
            from[*t].push(n);
        }
    }
    let names: Vec<&String> = links.keys().collect();

    let mut waits: Vec<usize> = to.iter().map(BTreeSet::len).collect();
    let mut ready: BTreeSet<usize> = (0..to.len()).filter(|n| waits[*n] == 0).collect();
    // Most linked to first: one page without its links then frees the most others.
    let mut stuck: Vec<usize> = (0..to.len()).collect();
    stuck.sort_by_key(|n| (from[*n].len(), std::cmp::Reverse(*n)));
    let mut done = vec![false; to.len()];
    let mut turns = Vec::with_capacity(to.len());
    while let Some(next) = ready.pop_first().or_else(|| stuck.pop()) {
        if std::mem::replace(&mut done[next], true) {
            continue;
        }
        let early = to[next].iter().filter(|t| !done[**t]).map(|t| names[*t].clone()).collect();
        turns.push(Turn { page: names[next].clone(), early });
        for n in &from[next] {
            waits[*n] -= 1;
            if waits[*n] == 0 && !done[*n] {
                ready.insert(*n);
            }
        }
    }
    turns
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn order(links: &[(&str, &[&str])]) -> String {
        let links = links
            .iter()
            .map(|(page, to)| ((*page).to_owned(), to.iter().map(|t| (*t).to_owned()).collect()))
            .collect();
        turns(&links)
            .iter()
            .map(|t| if t.early.is_empty() { t.page.clone() } else { format!("{}*", t.page) })
            .collect::<Vec<_>>()
            .join(" ")
    }

    #[test]
    fn linked_to_comes_before_linking() {
        assert_eq!(order(&[("a", &["b"]), ("b", &["c"]), ("c", &[]), ("d", &["there"])]), "c b a d");
    }

    #[test]
    fn circles_are_broken_at_the_page_most_linked_to() {
        assert_eq!(
            order(&[
                ("build", &["home", "p1", "p2"]),
                ("home", &["build", "home"]),
                ("p1", &["home", "build"]),
                ("p2", &["home", "build"]),
            ]),
            "build* home p1 p2"
        );
    }

    proptest! {
        #[test]
        fn every_page_once_and_every_other_link_leads_back(
            links in prop::collection::btree_map("[a-h]", prop::collection::vec("[a-h]", 0..5), 0..8)
        ) {
            let turns = turns(&links);
            prop_assert_eq!(turns.len(), links.len());
            let mut seen = BTreeSet::new();
            for turn in &turns {
                for target in &links[&turn.page] {
                    let there = !links.contains_key(target) || seen.contains(target) || *target == turn.page;
                    prop_assert_ne!(there, turn.early.contains(target));
                }
                prop_assert!(seen.insert(turn.page.clone()));
            }
        }
    }
}
