//! What every build of a journal is judged by.

use serde::{Serialize, Serializer};

use crate::journal::Journal;
use crate::measure::{Dimension, Tolerances};
use crate::problem::Problem;

use super::bands::Bands;
use super::key::Key;

/// What every build of a journal is judged by: bands, tolerances and the wearer's wrist.
#[derive(Clone, Debug)]
pub struct Standards {
    bands: Bands,
    tolerances: Tolerances,
    wrist: Option<Dimension>,
    key: Key,
}

impl Standards {
    /// The built-in ones, changed as journal.yaml says; what it says wrongly is a problem.
    pub fn of(journal: &Journal) -> (Standards, Vec<Problem>) {
        let (bands, problems) = Bands::of(journal);
        let tolerances = journal.settings.tolerances.clone();
        let wrist = journal.settings.wrist.as_ref().map(|wrist| wrist.value);
        let key = Key::of(&(&bands, &tolerances, wrist));
        (Standards { bands, tolerances, wrist, key }, problems)
    }

    /// The bands in force.
    pub fn bands(&self) -> &Bands {
        &self.bands
    }

    /// The tolerances of sizes written without one.
    pub fn tolerances(&self) -> &Tolerances {
        &self.tolerances
    }

    /// The circumference of the wearer's wrist.
    pub fn wrist(&self) -> Option<Dimension> {
        self.wrist
    }
}

/// All builds share them: in a build's key they stand by their own.
impl Serialize for Standards {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        self.key.serialize(to)
    }
}
