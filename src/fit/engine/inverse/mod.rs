//! The other way round: which nominal values of one dimension would make a measure clear.

mod question;
mod search;

pub use question::{Goal, Question, Range, Solved, Tolerance, Unsolvable, common};
pub use search::solve;
