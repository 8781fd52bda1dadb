//! `schema`: JSON Schemas of the journal's files, for editors.

use clap::Args;
use serde_json::{Map, Value};

use crate::journal::schema::{Document, schema};
use crate::problem::did_you_mean;

use super::{Exit, Streams};

#[derive(Args, Debug)]
pub(super) struct SchemaArgs {
    /// journal, parts, calibres, build or entry [default: all, each under its name]
    document: Option<String>,
}

pub(super) fn run(asked: &SchemaArgs, streams: &mut Streams<'_>) -> anyhow::Result<Exit> {
    let told = match &asked.document {
        None => {
            let all = Document::ALL.into_iter().map(|one| (one.name().to_owned(), schema(one)));
            Value::Object(all.collect::<Map<String, Value>>())
        }
        Some(name) => {
            let Some(document) = Document::ALL.into_iter().find(|one| one.name() == name) else {
                let near = did_you_mean(name, Document::ALL.map(Document::name));
                anyhow::bail!(
                    "there is no schema `{name}`{near}: name journal, parts, calibres, build or entry"
                );
            };
            schema(document)
        }
    };
    serde_json::to_writer_pretty(&mut *streams.out, &told)?;
    writeln!(streams.out)?;
    Ok(Exit::Good)
}
