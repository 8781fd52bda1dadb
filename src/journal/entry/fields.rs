//! The fields of an entry and of what it lists.

use crate::journal::fields::{Field, FieldShape};
use crate::measure::Quantity;

/// The fields of an entry.
pub const ENTRY: &[Field] = &[
    Field { name: "date", shape: FieldShape::Date, doc: "the day" },
    Field { name: "time", shape: FieldShape::Text, doc: "20:00, where the order within a day matters" },
    Field { name: "title", shape: FieldShape::Text, doc: "the heading" },
    Field {
        name: "had",
        shape: FieldShape::Texts,
        doc: "parts that came that day, where the part says no date",
    },
    Field { name: "removed", shape: FieldShape::Texts, doc: "slots that were emptied" },
    Field { name: "fitted", shape: FieldShape::Raw("slots, or slot: part"), doc: "slots that were filled" },
    Field { name: "measured", shape: FieldShape::Raw("part or slot: sizes"), doc: "what was measured" },
    Field { name: "altered", shape: FieldShape::Raw("alterations"), doc: "what was altered" },
    Field { name: "left", shape: FieldShape::Items(LEFT), doc: "parts that left" },
    Field { name: "opened", shape: FieldShape::Flag, doc: "whether the case was opened" },
    Field { name: "timing", shape: FieldShape::Items(TIMING), doc: "readings of the timing machine" },
    Field { name: "pressure", shape: FieldShape::Items(PRESSURE), doc: "pressure tests" },
    Field { name: "tools", shape: FieldShape::Texts, doc: "tools that were used" },
    Field { name: "minutes", shape: FieldShape::Size(Quantity::Number), doc: "time at the bench" },
    Field {
        name: "spent",
        shape: FieldShape::Size(Quantity::Number),
        doc: "money, in the journal's currency",
    },
    Field { name: "photos", shape: FieldShape::Raw("photos"), doc: "photos of that day" },
];

/// The ways of altering a part.
pub const ALTERATIONS: &[&str] = &[
    "turned down",
    "feet cut",
    "bore opened",
    "bore closed",
    "bent",
    "relumed",
    "refinished",
    "drilled",
    "other",
];

/// The fields of an alteration.
pub const ALTERED: &[Field] = &[
    Field { name: "part", shape: FieldShape::Text, doc: "its id, or its slot" },
    Field { name: "how", shape: FieldShape::Word(ALTERATIONS), doc: "what was done" },
    Field { name: "to", shape: FieldShape::Raw("sizes"), doc: "its sizes since" },
    Field { name: "by", shape: FieldShape::Text, doc: "with what" },
    Field { name: "as", shape: FieldShape::Text, doc: "the new part's id, where one of a lot was altered" },
];

/// What may stand beside the sizes of something measured.
pub const MEASURED: &[Field] = &[Field {
    name: "as",
    shape: FieldShape::Text,
    doc: "the new part's id, where one of a lot was measured",
}];

/// The fields of a part that left.
pub const LEFT: &[Field] = &[
    Field { name: "part", shape: FieldShape::Text, doc: "its id" },
    Field {
        name: "how",
        shape: FieldShape::Word(&["sold", "lost", "broken", "given", "used up"]),
        doc: "how it left",
    },
    Field {
        name: "count",
        shape: FieldShape::Size(Quantity::Number),
        doc: "how many of a lot; one if left out",
    },
];

/// The fields of a timing reading.
pub const TIMING: &[Field] = &[
    Field { name: "at", shape: FieldShape::Text, doc: "2026-01-20 20:00" },
    Field {
        name: "position",
        shape: FieldShape::Word(&["CH", "FH", "3H", "6H", "9H", "12H"]),
        doc: "ISO 3158 code",
    },
    Field { name: "rate", shape: FieldShape::Size(Quantity::Rate), doc: "seconds a day" },
    Field { name: "amplitude", shape: FieldShape::Size(Quantity::Turn), doc: "degrees" },
    Field {
        name: "beat_error",
        shape: FieldShape::Size(Quantity::Beat),
        doc: "half the difference of two swings, ms",
    },
    Field { name: "wound", shape: FieldShape::Text, doc: "full, half, or hours since full such as 24 h" },
    Field { name: "lift_angle", shape: FieldShape::Size(Quantity::Turn), doc: "what the machine was set to" },
    Field { name: "temperature", shape: FieldShape::Size(Quantity::Temperature), doc: "degrees Celsius" },
];

/// The fields of a pressure test.
pub const PRESSURE: &[Field] = &[
    Field { name: "bar", shape: FieldShape::Size(Quantity::Pressure), doc: "overpressure" },
    Field { name: "method", shape: FieldShape::Word(&["dry", "wet"]), doc: "in air, or in water" },
    Field { name: "result", shape: FieldShape::Word(&["held", "failed"]), doc: "whether it held" },
];

/// The fields of a photo.
pub const PHOTO: &[Field] = &[
    Field { name: "file", shape: FieldShape::Text, doc: "relative to the build's folder" },
    Field { name: "alt", shape: FieldShape::Text, doc: "what it shows, for those who cannot see it" },
    Field { name: "caption", shape: FieldShape::Text, doc: "what is said below it" },
];
