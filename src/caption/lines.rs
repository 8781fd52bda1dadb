//! What stands in a caption.

use crate::audit::SizeChange;
use crate::fit::cautions;
use crate::fit::headline::headline;
use crate::fit::records::readings;
use crate::fit::watch::{Fitted, Watch};
use crate::journal::{PartSource, Slot};
use crate::ledger::Unit;
use crate::timing::latest;

use super::{CaptionBlock, CaptionLine};

/// Whether sums stand in a caption.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Prices {
    /// They are nobody's business.
    #[default]
    Private,
    /// They were asked for.
    Told,
}

// What goes first has the highest weight.
const TITLE: u8 = 0;
const CAUTION: u8 = 1;
const SUM: u8 = 2;
const MAIN_PART: u8 = 3;
const WATER: u8 = 4;
const FIGURES: u8 = 5;
const HAND: u8 = 6;
const LONG_CAUTION: u8 = 7;
const ALTERATION: u8 = 8;
const PART: u8 = 9;
const SUMMARY: u8 = 10;
const TOOLS: u8 = 11;

pub(super) fn lines(watch: &Watch<'_>, prices: Prices) -> Vec<CaptionLine> {
    let build = watch.build;
    let mut out = vec![line(CaptionBlock::Title, TITLE, &build.title)];
    if let Some(summary) = &build.summary {
        out.push(line(CaptionBlock::Title, SUMMARY, summary));
    }
    out.extend(figures(watch));
    for (slot, part) in watch.parts() {
        out.extend(of_part(watch, slot, part, prices));
    }
    if prices == Prices::Told {
        out.extend(sum(watch));
    }
    out.extend(tools(watch));
    out.extend(cautions::for_watch(watch).iter().map(|caution| {
        let long = format!("{}: {}", caution.hazard.title, caution.text());
        let brief = match caution.about.is_empty() {
            true => format!("{}: {}", caution.hazard.title, caution.hazard.brief),
            false => format!("{}: {}. {}", caution.hazard.title, caution.about, caution.hazard.brief),
        };
        CaptionLine { brief: Some((LONG_CAUTION, brief)), ..line(CaptionBlock::Cautions, CAUTION, &long) }
    }));
    out
}

/// One line, whatever breaks stood in a text.
fn line(block: CaptionBlock, weight: u8, text: &str) -> CaptionLine {
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    CaptionLine { block, text, weight, brief: None }
}

/// Size, rate, and water only as far as it was tested and the test stands.
fn figures(watch: &Watch<'_>) -> Vec<CaptionLine> {
    let told = headline(watch);
    let sizes = [
        (told.diameter, "across"),
        (told.thickness, "thick"),
        (told.lug_to_lug, "lug to lug"),
        (told.lug_width, "between the lugs"),
    ];
    let sizes = sizes.into_iter().filter_map(|(size, words)| Some(format!("{} mm {words}", plain(size?))));
    let sizes: Vec<String> = sizes.collect();
    let mut out = Vec::new();
    if !sizes.is_empty() {
        out.push(line(CaptionBlock::Figures, FIGURES, &sizes.join(", ")));
    }
    if let Some(sitting) = latest(&readings(watch.build)) {
        let figures = sitting.figures(watch.value("movement.lift_angle"));
        let rate = signed(figures.mean_rate);
        let positions = match figures.positions {
            1 => "in one position".to_owned(),
            number => format!("mean of {number} positions"),
        };
        let day = sitting.readings().last().map(|reading| format!(", on {}", reading.at.date()));
        let text = format!("Runs {rate} s/d, {positions}{}", day.unwrap_or_default());
        out.push(line(CaptionBlock::Figures, FIGURES, &text));
    }
    if let Some(held) = told.water {
        let old = if held.is_old(watch.as_of) { "; more than twelve months ago" } else { "" };
        out.push(line(
            CaptionBlock::Figures,
            WATER,
            &format!("Water: {}{old}. Not for diving; seals age", held.words()),
        ));
    }
    out
}

fn of_part(watch: &Watch<'_>, slot: Slot, part: &Fitted, prices: Prices) -> Vec<CaptionLine> {
    let mut text = capital(slot.words());
    if part.name != slot.words() {
        text.push_str(&format!(": {}", part.name));
    }
    let unit = watch.ledger.units.get(&part.id);
    let price = unit.filter(|_| prices == Prices::Told).and_then(price).map(|price| money(watch, price));
    let more: Vec<String> =
        unit.and_then(|unit| origin(watch, slot, unit)).into_iter().chain(price).collect();
    if !more.is_empty() {
        text.push_str(&format!(" ({})", more.join(", ")));
    }
    let weight = match slot {
        Slot::Case | Slot::Dial | Slot::Movement => MAIN_PART,
        Slot::Hour | Slot::Minute | Slot::Seconds => HAND,
        _ => PART,
    };
    let mut out = vec![line(CaptionBlock::Parts, weight, &text)];
    let Some(unit) = unit else { return out };
    for changed in unit.changed(part.until) {
        let Some(altered) = &changed.change.altered else { continue };
        let own: Vec<String> = changed.steps.iter().map(|step| SizeChange::of(step).words()).collect();
        let mut text = format!("{} {}", capital(slot.words()), altered.words());
        if !own.is_empty() {
            text.push_str(&format!(": {}", own.join(", ")));
        }
        if let Some(by) = &altered.by {
            text.push_str(&format!(" ({by})"));
        }
        let mut told = line(CaptionBlock::Parts, ALTERATION, &text);
        told.text.insert_str(0, "- ");
        out.push(told);
    }
    out
}

/// Where a part is from, without naming a shop or a person: an earlier watch of this bench, a
/// donor, how it came, or the bin. A part that is written in the build itself has no origin.
fn origin(watch: &Watch<'_>, slot: Slot, unit: &Unit) -> Option<String> {
    let from = unit.stay(&watch.build.slug, slot).and_then(|stay| stay.from);
    let mut before = unit
        .stays
        .iter()
        .filter(|stay| !stay.planned && stay.build != watch.build.slug && stay.from < from && stay.to <= from)
        .filter(|stay| stay.to.is_some())
        .filter_map(|stay| watch.journal.build(&stay.build).filter(|build| !build.hidden));
    if let Some(build) = before.next_back() {
        return Some(format!("from {}", build.title));
    }
    let part = watch.journal.parts.get(unit.split_from.as_ref().unwrap_or(&unit.id))?;
    Some(match &part.from.source {
        Some(PartSource::Donor(donor)) => {
            let name = watch.ledger.units.get(&donor.value).map_or(donor.value.as_str(), |unit| &unit.name);
            format!("from the donor {name}")
        }
        Some(PartSource::Bought(_)) => "bought".to_owned(),
        Some(PartSource::Made(_)) => "made".to_owned(),
        Some(PartSource::Given(_)) => "given".to_owned(),
        None => "from the bin".to_owned(),
    })
}

/// What a part cost. The price of a lot is of all its pieces, and says nothing of one.
fn price(unit: &Unit) -> Option<f64> {
    unit.price().filter(|_| unit.count.is_none())
}

fn sum(watch: &Watch<'_>) -> Option<CaptionLine> {
    let mut seen = Vec::new();
    let mut all: f64 = watch.build.entries.iter().filter_map(|entry| entry.spent).sum();
    for (_, part) in watch.parts() {
        if !seen.contains(&&part.id) {
            all += watch.ledger.units.get(&part.id).and_then(price).unwrap_or(0.0);
            seen.push(&part.id);
        }
    }
    (all > 0.0).then(|| line(CaptionBlock::Tools, SUM, &format!("Parts and bench: {}", money(watch, all))))
}

/// Every tool once, in the order in which they were taken up.
fn tools(watch: &Watch<'_>) -> Option<CaptionLine> {
    let mut tools: Vec<&str> = Vec::new();
    for tool in watch.build.entries.iter().flat_map(|entry| &entry.tools) {
        if !tools.contains(&tool.as_str()) {
            tools.push(tool);
        }
    }
    (!tools.is_empty()).then(|| line(CaptionBlock::Tools, TOOLS, &format!("Tools: {}", tools.join(", "))))
}

fn money(watch: &Watch<'_>, sum: f64) -> String {
    match &watch.journal.settings.currency {
        Some(currency) => format!("{sum:.2} {currency}"),
        None => format!("{sum:.2}"),
    }
}

/// Without needless decimals: 35.5.
fn plain(value: f64) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn signed(value: f64) -> String {
    let text = format!("{value:+.1}");
    text.trim_end_matches(".0").replace('-', "\u{2212}")
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
