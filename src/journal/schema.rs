//! JSON Schemas of the journal's files, out of the one table of kinds and fields, for editors.
//!
//! They say what can be said of a file alone: keys, words and the way sizes are written. What lies
//! between files, such as an id that no part has, only reading the journal finds.

use serde_json::{Map, Value, json};

use crate::measure::Quantity;

use super::build::BUILD;
use super::entry::{ALTERED, ENTRY, MEASURED, PHOTO};
use super::fields::{Field, FieldShape, KINDS, Kind, ORIGINS, PART, SHEET};
use super::settings::SETTINGS;
use super::slot::Slot;

/// A kind of file that has a schema.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Document {
    /// journal.yaml.
    Journal,
    /// parts/*.yaml.
    Parts,
    /// calibres/*.yaml.
    Calibres,
    /// The front matter of build.md.
    Build,
    /// The front matter of an entry.
    Entry,
}

impl Document {
    /// All of them.
    pub const ALL: [Document; 5] =
        [Document::Journal, Document::Parts, Document::Calibres, Document::Build, Document::Entry];

    /// The word for it on the command line.
    pub fn name(self) -> &'static str {
        match self {
            Document::Journal => "journal",
            Document::Parts => "parts",
            Document::Calibres => "calibres",
            Document::Build => "build",
            Document::Entry => "entry",
        }
    }

    fn title(self) -> &'static str {
        match self {
            Document::Journal => "journal.yaml of an Endshake journal",
            Document::Parts => "parts/*.yaml: a map from id to part",
            Document::Calibres => "calibres/*.yaml: a map from id to calibre sheet",
            Document::Build => "front matter of builds/*/build.md",
            Document::Entry => "front matter of a build's entries",
        }
    }
}

/// The schema of a kind of file, draft 2020-12.
pub fn schema(document: Document) -> Value {
    let mut schema = match document {
        Document::Journal => object(&[SETTINGS], &["title"]),
        Document::Build => object(&[BUILD], &["title"]),
        Document::Entry => object(&[ENTRY], &["date"]),
        Document::Calibres => json!({ "type": "object", "additionalProperties": object(&[SHEET], &[]) }),
        Document::Parts => json!({ "type": "object", "additionalProperties": part(None) }),
    };
    if matches!(document, Document::Parts | Document::Build) {
        let kinds = KINDS.iter().map(|kind| (kind.name.to_owned(), of_kind(kind)));
        schema["$defs"] = Value::Object(kinds.collect());
    }
    schema["$schema"] = json!("https://json-schema.org/draft/2020-12/schema");
    schema["title"] = json!(document.title());
    schema
}

/// A part: of the kind that it names, or of the kind that its slot takes.
fn part(slot: Option<Slot>) -> Value {
    let reference = |kind: &Kind| format!("#/$defs/{}", kind.name);
    if let Some(kind) = slot.and_then(|slot| Kind::of(slot.kind())) {
        return json!({ "$ref": reference(kind) });
    }
    let names: Vec<&str> = KINDS.iter().map(|kind| kind.name).collect();
    // One condition a kind: an editor then tells of the fields of that kind only.
    let branches = KINDS.iter().map(|kind| {
        json!({
            "if": { "properties": { "kind": { "const": kind.name } }, "required": ["kind"] },
            "then": { "$ref": reference(kind) },
        })
    });
    json!({
        "type": "object",
        "properties": { "kind": { "enum": names } },
        "anyOf": [{ "required": ["kind"] }, { "required": ["like"] }],
        "allOf": branches.collect::<Vec<_>>(),
    })
}

fn of_kind(kind: &Kind) -> Value {
    let mut schema = object(&[kind.fields, kind.also, PART], &[]);
    schema["properties"]["kind"] = json!({ "const": kind.name, "description": kind.doc });
    schema
}

/// An object of these fields; of two of one name the first counts.
fn object(tables: &[&'static [Field]], required: &[&str]) -> Value {
    let mut properties = Map::new();
    for field in tables.iter().flat_map(|table| table.iter()) {
        if !properties.contains_key(field.name) {
            let mut schema = of_field(field);
            schema["description"] = json!(field.doc);
            properties.insert(field.name.to_owned(), schema);
        }
    }
    json!({
        "type": "object",
        "properties": properties,
        "required": required,
        "additionalProperties": false,
    })
}

/// What may stand at a field. A key with nothing behind it is a reminder, and always allowed.
fn of_field(field: &Field) -> Value {
    let schema = match field.shape {
        FieldShape::Size(quantity) => size(quantity),
        FieldShape::Text => json!({ "type": ["string", "number", "boolean"] }),
        FieldShape::Word(words) => word(words),
        FieldShape::Flag => word(&["yes", "no", "true", "false", "on", "off"]),
        FieldShape::Date => json!({ "type": "string", "pattern": r"^\d{4}-\d{2}-\d{2}$" }),
        FieldShape::Group(fields) => object(&[fields], &[]),
        FieldShape::Items(fields) => json!({ "type": "array", "items": object(&[fields], &[]) }),
        FieldShape::Texts => texts(),
        FieldShape::WordOr(words, fields) => json!({ "anyOf": [word(words), object(&[fields], &[])] }),
        FieldShape::Raw(_) => raw(field.name),
    };
    json!({ "anyOf": [schema, { "type": "null" }] })
}

fn texts() -> Value {
    json!({ "anyOf": [{ "type": "string" }, { "type": "array", "items": { "type": ["string", "number"] } }] })
}

/// One of these words. YAML of old turns yes and no into truths before a schema sees them.
fn word(words: &[&str]) -> Value {
    let mut values: Vec<Value> = words.iter().map(|word| json!(word)).collect();
    let truths = [(true, ["yes", "true", "on"]), (false, ["no", "false", "off"])];
    for (truth, of) in truths {
        if of.iter().any(|word| words.contains(word)) {
            values.push(json!(truth));
        }
    }
    json!({ "enum": values })
}

/// The fields that code of its own reads, by their name.
fn raw(name: &str) -> Value {
    match name {
        "parts" => {
            let filled = |slot: Slot| json!({ "anyOf": [{ "type": ["string", "null"] }, part(Some(slot))] });
            let slots = Slot::ALL.into_iter().map(|slot| (slot.name().to_owned(), filled(slot)));
            let slots: Map<String, Value> = slots.collect();
            json!({ "type": "object", "properties": slots, "additionalProperties": false })
        }
        "accept" => json!({ "type": "object", "additionalProperties": { "type": "string", "minLength": 1 } }),
        "fitted" => {
            let slot = json!({ "enum": Slot::names().collect::<Vec<_>>() });
            json!({ "anyOf": [
                slot,
                { "type": "array", "items": slot },
                { "type": "object", "propertyNames": slot, "additionalProperties": { "type": ["string", "null"] } },
            ] })
        }
        "measured" => json!({ "type": "object", "additionalProperties": sizes(MEASURED) }),
        "altered" => {
            let one = object(&[ALTERED], &["part", "how"]);
            json!({ "anyOf": [one, { "type": "array", "items": one }] })
        }
        "to" => sizes(&[]),
        "photos" => {
            let one = json!({ "anyOf": [{ "type": "string" }, object(&[PHOTO], &["file"])] });
            json!({ "type": "array", "items": one })
        }
        "tolerances" => {
            let row = json!({ "type": ["number", "array", "object"] });
            let rows: Map<String, Value> =
                ORIGINS.iter().map(|origin| ((*origin).to_owned(), row.clone())).collect();
            json!({ "type": "object", "properties": rows, "additionalProperties": false })
        }
        "bands" => json!({ "type": "object", "additionalProperties": { "type": ["string", "object"] } }),
        _ => json!({}),
    }
}

/// Sizes of a part whose kind stands elsewhere: any field that some kind has.
fn sizes(more: &[Field]) -> Value {
    let fields = KINDS.iter().flat_map(|kind| kind.fields.iter().chain(kind.also));
    let mut names: Vec<&str> = fields.chain(more).map(|field| field.name).collect();
    names.sort_unstable();
    names.dedup();
    json!({ "type": ["object", "null"], "propertyNames": { "enum": names } })
}

/// A size as people write it.
fn size(quantity: Quantity) -> Value {
    let pattern = json!({ "type": "string", "pattern": pattern(quantity) });
    match quantity {
        // A bare figure does not say which angle it is.
        Quantity::Clock => pattern,
        quantity if quantity.signed() => json!({ "anyOf": [{ "type": "number" }, pattern] }),
        _ => json!({ "anyOf": [{ "type": "number", "minimum": 0 }, pattern] }),
    }
}

/// A figure, its unit, a tolerance or a class, and how it is known.
fn pattern(quantity: Quantity) -> String {
    let number = r"[+\-\u2212]?\d+(\.\d+)?";
    let escaped = quantity.units().iter().map(|(unit, _)| unit.replace('\u{b0}', r"\u00b0"));
    let units = escaped.collect::<Vec<_>>().join("|");
    let unit = if units.is_empty() { String::new() } else { format!(r"(\s*({units}))") };
    let maybe = if unit.is_empty() { String::new() } else { format!("{unit}?") };
    let tolerance = format!(
        r"(\s*(\u00b1|\+-|\+/-)\s*{number}{maybe}|\s+[+\-\u2212]\d+(\.\d+)?{maybe}\s+[+\-\u2212]\d+(\.\d+)?{maybe})"
    );
    let class = r"(\s+[A-Za-z]{1,2}\d{1,2})";
    let origin = format!(r"(\s*({}))", ORIGINS.join("|"));
    match quantity {
        Quantity::Clock => {
            format!(r"^~?\s*(\d{{1,2}}h(\d\d)?|{number}{unit}){tolerance}?{origin}?$")
        }
        Quantity::Length | Quantity::Height => {
            format!(r"^~?\s*{number}(\s*\.\.\s*{number})?{maybe}({tolerance}|{class})?{origin}?$")
        }
        _ => format!(r"^~?\s*{number}(\s*\.\.\s*{number})?{maybe}{tolerance}?{origin}?$"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_and_field_is_there() {
        let parts = schema(Document::Parts);
        for kind in KINDS {
            let properties = &parts["$defs"][kind.name]["properties"];
            for field in kind.fields.iter().chain(kind.also).chain(PART) {
                assert!(properties.get(field.name).is_some(), "{} {}", kind.name, field.name);
            }
        }
        let build = schema(Document::Build);
        let slots = &build["properties"]["parts"]["anyOf"][0]["properties"];
        assert!(Slot::ALL.into_iter().all(|slot| slots.get(slot.name()).is_some()));
        for document in Document::ALL {
            assert_eq!(schema(document)["$schema"], "https://json-schema.org/draft/2020-12/schema");
        }
    }

    #[test]
    fn fields_read_by_code_of_their_own_are_described() {
        for field in [BUILD, ENTRY, SETTINGS, ALTERED].into_iter().flatten() {
            if matches!(field.shape, FieldShape::Raw(_)) {
                assert_ne!(raw(field.name), json!({}), "{}", field.name);
            }
        }
    }
}
