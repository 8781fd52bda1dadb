//! The name of a thing by its content.

use std::fmt;
use std::io::{BufWriter, Write as _};

use serde::{Deserialize, Serialize};

/// Names a value by its content: equal for equal content, whatever file or line it was written in.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Key([u8; 32]);

impl Key {
    /// The key of everything that a value serialises.
    pub fn of(value: &(impl Serialize + ?Sized)) -> Key {
        let mut to = BufWriter::new(blake3::Hasher::new());
        // Closed data is texts and numbers, and has no map but by words: all of it can be written.
        let written = serde_json::to_writer(&mut to, value);
        debug_assert!(written.is_ok(), "{written:?}");
        let _ = to.flush();
        Key(*to.get_ref().finalize().as_bytes())
    }
}

impl fmt::Display for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&blake3::Hash::from(self.0).to_hex())
    }
}

impl fmt::Debug for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self}")
    }
}
