//! The one table of kinds and their fields: reading, nearest words, spreadsheets and schemas follow it.

mod constructors;
mod table;

use serde::{Serialize, Serializer};

use crate::measure::Quantity;

pub use table::{FROM, KINDS, ORIGINS, PART, SHEET};

/// A kind of part.
pub struct Kind {
    /// The word people write.
    pub name: &'static str,
    /// What it is.
    pub doc: &'static str,
    /// Its own fields, beside [`PART`].
    pub fields: &'static [Field],
    /// Further fields that it may give again: a movement those of its sheet. Own ones come first.
    pub also: &'static [Field],
}

impl Serialize for Kind {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(self.name)
    }
}

/// A field of a kind, or of a group of fields.
#[derive(Debug)]
pub struct Field {
    /// The key people write.
    pub name: &'static str,
    /// What may stand there.
    pub shape: FieldShape,
    /// What it is and where it is measured.
    pub doc: &'static str,
}

/// What may stand at a field.
#[derive(Clone, Copy, Debug)]
pub enum FieldShape {
    /// A figure with tolerance and origin.
    Size(Quantity),
    /// Free text.
    Text,
    /// One of these words.
    Word(&'static [&'static str]),
    /// yes or no.
    Flag,
    /// A date, 2026-01-17.
    Date,
    /// Fields of its own.
    Group(&'static [Field]),
    /// A list of groups.
    Items(&'static [Field]),
    /// A list of texts, or one.
    Texts,
    /// One of these words, or fields of its own.
    WordOr(&'static [&'static str], &'static [Field]),
    /// Read by code of its own; the text says what it is for the schema.
    Raw(&'static str),
}

impl std::fmt::Debug for Kind {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        // The table is the program's: the name tells which it is.
        f.debug_tuple("Kind").field(&self.name).finish()
    }
}

impl Kind {
    /// The kind of that name.
    pub fn of(name: &str) -> Option<&'static Kind> {
        KINDS.iter().find(|kind| kind.name == name)
    }

    /// The field at a path such as `rehaut.bottom`, groups followed by points; list items are left out.
    pub fn field(&self, path: &str) -> Option<&'static Field> {
        find(self.fields, path).or_else(|| find(self.also, path))
    }

    /// Every size of the kind that stands alone (not within a list), as paths.
    pub fn sizes(&self) -> Vec<(String, &'static Field)> {
        let mut out = Vec::new();
        collect("", self.fields, &mut out);
        collect("", self.also, &mut out);
        out
    }
}

/// The field at a path among `fields`.
pub fn find(fields: &'static [Field], path: &str) -> Option<&'static Field> {
    let (head, rest) = path.split_once('.').map_or((path, None), |(head, rest)| (head, Some(rest)));
    let field = fields.iter().find(|field| field.name == head)?;
    match (rest, field.shape) {
        (None, _) => Some(field),
        (Some(rest), FieldShape::Group(inner) | FieldShape::WordOr(_, inner)) => find(inner, rest),
        // `feet.1.radius`: the number is the item's.
        (Some(rest), FieldShape::Items(inner)) => match rest.split_once('.') {
            Some((number, rest)) if number.bytes().all(|byte| byte.is_ascii_digit()) => find(inner, rest),
            _ => find(inner, rest),
        },
        _ => None,
    }
}

fn collect(prefix: &str, fields: &'static [Field], out: &mut Vec<(String, &'static Field)>) {
    for field in fields {
        let path = if prefix.is_empty() { field.name.to_owned() } else { format!("{prefix}.{}", field.name) };
        match field.shape {
            FieldShape::Size(_) => out.push((path, field)),
            FieldShape::Group(inner) | FieldShape::WordOr(_, inner) => collect(&path, inner, out),
            _ => {}
        }
    }
}
