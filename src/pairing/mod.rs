//! What would go into a build, and which builds the parts of the bin could make.
//!
//! `spares` are the parts that are free, `wanted` looks for a part for each open slot of a build,
//! and `combine` for whole builds. Both ask the checks of `crate::fit` and know none by name.

pub mod spares;

pub mod wanted;

pub mod combine;
