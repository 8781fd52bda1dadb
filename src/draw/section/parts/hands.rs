//! The hands rotated into the section, and the posts that carry them.

use crate::draw::drafting::{Coordinate, Halves, Ink, View, size};
use crate::draw::section::levels::{HandCut, Levels};
use crate::draw::svg::Sheet;
use crate::draw::watch::{DrawnWatch, Role};

/// The posts on the axis and, of a small seconds, at its place turned into the cut at the left.
pub(super) fn posts(sheet: &mut Sheet, view: &View, watch: &DrawnWatch, levels: &Levels, halves: Halves) {
    let small = small_seconds(watch);
    let mut posts: Vec<(Coordinate, Coordinate)> =
        levels.stack(small.is_some()).iter().map(|h| (h.post, h.post_top)).collect();
    if let (Some(pipe), false) =
        (watch.movement.as_ref().and_then(|m| size(m.pipe_diameter)), posts.is_empty())
    {
        let lowest = levels.hands.iter().map(|h| h.under.mm).fold(f64::MAX, f64::min);
        posts.push((Coordinate::known(pipe / 2.0), Coordinate::known((lowest - 0.05).max(0.0))));
    }
    posts.sort_by(|a, b| b.0.mm.total_cmp(&a.0.mm));
    for (r, top) in posts {
        let zero = Coordinate::known(0.0);
        let axis = Coordinate::known(0.0);
        view.disc(sheet, Ink::UNCUT, &[(axis, top), (r, top), (r, zero), (axis, zero)], halves);
    }
    if let (Some(at), Halves::Both) = (small, halves)
        && let Some(hand) = levels.hands.iter().find(|h| h.role == Role::Seconds)
    {
        view.rect(sheet, "n mf", (-at - hand.post.mm, -at + hand.post.mm), (0.0, hand.post_top.mm));
    }
}

pub(super) fn hands(sheet: &mut Sheet, view: &View, watch: &DrawnWatch, levels: &Levels, halves: Halves) {
    let small = small_seconds(watch);
    for hand in &levels.hands {
        let (from, to) = if halves == Halves::Both { reach(hand) } else { (0.0, hand.length.mm) };
        let corners = |from: f64, to: f64| {
            let (a, b) = (Coordinate::known(from), Coordinate { mm: to, known: hand.length.known });
            [(a, hand.under), (b, hand.under), (b, hand.top), (a, hand.top)]
        };
        match small {
            Some(at) if hand.role == Role::Seconds => {
                if halves == Halves::Both {
                    let (a, b) = (-at - hand.length.mm, -at + hand.tail);
                    view.ring(sheet, Ink::SOLID, &corners(b, a), Halves::Right);
                }
            }
            _ => {
                // A hand that points to the left has its tip there.
                let turned = matches!(hand.role, Role::Hour | Role::SecondTime) && halves == Halves::Both;
                let corners = if turned { corners(to, from) } else { corners(from, to) };
                view.ring(sheet, Ink::SOLID, &corners, Halves::Right);
            }
        }
    }
}

/// From where to where a hand reaches in the cut: the hour hands point to the left.
fn reach(hand: &HandCut) -> (f64, f64) {
    match hand.role {
        Role::Hour | Role::SecondTime => (-hand.length.mm, hand.tail),
        Role::Minute | Role::Seconds => (-hand.tail, hand.length.mm),
    }
}

/// The radius of a small seconds, where the movement or the dial has one.
pub(in crate::draw::section) fn small_seconds(watch: &DrawnWatch) -> Option<f64> {
    let of_movement = watch.movement.as_ref().and_then(|m| m.seconds_at).map(|(_, r)| r);
    let of_dial = watch.dial.as_ref().and_then(|d| d.small_seconds).map(|s| s.radius.unwrap_or(6.0));
    size(of_movement.or(of_dial)).filter(|r| *r > 0.5)
}
