//! The bin into a table.

use std::collections::BTreeSet;

use crate::journal::fields::{Field, FieldShape, KINDS, PART};
use crate::journal::{Content, Journal, Spec, yaml};
use crate::text::Span;

use super::cell::{guarded, quoted};

/// The parts of a journal as a table; columns stand in the order of the table of fields.
pub fn write(journal: &Journal) -> anyhow::Result<String> {
    let used: BTreeSet<&str> =
        journal.parts.values().flat_map(|part| part.own.iter().map(|(path, _)| path)).collect();
    let mut columns = vec!["id".to_owned(), "kind".to_owned()];
    for fields in std::iter::once(PART).chain(KINDS.iter().flat_map(|kind| [kind.fields, kind.also])) {
        paths("", fields, &mut |path| {
            if used.contains(path) && !columns.iter().any(|column| column == path) {
                columns.push(path.to_owned());
            }
        });
    }
    let mut table = csv::Writer::from_writer(Vec::new());
    table.write_record(&columns)?;
    for part in journal.parts.values() {
        let cells = columns.iter().map(|column| match column.as_str() {
            "id" => guarded(&part.id.value),
            "kind" => part.kind.name.to_owned(),
            path => guarded(
                &part.own.get(path).map(|found| text(journal, &found.value, found.span)).unwrap_or_default(),
            ),
        });
        table.write_record(cells)?;
    }
    Ok(String::from_utf8(table.into_inner()?)?)
}

/// Every path at which something may stand, groups followed.
fn paths(prefix: &str, fields: &'static [Field], told: &mut dyn FnMut(&str)) {
    for field in fields {
        let path = if prefix.is_empty() { field.name.to_owned() } else { format!("{prefix}.{}", field.name) };
        match field.shape {
            FieldShape::Group(inner) => paths(&path, inner, told),
            FieldShape::WordOr(_, inner) => {
                told(&path);
                paths(&path, inner, told);
            }
            _ => told(&path),
        }
    }
}

/// A field's content as it was written.
fn text(journal: &Journal, content: &Content, span: Span) -> String {
    match content {
        Content::Size(_) | Content::Flag(_) | Content::Date(_) => written(journal, span),
        Content::Text(text) => text.clone(),
        Content::Texts(texts) => {
            let texts: Vec<String> = texts.iter().map(|text| quoted(&text.value)).collect();
            format!("[{}]", texts.join(", "))
        }
        Content::Items(items) => {
            let items: Vec<String> = items.iter().map(|item| group(journal, item)).collect();
            format!("[{}]", items.join(", "))
        }
        Content::Raw(_) => String::new(),
    }
}

fn group(journal: &Journal, item: &Spec) -> String {
    let fields: Vec<String> = item
        .iter()
        .map(|(path, found)| {
            let text = text(journal, &found.value, found.span);
            let in_quotes =
                matches!(found.value, Content::Text(_)) || text.contains(['\'', '"', ',', '{', '[']);
            match in_quotes {
                true => format!("{path}: {}", quoted(&text)),
                false => format!("{path}: {text}"),
            }
        })
        .collect();
    format!("{{ {} }}", fields.join(", "))
}

/// A scalar as it stands in its file, without the quotes around it.
fn written(journal: &Journal, span: Span) -> String {
    let text = journal.files.cut(span).trim();
    if !text.starts_with(['"', '\'']) {
        return text.to_owned();
    }
    let read = yaml::parse(&journal.files, span.file, span.start as usize, text);
    read.ok().and_then(|node| node.text().map(str::to_owned)).unwrap_or_else(|| text.to_owned())
}
