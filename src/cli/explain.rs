//! `explain`: what a check computes, and where its band comes from.

use anyhow::bail;
use clap::Args;

use crate::fit::bands::{Bands, OPEN};
use crate::fit::check::Check;
use crate::fit::checks;
use crate::problem::did_you_mean;
use crate::report::text::band_words;

use super::{Outcome, Streams, Where, journal};

#[derive(Args, Debug)]
pub(super) struct Explain {
    /// The check; a list of all if none is named
    check: Option<String>,
    #[command(flatten)]
    place: Where,
}

pub(super) fn run(explain: &Explain, streams: &mut Streams<'_>) -> anyhow::Result<Outcome> {
    // The bands are the journal's where there is one, for it may have changed them.
    let bands = match explain.place.journal.join("journal.yaml").is_file() {
        true => Bands::of(&journal::read(&explain.place.journal)?.0).0,
        false => Bands::built_in(),
    };
    let Some(id) = &explain.check else {
        for check in checks::ALL {
            writeln!(streams.out, "{:<22} {}", check.id, check.asks)?;
        }
        return Ok(Outcome::Good);
    };
    let Some(check) = checks::of(id) else {
        let near = did_you_mean(id, checks::ALL.iter().map(|check| check.id));
        bail!("there is no check `{id}`{near} (`endshake explain` lists them)");
    };
    write!(streams.out, "{}", page(check, &bands))?;
    Ok(Outcome::Good)
}

fn page(check: &Check, bands: &Bands) -> String {
    let mut out = format!("{}: {}\n\n{}\n", check.id, check.title, check.asks);
    let mut part = |title: &str, text: &str| {
        if !text.is_empty() {
            out.push_str(&format!("\n{title}\n  {text}\n"));
        }
    };
    part("What it computes", check.formula);
    let rows = bands.all(check.id).iter().map(|advised| {
        let variant =
            if advised.variant.is_empty() { String::new() } else { format!("{}: ", advised.variant) };
        let contact = match advised.contact {
            contact if contact == OPEN => "nothing fouls".to_owned(),
            contact => format!("fouls beyond {}", band_words(contact)),
        };
        let unit = if check.unit.is_empty() { String::new() } else { format!(" {}", check.unit) };
        format!("{variant}{}{unit}; {contact}. {}", band_words(advised.band), advised.source)
    });
    part("What is advised", &rows.collect::<Vec<_>>().join("\n  "));
    part("Where it is measured", check.measured);
    part("What goes wrong otherwise", check.ignored);
    part("What people do", check.remedy);
    out
}
