//! The name of a thing by its content.

use std::fmt;

use serde::{Deserialize, Serialize};

/// Names a value by its content: equal for equal content, whatever file or line it was written in.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Key([u8; 32]);

impl Key {
    /// The key of everything that a value serialises.
    pub fn of(value: &impl Serialize) -> Key {
        let written = serde_json::to_vec(value).expect("closed data has no map but by words");
        Key(*blake3::hash(&written).as_bytes())
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
