//! The checks, one file each.

mod back_clearance;
mod dial_covers_opening;
mod dial_feet;
mod dial_hole;
mod dial_in_seat;
mod hand_fit;
mod hand_in_ring;
mod hand_over_dial;
mod hand_over_indices;
mod hand_under_crystal;
mod hands_apart;
mod movement_in_case;
mod part_booked_once;
mod stem_height;
mod stem_tap;
mod strap_in_lugs;

use super::check::Check;

/// Every check, in the order in which a watch goes together; pages and reports keep this order.
pub const ALL: &[&Check] = &[
    &dial_in_seat::CHECK,
    &dial_covers_opening::CHECK,
    &dial_hole::CHECK,
    &dial_feet::CHECK,
    &hand_fit::CHECK,
    &hand_over_dial::CHECK,
    &hand_over_indices::CHECK,
    &hands_apart::CHECK,
    &hand_under_crystal::CHECK,
    &hand_in_ring::CHECK,
    &movement_in_case::CHECK,
    &back_clearance::CHECK,
    &stem_height::CHECK,
    &stem_tap::CHECK,
    &strap_in_lugs::CHECK,
    &part_booked_once::CHECK,
];

/// The check of that id.
pub fn of(id: &str) -> Option<&'static Check> {
    ALL.iter().find(|check| check.id == id).copied()
}
