//! How a size is known, and how far off it may then be.

use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

use super::Quantity;

/// How a size is known, from surest to least sure.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Deserialize, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Origin {
    /// Pin gauge, micrometer, height gauge.
    Gauged,
    /// A good digital calliper.
    Measured,
    /// A maker's drawing.
    Drawn,
    /// What a seller or a box says.
    Stated,
    /// A guess.
    Assumed,
}

impl Origin {
    /// All of them, from surest to least sure.
    pub const ALL: [Origin; 5] =
        [Origin::Gauged, Origin::Measured, Origin::Drawn, Origin::Stated, Origin::Assumed];

    /// The word people write.
    pub fn word(self) -> &'static str {
        match self {
            Origin::Gauged => "gauged",
            Origin::Measured => "measured",
            Origin::Drawn => "drawn",
            Origin::Stated => "stated",
            Origin::Assumed => "assumed",
        }
    }

    /// The origin of that word.
    pub fn of(word: &str) -> Option<Origin> {
        Origin::ALL.into_iter().find(|origin| origin.word() == word)
    }

    /// Whether a size so known may lie anywhere within its tolerance with equal chance.
    ///
    /// What was measured scatters about its value; what was only said or guessed does not.
    pub fn uniform(self) -> bool {
        matches!(self, Origin::Stated | Origin::Assumed)
    }
}

/// The tolerance of a size that was written without one, by its origin and size.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Tolerances {
    rows: [OriginTolerances; 5],
}

/// One origin's tolerances: mm by size, degrees for angles.
#[derive(Clone, PartialEq, Debug, Deserialize, Serialize)]
pub struct OriginTolerances {
    /// Up to 0.5 mm, to 6, to 30, and above.
    pub lengths: [f64; 4],
    /// Angles, degrees.
    pub angles: f64,
    /// Where the figures come from.
    pub source: String,
}

/// The upper ends, in mm, of the size ranges of [`OriginTolerances::lengths`]; each belongs to its range.
pub const SIZES: [f64; 3] = [0.5, 6.0, 30.0];

impl Default for Tolerances {
    fn default() -> Self {
        BUILT_IN.clone()
    }
}

impl Tolerances {
    /// The row of an origin.
    pub fn row(&self, origin: Origin) -> &OriginTolerances {
        &self.rows[origin as usize]
    }

    /// The row of an origin, to be changed by journal.yaml.
    pub fn row_mut(&mut self, origin: Origin) -> &mut OriginTolerances {
        &mut self.rows[origin as usize]
    }

    /// The tolerance, plus as much as minus, of a size that was written without one.
    pub fn of(&self, origin: Origin, quantity: Quantity, value: f64) -> f64 {
        let row = self.row(origin);
        match quantity {
            Quantity::Length | Quantity::Height => {
                let range = SIZES.iter().take_while(|end| value.abs() > **end).count();
                row.lengths[range]
            }
            Quantity::Clock => row.angles,
            _ => 0.0,
        }
    }
}

static BUILT_IN: LazyLock<Tolerances> = LazyLock::new(|| {
    #[derive(Deserialize)]
    struct ToleranceTable {
        gauged: OriginTolerances,
        measured: OriginTolerances,
        drawn: OriginTolerances,
        stated: OriginTolerances,
        assumed: OriginTolerances,
    }
    let table: ToleranceTable = serde_yaml::from_str(include_str!("data/tolerances.yaml"))
        .expect("the built-in table is read by every test");
    Tolerances { rows: [table.gauged, table.measured, table.drawn, table.stated, table.assumed] }
});

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_end_of_a_range_belongs_to_it() {
        let table = Tolerances::default();
        let stated = |value| table.of(Origin::Stated, Quantity::Length, value);
        assert_eq!(
            [stated(0.5), stated(0.51), stated(6.0), stated(30.0), stated(30.01)],
            [0.02, 0.05, 0.05, 0.10, 0.15]
        );
        assert_eq!(table.of(Origin::Measured, Quantity::Clock, 90.0), 0.25);
        assert_eq!(table.of(Origin::Assumed, Quantity::Nominal, 1.5), 0.0);
    }

    // ISO 2768-1:1989, table 1 (linear sizes): class f is 0.05 to 6 mm, 0.1 to 30, 0.15 to 120;
    // class m is 0.1, 0.2, 0.3. Values from memory of the table.
    #[test]
    fn stated_and_assumed_follow_iso_2768() {
        let table = Tolerances::default();
        assert_eq!(table.row(Origin::Stated).lengths[1..], [0.05, 0.10, 0.15]);
        assert_eq!(table.row(Origin::Assumed).lengths[1..], [0.10, 0.20, 0.30]);
    }
}
