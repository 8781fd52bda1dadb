//! The checks, one file each.

mod amplitude;
mod back_clearance;
mod back_gasket;
mod beat_error;
mod bezel_insert;
mod crown_gap;
mod crown_thread;
mod crystal_gasket;
mod crystal_strength;
mod date_across;
mod date_along;
mod date_upright;
mod day_across;
mod day_along;
mod dial_covers_opening;
mod dial_crown;
mod dial_feet;
mod dial_hole;
mod dial_in_seat;
mod dial_track_survives;
mod dial_track_visible;
mod functions_agree;
mod hand_balance;
mod hand_fit;
mod hand_in_crystal;
mod hand_in_ring;
mod hand_over_dial;
mod hand_over_indices;
mod hand_under_crystal;
mod hands_apart;
mod movement_held;
mod movement_in_case;
mod on_the_wrist;
mod part_booked_once;
mod rate_in_target;
mod ring_room;
mod small_seconds;
mod stem_height;
mod stem_length;
mod stem_tap;
mod strap_behind_bar;
mod strap_in_lugs;
mod water_claim;

use super::check::Check;

/// Every check, in the order in which a watch goes together; pages and reports keep this order.
pub const ALL: &[&Check] = &[
    &dial_in_seat::CHECK,
    &dial_covers_opening::CHECK,
    &dial_track_visible::CHECK,
    &dial_track_survives::CHECK,
    &dial_hole::CHECK,
    &dial_feet::CHECK,
    &dial_crown::CHECK,
    &date_along::CHECK,
    &date_across::CHECK,
    &date_upright::CHECK,
    &day_along::CHECK,
    &day_across::CHECK,
    &hand_fit::CHECK,
    &hand_over_dial::CHECK,
    &hand_over_indices::CHECK,
    &small_seconds::CHECK,
    &hands_apart::CHECK,
    &hand_under_crystal::CHECK,
    &hand_in_ring::CHECK,
    &hand_in_crystal::CHECK,
    &hand_balance::CHECK,
    &movement_in_case::CHECK,
    &movement_held::CHECK,
    &functions_agree::CHECK,
    &back_clearance::CHECK,
    &stem_height::CHECK,
    &stem_tap::CHECK,
    &stem_length::CHECK,
    &crown_thread::CHECK,
    &crown_gap::CHECK,
    &ring_room::CHECK,
    &crystal_gasket::CHECK,
    &crystal_strength::CHECK,
    &back_gasket::CHECK,
    &water_claim::CHECK,
    &bezel_insert::CHECK,
    &strap_in_lugs::CHECK,
    &strap_behind_bar::CHECK,
    &on_the_wrist::CHECK,
    &rate_in_target::CHECK,
    &amplitude::CHECK,
    &beat_error::CHECK,
    &part_booked_once::CHECK,
];

/// The check of that id.
pub fn of(id: &str) -> Option<&'static Check> {
    ALL.iter().find(|check| check.id == id).copied()
}
