//! Lengths and angles with tolerance and origin, and the way people write them.

pub mod iso286;
