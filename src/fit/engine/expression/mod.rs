//! Formulas: written as a tree, laid out flat to be evaluated, and printed.

pub mod compiled;
mod display;
pub mod expr;
pub mod program;
