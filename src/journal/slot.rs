//! The places that parts take in a build.

use serde::Serialize;

/// A place that a part takes in a build, in the order in which a page lists them.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize)]
pub enum Slot {
    /// The watch case.
    Case,
    /// A loose bezel.
    Bezel,
    /// The bezel's insert.
    Insert,
    /// The crystal.
    Crystal,
    /// Its gasket.
    CrystalGasket,
    /// A loose chapter ring.
    ChapterRing,
    /// The dial.
    Dial,
    /// A ring around a dial smaller than its seat.
    DialRing,
    /// Between movement and dial.
    Shim,
    /// The hour hand.
    Hour,
    /// The minute hand.
    Minute,
    /// The seconds hand, at the centre or small.
    Seconds,
    /// The hand of a second time zone.
    SecondTime,
    /// The movement.
    Movement,
    /// The movement ring.
    Ring,
    /// The stem.
    Stem,
    /// The crown.
    Crown,
    /// A back of its own.
    Back,
    /// The back's gasket.
    BackGasket,
    /// The strap.
    Strap,
}

impl Slot {
    /// All of them, in order.
    pub const ALL: [Slot; 20] = [
        Slot::Case,
        Slot::Bezel,
        Slot::Insert,
        Slot::Crystal,
        Slot::CrystalGasket,
        Slot::ChapterRing,
        Slot::Dial,
        Slot::DialRing,
        Slot::Shim,
        Slot::Hour,
        Slot::Minute,
        Slot::Seconds,
        Slot::SecondTime,
        Slot::Movement,
        Slot::Ring,
        Slot::Stem,
        Slot::Crown,
        Slot::Back,
        Slot::BackGasket,
        Slot::Strap,
    ];

    /// The hands, lowest first in most watches.
    pub const HANDS: [Slot; 4] = [Slot::Hour, Slot::SecondTime, Slot::Minute, Slot::Seconds];

    /// The word people write, and the first word of its dimensions' names.
    pub fn name(self) -> &'static str {
        match self {
            Slot::Case => "case",
            Slot::Bezel => "bezel",
            Slot::Insert => "insert",
            Slot::Crystal => "crystal",
            Slot::CrystalGasket => "crystal_gasket",
            Slot::ChapterRing => "chapter_ring",
            Slot::Dial => "dial",
            Slot::DialRing => "dial_ring",
            Slot::Shim => "shim",
            Slot::Hour => "hour",
            Slot::Minute => "minute",
            Slot::Seconds => "seconds",
            Slot::SecondTime => "second_time",
            Slot::Movement => "movement",
            Slot::Ring => "ring",
            Slot::Stem => "stem",
            Slot::Crown => "crown",
            Slot::Back => "back",
            Slot::BackGasket => "back_gasket",
            Slot::Strap => "strap",
        }
    }

    /// The slot of that name.
    pub fn of(name: &str) -> Option<Slot> {
        // Every dimension of every formula is looked up by its slot: written out, it is a jump.
        Some(match name {
            "case" => Slot::Case,
            "bezel" => Slot::Bezel,
            "insert" => Slot::Insert,
            "crystal" => Slot::Crystal,
            "crystal_gasket" => Slot::CrystalGasket,
            "chapter_ring" => Slot::ChapterRing,
            "dial" => Slot::Dial,
            "dial_ring" => Slot::DialRing,
            "shim" => Slot::Shim,
            "hour" => Slot::Hour,
            "minute" => Slot::Minute,
            "seconds" => Slot::Seconds,
            "second_time" => Slot::SecondTime,
            "movement" => Slot::Movement,
            "ring" => Slot::Ring,
            "stem" => Slot::Stem,
            "crown" => Slot::Crown,
            "back" => Slot::Back,
            "back_gasket" => Slot::BackGasket,
            "strap" => Slot::Strap,
            _ => return None,
        })
    }

    /// The kind of part it takes.
    pub fn kind(self) -> &'static str {
        match self {
            Slot::Hour | Slot::Minute | Slot::Seconds | Slot::SecondTime => "hand",
            other => other.name(),
        }
    }

    /// How it is called in a sentence.
    pub fn words(self) -> &'static str {
        match self {
            Slot::CrystalGasket => "crystal gasket",
            Slot::ChapterRing => "chapter ring",
            Slot::DialRing => "dial ring",
            Slot::Hour => "hour hand",
            Slot::Minute => "minute hand",
            Slot::Seconds => "seconds hand",
            Slot::SecondTime => "second time hand",
            Slot::Ring => "movement ring",
            Slot::BackGasket => "back gasket",
            other => other.name(),
        }
    }

    /// All names.
    pub fn names() -> impl Iterator<Item = &'static str> {
        Slot::ALL.into_iter().map(Slot::name)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_lead_back_to_their_slots() {
        for slot in Slot::ALL {
            assert_eq!(Slot::of(slot.name()), Some(slot));
        }
        assert_eq!(Slot::of("hand"), None);
    }
}
