//! The engine that judges whether the parts of a build go together, and its checks.

pub mod physics;
