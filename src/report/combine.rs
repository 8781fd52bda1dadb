//! Whole builds out of the bin, for a person, for programs, and as a build.md.

use std::fmt::Write as _;

use anstyle::{AnsiColor, Style};
use serde_json::{Map, Value, json};

use crate::journal::Slot;
use crate::measure::figure;
use crate::pairing::combine::{Combination, Combined, HELPING, ORDER, RuledOut};
use crate::problem::Problem;

use super::json::{problems, step};

/// For a terminal: how many there are, what rules out how many, then the best.
pub fn text(combined: &Combined) -> String {
    let mut out = String::new();
    for slot in &combined.lacking {
        let _ = writeln!(out, "no {} is free: nothing can be combined without one", slot.words());
    }
    let product: Vec<String> =
        combined.slots.iter().map(|(slot, count)| format!("{count} {}", choices(*slot, *count))).collect();
    let _ = writeln!(
        out,
        "{} combinations: {}; a slot that may stay empty counts that as a choice",
        many(combined.combinations),
        product.join(", ")
    );
    if !combined.lacking.is_empty() {
        return out;
    }
    for ruled in &combined.ruled {
        let _ = writeln!(out, "  {}", ruled_words(ruled));
    }
    let (possible, searched) = (combined.standing, combined.opened);
    let (sets, are) = if possible == 1 { ("set", "is") } else { ("sets", "are") };
    let _ = write!(out, "  {possible} {sets} of case, dial and movement {are} possible; ");
    let _ = match (possible, searched) {
        (0, _) => writeln!(out, "none was searched"),
        (1, 1) => writeln!(out, "it was searched"),
        _ if searched == possible => writeln!(out, "all were searched"),
        _ => writeln!(out, "{searched} {} searched", if searched == 1 { "was" } else { "were" }),
    };
    if !combined.altered_for_several {
        out.push_str(
            "  too many parts: alterations were tried that one other part calls for, and not those that only \
             several call for together; fewer parts (--with, --without) let all be tried\n",
        );
    }
    if combined.stopped {
        out.push_str("\nstopped before everything was searched: better builds may exist\n");
    }
    let unmeasured = combined.unmeasured.len();
    heading(&mut out, combined.goes.len(), combined.whole.0, ("goes", "go"), "together");
    for (at, one) in combined.goes.iter().enumerate() {
        combination(&mut out, at + 1, one);
    }
    if unmeasured > 0 {
        heading(
            &mut out,
            unmeasured,
            combined.whole.1,
            ("has", "have"),
            "something unmeasured, and nothing fouls",
        );
        for (at, one) in combined.unmeasured.iter().enumerate() {
            combination(&mut out, combined.goes.len() + at + 1, one);
        }
    }
    out
}

/// "3 builds go together (complete)"; the verb for one and for several.
fn heading(out: &mut String, count: usize, whole: bool, verb: (&str, &str), what: &str) {
    let bold = Style::new().bold();
    let builds = match count {
        0 => format!("no build {}", verb.0),
        1 => format!("1 build {}", verb.0),
        _ => format!("{count} builds {}", verb.1),
    };
    let all = if whole { "complete" } else { "there may be more" };
    let _ = writeln!(out, "\n{bold}{builds} {what}{bold:#} ({all})");
}

fn choices(slot: Slot, count: usize) -> String {
    match (slot, count) {
        (Slot::Hour | Slot::Minute | Slot::Seconds | Slot::SecondTime, _) => {
            format!("for the {}", slot.words())
        }
        (slot, 1) => slot.words().to_owned(),
        (slot, _) => format!("{}{}", slot.words(), if slot.words().ends_with('s') { "es" } else { "s" }),
    }
}

/// "3.2 million", or the whole number where a person can read it.
fn many(count: f64) -> String {
    match count {
        count if count < 1e6 => format!("{count:.0}"),
        count if count < 1e9 => format!("{:.1} million", count / 1e6),
        count if count < 1e12 => format!("{:.1} billion", count / 1e9),
        count => format!("{count:.1e}"),
    }
}

fn ruled_words(ruled: &RuledOut) -> String {
    let slots: Vec<&str> = ruled.slots.iter().map(|slot| slot.words()).collect();
    let fouls: u64 = ruled.by.iter().map(|(_, count)| count).sum();
    let by: Vec<String> = ruled.by.iter().map(|(check, count)| format!("{check} {count}")).collect();
    let what = if slots.len() == 1 { "choices" } else { "pairs" };
    format!("{}: {fouls} of {} {what} foul ({})", slots.join(" and "), ruled.of, by.join(", "))
}

fn combination(out: &mut String, number: usize, one: &Combination) {
    let bold = Style::new().bold();
    let headline = &one.headline;
    let sizes =
        [("", headline.diameter), ("thick ", headline.thickness), ("lug to lug ", headline.lug_to_lug)];
    let sizes: Vec<String> =
        sizes.iter().filter_map(|(what, size)| Some(format!("{what}{} mm", figure((*size)?)))).collect();
    let counts = one.counts;
    let tight = AnsiColor::Yellow.on_default();
    let sizes = if sizes.is_empty() { String::new() } else { sizes.join(", ") + "; " };
    let _ = write!(out, "\n{bold}{number:>3}{bold:#}  {sizes}{} clear", counts.clear);
    if counts.tight > 0 {
        let _ = write!(out, ", {tight}{} tight{tight:#}", counts.tight);
    }
    if counts.unmeasured > 0 {
        let _ = write!(out, ", {} unmeasured", counts.unmeasured);
    }
    out.push('\n');
    for (slot, part) in &one.parts {
        let _ = writeln!(out, "     {:<16} {}  {}", slot.words(), part.id, part.name);
    }
    if let Some(held) = one.held {
        let _ = writeln!(out, "     the dial has no feet: held by {}", held.word());
    }
    for step in &one.steps {
        let _ = writeln!(out, "     first {}", step.advice.text);
        if !step.advice.caution.is_empty() {
            let _ = writeln!(out, "           caution: {}", step.advice.caution);
        }
    }
    if !one.open.is_empty() {
        let open: Vec<&str> = one.open.iter().map(|slot| slot.words()).collect();
        let _ = writeln!(out, "     to be found: {}", open.join(", "));
    }
    if let Some(ease) = one.ease.deviations() {
        let side = if ease < 0.0 { "outside" } else { "inside" };
        let _ = writeln!(
            out,
            "     tightest: {}, {:.1} standard deviations {side} what is advised",
            one.tightest,
            ease.abs()
        );
    }
    if !one.missing.is_empty() {
        let _ = writeln!(out, "     measure {}", one.missing.join(", "));
    }
}

/// For programs.
pub fn json(journal: &str, combined: &Combined, found: &[Problem]) -> Value {
    let ruled = combined.ruled.iter().map(|ruled| {
        json!({
            "slots": ruled.slots.iter().map(|slot| slot.name()).collect::<Vec<_>>(),
            "of": ruled.of,
            "fouls": ruled.by.iter().map(|(check, count)| json!({ "check": check, "count": count })).collect::<Vec<_>>(),
        })
    });
    let slots = combined.slots.iter().map(|(slot, count)| json!({ "slot": slot.name(), "choices": count }));
    json!({
        "journal": journal,
        "slots": slots.collect::<Vec<_>>(),
        "combinations": combined.combinations,
        "ruled_out": ruled.collect::<Vec<_>>(),
        "standing": combined.standing,
        "looked_into": combined.opened,
        "altered_for_several": combined.altered_for_several,
        "stopped": combined.stopped,
        "complete": { "goes": combined.whole.0, "unmeasured": combined.whole.1 },
        "goes": combined.goes.iter().map(one).collect::<Vec<_>>(),
        "unmeasured": combined.unmeasured.iter().map(one).collect::<Vec<_>>(),
        "problems": problems(found),
    })
}

fn one(one: &Combination) -> Value {
    let parts: Map<String, Value> =
        one.parts.iter().map(|(slot, part)| (slot.name().to_owned(), json!(part.id))).collect();
    json!({
        "parts": parts,
        "dial_held_by": one.held.map(crate::journal::HeldBy::word),
        "alterations": one.steps.iter().map(step).collect::<Vec<_>>(),
        "ease": one.ease.deviations(),
        "tightest": one.tightest,
        "open": one.open.iter().map(|slot| slot.name()).collect::<Vec<_>>(),
        "counts": { "clear": one.counts.clear, "tight": one.counts.tight, "unmeasured": one.counts.unmeasured },
        "missing": one.missing,
        "headline": {
            "diameter": one.headline.diameter,
            "thickness": one.headline.thickness,
            "lug_to_lug": one.headline.lug_to_lug,
            "lug_width": one.headline.lug_width,
        },
    })
}

/// A combination as the build.md of a new planned build.
pub fn build_md(name: &str, one: &Combination, water: Option<&str>) -> String {
    let words = name.replace(['-', '_'], " ");
    let mut letters = words.chars();
    let title: String =
        letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default();
    let mut out = format!("---\ntitle: \"{}\"\nstate: planned\n", title.replace(['\\', '"'], ""));
    if let Some(water) = water {
        let _ = writeln!(out, "target: {{ water: \"{}\" }}", water.replace(['\\', '"'], ""));
    }
    out.push_str("parts:\n");
    for slot in ORDER {
        match one.parts.get(&slot) {
            Some(part) => {
                let _ = writeln!(out, "  {}: {}", slot.name(), quoted(&part.id));
            }
            // It was judged without one; what is to be found stays open.
            None if HELPING.contains(&slot) => {
                let _ = writeln!(out, "  {}: none", slot.name());
            }
            None => {}
        }
    }
    if let Some(held) = one.held {
        let _ = writeln!(out, "dial_held_by: {}", held.word());
    }
    out.push_str("---\n\nPut together out of the bin.\n");
    if !one.steps.is_empty() {
        out.push_str("\nTo be done first:\n\n");
        for step in &one.steps {
            let _ = writeln!(out, "- {}", step.advice.text);
            if !step.advice.caution.is_empty() {
                let _ = writeln!(out, "  Caution: {}", step.advice.caution);
            }
        }
    }
    out
}

/// An id as YAML reads it as a text: in quotes unless it cannot be taken for anything else.
fn quoted(id: &str) -> String {
    let plain = id.starts_with(|c: char| c.is_ascii_lowercase())
        && id.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-');
    if plain && !matches!(id, "none" | "null" | "true" | "false" | "yes" | "no" | "on" | "off") {
        id.to_owned()
    } else {
        format!("\"{}\"", id.replace('\\', "\\\\").replace('"', "\\\""))
    }
}
