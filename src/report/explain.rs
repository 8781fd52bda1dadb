//! A check explained in a terminal.

use textwrap::Options;

use crate::fit::bands::{Advised, Bands};
use crate::fit::check::Check;
use crate::measure::figure;

use super::text::band_words;

/// Characters in a line of prose.
const WIDTH: usize = 92;

/// A check in the list of all: its name and what it asks.
pub fn line(check: &Check) -> String {
    let name = format!("{:<22} ", check.id);
    let indent = " ".repeat(name.len());
    let options = Options::new(WIDTH).initial_indent(&name).subsequent_indent(&indent);
    textwrap::fill(check.asks, options) + "\n"
}

/// All about a check, with the bands in force.
pub fn page(check: &Check, bands: &Bands) -> String {
    let mut out = format!("{}: {}\n\n{}\n", check.id, check.title, textwrap::fill(check.asks, WIDTH));
    let mut part = |title: &str, texts: &[String]| {
        let texts = texts.iter().filter(|text| !text.is_empty());
        let indented = Options::new(WIDTH).initial_indent("  ").subsequent_indent("  ");
        let texts: Vec<String> = texts.map(|text| textwrap::fill(text, &indented)).collect();
        if !texts.is_empty() {
            out.push_str(&format!("\n{title}\n{}\n", texts.join("\n")));
        }
    };
    part("What it computes", &[check.formula.to_owned()]);
    let advised: Vec<String> =
        bands.all(check.id).iter().map(|advised| advice(advised, check.unit)).collect();
    part("What is advised", &advised);
    part("Where it is measured", &[check.measured.to_owned()]);
    part("What goes wrong otherwise", &[check.ignored.to_owned()]);
    part("What people do", &[check.remedy.to_owned()]);
    out
}

/// "without feet: 0.03 to 0.30 mm; fouls below 0.00 (common practice, no source)".
fn advice(advised: &Advised, unit: &str) -> String {
    let variant = if advised.variant.is_empty() { String::new() } else { format!("{}: ", advised.variant) };
    let unit = if unit.is_empty() { String::new() } else { format!(" {unit}") };
    let fouls = match (advised.contact.low, advised.contact.high) {
        (Some(low), Some(high)) if low == high => format!("anything but {} fouls", figure(low)),
        (Some(low), Some(high)) => format!("fouls below {} and above {}", figure(low), figure(high)),
        (Some(low), None) => format!("fouls below {}", figure(low)),
        (None, Some(high)) => format!("fouls above {}", figure(high)),
        (None, None) => "nothing fouls".to_owned(),
    };
    format!("{variant}{}{unit}; {fouls} ({})", band_words(advised.band), advised.source)
}
