//! What stands in a caption.

use std::sync::Arc;

use crate::audit::SizeChange;
use crate::fit::assemble::{assemble, counts_until};
use crate::fit::assembly::Assembly;
use crate::fit::cautions;
use crate::fit::fitted::Fitted;
use crate::fit::headline::headline;
use crate::fit::records::readings;
use crate::fit::standards::Standards;
use crate::journal::{Build, Journal, PartSource, Slot};
use crate::ledger::{Ledger, Unit};
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

/// A build with all that a caption is taken from.
struct Captioned<'a> {
    journal: &'a Journal,
    ledger: &'a Ledger,
    build: &'a Build,
    watch: Assembly,
}

pub(super) fn lines(journal: &Journal, ledger: &Ledger, build: &Build, prices: Prices) -> Vec<CaptionLine> {
    let standards = Arc::new(Standards::of(journal).0);
    let watch = assemble(journal, ledger, &standards, ledger.last_day(journal), build);
    let captioned = Captioned { journal, ledger, build, watch };
    let mut out = vec![line(CaptionBlock::Title, TITLE, &build.title)];
    if let Some(summary) = &build.summary {
        out.push(line(CaptionBlock::Title, SUMMARY, summary));
    }
    out.extend(captioned.figures());
    for (slot, part) in captioned.watch.parts() {
        out.extend(captioned.of_part(slot, part, prices));
    }
    if prices == Prices::Told {
        out.extend(captioned.sum());
    }
    out.extend(tools(build));
    out.extend(cautions::for_watch(&captioned.watch, build, ledger).iter().map(|caution| {
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

impl Captioned<'_> {
    /// Size, rate, and water only as far as it was tested and the test stands.
    fn figures(&self) -> Vec<CaptionLine> {
        let told = headline(&self.watch);
        let sizes = [
            (told.diameter, "across"),
            (told.thickness, "thick"),
            (told.lug_to_lug, "lug to lug"),
            (told.lug_width, "between the lugs"),
        ];
        let sizes =
            sizes.into_iter().filter_map(|(size, words)| Some(format!("{} mm {words}", plain(size?))));
        let sizes: Vec<String> = sizes.collect();
        let mut out = Vec::new();
        if !sizes.is_empty() {
            out.push(line(CaptionBlock::Figures, FIGURES, &sizes.join(", ")));
        }
        if let Some(sitting) = latest(&readings(self.build)) {
            let figures = sitting.figures(self.watch.value("movement.lift_angle"));
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
            let old = if self.watch.test_is_old() { "; more than twelve months ago" } else { "" };
            out.push(line(
                CaptionBlock::Figures,
                WATER,
                &format!("Water: {}{old}. Not for diving; seals age", held.words()),
            ));
        }
        out
    }

    fn of_part(&self, slot: Slot, part: &Fitted, prices: Prices) -> Vec<CaptionLine> {
        let mut text = capital(slot.words());
        if part.name != slot.words() {
            text.push_str(&format!(": {}", part.name));
        }
        let unit = self.ledger.units.get(&part.id);
        let price = unit.filter(|_| prices == Prices::Told).and_then(price).map(|price| self.money(price));
        let more: Vec<String> =
            unit.and_then(|unit| self.origin(slot, unit)).into_iter().chain(price).collect();
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
        for changed in unit.changed(counts_until(self.build, slot, unit)) {
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
    fn origin(&self, slot: Slot, unit: &Unit) -> Option<String> {
        let from = unit.stay(&self.build.slug, slot).and_then(|stay| stay.from);
        let mut before = unit
            .stays
            .iter()
            .filter(|stay| {
                !stay.planned && stay.build != self.build.slug && stay.from < from && stay.to <= from
            })
            .filter(|stay| stay.to.is_some())
            .filter_map(|stay| self.journal.build(&stay.build).filter(|build| !build.hidden));
        if let Some(build) = before.next_back() {
            return Some(format!("from {}", build.title));
        }
        let part = self.journal.parts.get(unit.split_from.as_ref().unwrap_or(&unit.id))?;
        Some(match &part.from.source {
            Some(PartSource::Donor(donor)) => {
                let name =
                    self.ledger.units.get(&donor.value).map_or(donor.value.as_str(), |unit| &unit.name);
                format!("from the donor {name}")
            }
            Some(PartSource::Bought(_)) => "bought".to_owned(),
            Some(PartSource::Made(_)) => "made".to_owned(),
            Some(PartSource::Given(_)) => "given".to_owned(),
            None => "from the bin".to_owned(),
        })
    }

    /// What it cost, parts and bench.
    fn sum(&self) -> Option<CaptionLine> {
        let mut seen = Vec::new();
        let mut all: f64 = self.build.entries.iter().filter_map(|entry| entry.spent).sum();
        for (_, part) in self.watch.parts() {
            if !seen.contains(&&part.id) {
                all += self.ledger.units.get(&part.id).and_then(price).unwrap_or(0.0);
                seen.push(&part.id);
            }
        }
        (all > 0.0).then(|| line(CaptionBlock::Tools, SUM, &format!("Parts and bench: {}", self.money(all))))
    }

    /// In the journal's currency.
    fn money(&self, sum: f64) -> String {
        match &self.journal.settings.currency {
            Some(currency) => format!("{sum:.2} {currency}"),
            None => format!("{sum:.2}"),
        }
    }
}

/// What a part cost. The price of a lot is of all its pieces, and says nothing of one.
fn price(unit: &Unit) -> Option<f64> {
    unit.price().filter(|_| unit.count.is_none())
}

/// Every tool once, in the order in which they were taken up.
fn tools(build: &Build) -> Option<CaptionLine> {
    let mut tools: Vec<&str> = Vec::new();
    for tool in build.entries.iter().flat_map(|entry| &entry.tools) {
        if !tools.contains(&tool.as_str()) {
            tools.push(tool);
        }
    }
    (!tools.is_empty()).then(|| line(CaptionBlock::Tools, TOOLS, &format!("Tools: {}", tools.join(", "))))
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
