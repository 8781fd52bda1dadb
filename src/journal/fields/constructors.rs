//! Short ways to write a line of the table.

use crate::measure::Quantity;

use super::{Field, FieldShape, Kind};

pub(super) const fn kind(name: &'static str, doc: &'static str, fields: &'static [Field]) -> Kind {
    Kind { name, doc, fields, also: &[] }
}

pub(super) const fn field(name: &'static str, shape: FieldShape, doc: &'static str) -> Field {
    Field { name, shape, doc }
}

pub(super) const fn length(name: &'static str, doc: &'static str) -> Field {
    field(name, FieldShape::Size(Quantity::Length), doc)
}

pub(super) const fn height(name: &'static str, doc: &'static str) -> Field {
    field(name, FieldShape::Size(Quantity::Height), doc)
}

pub(super) const fn nominal(name: &'static str, doc: &'static str) -> Field {
    field(name, FieldShape::Size(Quantity::Nominal), doc)
}

pub(super) const fn clock(name: &'static str, doc: &'static str) -> Field {
    field(name, FieldShape::Size(Quantity::Clock), doc)
}

pub(super) const fn number(name: &'static str, doc: &'static str) -> Field {
    field(name, FieldShape::Size(Quantity::Number), doc)
}

pub(super) const fn group(name: &'static str, fields: &'static [Field], doc: &'static str) -> Field {
    field(name, FieldShape::Group(fields), doc)
}

pub(super) const fn items(name: &'static str, fields: &'static [Field], doc: &'static str) -> Field {
    field(name, FieldShape::Items(fields), doc)
}

pub(super) const fn word(name: &'static str, words: &'static [&'static str], doc: &'static str) -> Field {
    field(name, FieldShape::Word(words), doc)
}

pub(super) const fn flag(name: &'static str, doc: &'static str) -> Field {
    field(name, FieldShape::Flag, doc)
}

pub(super) const fn text(name: &'static str, doc: &'static str) -> Field {
    field(name, FieldShape::Text, doc)
}
