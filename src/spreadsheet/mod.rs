//! A bin as a table of comma-separated values, out of the journal and into a new file of it.
//!
//! One row a part, one column a field by its path (`rehaut.bottom`); what stands in a cell is what
//! would stand in the YAML, so that a bin goes out and comes back without loss. Lists are written as
//! YAML writes them in one line.

mod cell;
mod read;
mod write;

pub use read::{Import, ImportedRow, read};
pub use write::write;
