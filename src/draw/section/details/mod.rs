//! The magnified details under the section: A the stack of hands, B the dial's edge in its seat, C the
//! date in its window or the small seconds.

mod date_window;
mod detail;
mod detail_c;
mod dial_seat;
mod hand_stack;
mod small_seconds;

pub(super) use self::detail::{Cutout, Detail, Room};
pub(super) use self::detail_c::DetailC;
