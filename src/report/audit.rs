//! The audit for a terminal and as JSON.

use std::fmt::Write as _;

use anstyle::Style;
use serde_json::{Value, json};

use crate::audit::{
    AlterationRow, Audit, Booked, Departed, Donor, Free, Hours, InUse, Item, Reused, SizeChange, Spell,
    SpentOn, ToMeasure, Worked,
};
use crate::measure::round;
use crate::problem::Problem;
use crate::text::Place;

/// The audit as text: a heading a section, a line a part.
pub fn text(audit: &Audit) -> String {
    let mut out = String::new();
    if audit.then {
        let _ = writeln!(out, "as it was at the end of {}", audit.today);
    }
    let money = |sum: f64| match &audit.currency {
        Some(currency) => format!("{sum:.2} {currency}"),
        None => format!("{sum:.2}"),
    };
    let mut section = |title: &str, none: &str, rows: Vec<String>| {
        let bold = Style::new().bold();
        if !out.is_empty() {
            out.push('\n');
        }
        // What is summed up at its end is no row.
        let sums = rows.iter().filter(|row| row.starts_with("in all: ")).count();
        let _ = match rows.len() - sums {
            0 => writeln!(out, "{bold}{title}{bold:#}  {none}"),
            count => writeln!(out, "{bold}{title}{bold:#}  {count}"),
        };
        for row in rows {
            let _ = writeln!(out, "  {row}");
        }
    };
    section(
        "In use",
        "no part is in a watch",
        each(&audit.in_use, |row: &InUse| {
            let stays: Vec<String> = row.stays.iter().map(spell).collect();
            format!("{}: {}", item(&row.part), stays.join("; "))
        }),
    );
    section("Free", "every part is in a watch", each(&audit.free, free));
    section(
        "Booked twice",
        "no part is wanted by two watches at one time",
        each(&audit.booked_twice, |row: &Booked| {
            format!("{}: {}, and {}", item(&row.part), spell(&row.late), spell(&row.early))
        }),
    );
    section(
        "Reused",
        "no part went from one watch into another",
        each(&audit.reused, |row: &Reused| {
            let chain: Vec<String> = row.chain.iter().map(spell).collect();
            let more: Vec<String> = [chain.join(", then "), work(&row.alterations)]
                .into_iter()
                .filter(|t| !t.is_empty())
                .collect();
            format!("{}: {}", item(&row.part), more.join("; "))
        }),
    );
    section(
        "Altered beyond return",
        "every part could be as it came",
        each(&audit.altered, |row: &Worked| format!("{}: {}", item(&row.part), work(&row.alterations))),
    );
    section("Left over from watches taken apart", "nothing", each(&audit.left_over, free));
    section("Never used", "nothing", each(&audit.never_used, free));
    section(
        "Gone",
        "nothing has left",
        each(&audit.gone, |row: &Departed| {
            let count = if row.count > 1 { format!("{} ", row.count) } else { String::new() };
            format!("{}: {count}{} on {}", item(&row.part), row.how, row.on)
        }),
    );
    if !audit.then {
        section("To be measured", "every check has what it needs", each(&audit.to_measure, to_measure));
    }
    let all = money(audit.spent.all);
    section("Spent by build", "no price is written", spent(&audit.spent.by_build, &all, &money));
    section("Spent by year", "no price is written", spent(&audit.spent.by_year, &all, &money));
    if audit.kinds.is_empty() {
        section("Time at the bench", "no entry says how long it took", hours(&audit.hours));
    }
    section("Donors", "none", each(&audit.donors, donor));
    out
}

fn each<T>(rows: &[T], words: impl Fn(&T) -> String) -> Vec<String> {
    rows.iter().map(words).collect()
}

/// "dial  Amber sunburst dial (amber-sunburst)".
fn item(item: &Item) -> String {
    let kind = item.kind.replace('_', " ");
    if item.name == item.id {
        format!("{kind} {}", item.id)
    } else {
        format!("{kind} {} ({})", item.name, item.id)
    }
}

/// "Lantern 2025-06-07 to 2026-01-10".
fn spell(spell: &Spell) -> String {
    let title = &spell.title;
    if spell.planned {
        return format!("planned for {title}");
    }
    match (spell.from, spell.to) {
        (Some(from), Some(to)) => format!("{title} {from} to {to}"),
        (Some(from), None) => format!("{title} since {from}"),
        (None, Some(to)) => format!("{title} until {to}"),
        (None, None) => title.clone(),
    }
}

fn free(row: &Free) -> String {
    let mut out = item(&row.part);
    let mut more: Vec<String> = row.count.map(|count| format!("{count} of them")).into_iter().collect();
    more.extend(row.last.iter().map(|last| format!("was in {}", spell(last))));
    more.extend(row.planned.iter().map(spell));
    if !more.is_empty() {
        let _ = write!(out, ": {}", more.join("; "));
    }
    out
}

/// "turned down 2025-05-18 (diameter 28.50 to 27.10 mm); feet cut 2025-05-18".
fn work(alterations: &[AlterationRow]) -> String {
    let each = alterations.iter().map(|alteration| {
        let (what, on, sizes) = (&alteration.what, alteration.on, alteration.sizes());
        format!("{what} {on} {sizes}").trim_end().to_owned()
    });
    each.collect::<Vec<_>>().join("; ")
}

fn to_measure(row: &ToMeasure) -> String {
    let of = match &row.part {
        Some(part) => item(part),
        None => row.findings.first().map(|asking| asking.title.clone()).unwrap_or_default(),
    };
    let name = if row.name == "pressure" { "pressure test" } else { &row.name };
    let what = format!("{name} of {of}");
    let counts = match (row.settles, row.asked) {
        (settles, asked) if settles == asked => format!("settles {}", findings(settles)),
        (0, asked) => format!("helps {}, with other sizes", findings(asked)),
        (settles, asked) => format!("settles {} of {} that need it", settles, findings(asked)),
    };
    let range = row.must_be().map(|words| format!("; it must be {words}")).unwrap_or_default();
    let doc = if row.doc.is_empty() { String::new() } else { format!(" ({})", row.doc) };
    format!("{what}{doc}: {counts}{range}")
}

fn findings(count: usize) -> String {
    format!("{count} {}", if count == 1 { "finding" } else { "findings" })
}

fn spent(rows: &[SpentOn], all: &str, money: &dyn Fn(f64) -> String) -> Vec<String> {
    let row = |row: &SpentOn| {
        let split = match (row.parts, row.bench) {
            (_, 0.0) => String::new(),
            (parts, bench) => format!("  (parts {}, bench {})", money(parts), money(bench)),
        };
        format!("{}: {}{split}", row.title, money(row.sum()))
    };
    let mut out: Vec<String> = rows.iter().map(row).collect();
    if out.len() > 1 {
        out.push(format!("in all: {all}"));
    }
    out
}

fn hours(hours: &[Hours]) -> Vec<String> {
    let mut out: Vec<String> =
        hours.iter().map(|row| format!("{}: {}", row.title, time(row.minutes))).collect();
    if hours.len() > 1 {
        out.push(format!("in all: {}", time(hours.iter().map(|row| row.minutes).sum())));
    }
    out
}

/// "1 h 30 min".
fn time(minutes: f64) -> String {
    let minutes = minutes.round() as i64;
    match (minutes / 60, minutes % 60) {
        (0, rest) => format!("{rest} min"),
        (hours, 0) => format!("{hours} h"),
        (hours, rest) => format!("{hours} h {rest} min"),
    }
}

fn donor(row: &Donor) -> String {
    let gave: Vec<String> = row
        .gave
        .iter()
        .map(|given| {
            let now = match (&given.in_build, given.gone.as_str()) {
                (Some(stay), _) => format!("in {}", stay.title),
                (None, "") => "free".to_owned(),
                (None, how) => how.to_owned(),
            };
            format!("{} ({now})", given.part.name)
        })
        .collect();
    let gave =
        if gave.is_empty() { "gave nothing yet".to_owned() } else { format!("gave {}", gave.join(", ")) };
    let left = match (row.gone.as_str(), row.left.is_empty()) {
        ("", false) => format!("left on it: {}", row.left.join(", ")),
        ("", true) => "what is left on it is not written (`holds:`)".to_owned(),
        (how, _) => how.to_owned(),
    };
    format!("{}\n    {gave}\n    {left}", item(&row.part))
}

/// The audit as JSON; `journal` is the folder as it was named.
pub fn json(audit: &Audit, journal: &str, problems: &[Problem]) -> Value {
    json!({
        "journal": journal,
        "today": audit.today.to_string(),
        "as_of": audit.then.then(|| audit.today.to_string()),
        "currency": audit.currency,
        "kinds": audit.kinds,
        "in_use": all(&audit.in_use, |row: &InUse| with(&row.part, json!({ "stays": all(&row.stays, stay) }))),
        "free": all(&audit.free, free_json),
        "booked_twice": all(&audit.booked_twice, |row: &Booked| {
            with(&row.part, json!({ "stays": [stay(&row.late), stay(&row.early)] }))
        }),
        "reused": all(&audit.reused, |row: &Reused| {
            let more = json!({ "stays": all(&row.chain, stay), "alterations": all(&row.alterations, alteration) });
            with(&row.part, more)
        }),
        "altered_beyond_return": all(&audit.altered, |row: &Worked| {
            with(&row.part, json!({ "alterations": all(&row.alterations, alteration) }))
        }),
        "left_over": all(&audit.left_over, free_json),
        "never_used": all(&audit.never_used, free_json),
        "gone": all(&audit.gone, |row: &Departed| {
            let said = placed(json!({}), &row.place);
            with(&row.part, json!({ "how": row.how, "count": row.count, "on": row.on.to_string(), "said": said }))
        }),
        "to_measure": all(&audit.to_measure, to_measure_json),
        "spent": {
            "by_build": all(&audit.spent.by_build, |row: &SpentOn| sums(row, "build")),
            "by_year": all(&audit.spent.by_year, |row: &SpentOn| sums(row, "year")),
            "all": round(audit.spent.all),
        },
        "hours": all(&audit.hours, |row: &Hours| {
            json!({ "build": row.build, "title": row.title, "minutes": round(row.minutes), "entries": row.entries })
        }),
        "donors": all(&audit.donors, |row: &Donor| {
            let gave = all(&row.gave, |given: &crate::audit::Given| {
                let gone = Some(&given.gone).filter(|gone| !gone.is_empty());
                with(&given.part, json!({ "stay": given.in_build.as_ref().map(stay), "gone": gone }))
            });
            let gone = Some(&row.gone).filter(|gone| !gone.is_empty());
            let had = row.had.map(|had| had.to_string());
            with(&row.part, json!({ "had": had, "gave": gave, "left": row.left, "gone": gone }))
        }),
        "problems": super::json::problems(problems),
    })
}

fn all<T>(rows: &[T], one: impl Fn(&T) -> Value) -> Vec<Value> {
    rows.iter().map(one).collect()
}

/// A part's keys and further ones.
fn with(item: &Item, more: Value) -> Value {
    let own = placed(json!({ "part": item.id, "name": item.name, "kind": item.kind }), &item.place);
    joined(own, more)
}

fn joined(mut own: Value, more: Value) -> Value {
    if let (Value::Object(own), Value::Object(more)) = (&mut own, more) {
        own.extend(more);
    }
    own
}

fn placed(own: Value, place: &Place) -> Value {
    joined(own, json!({ "file": place.file, "line": place.line, "column": place.column }))
}

fn stay(spell: &Spell) -> Value {
    let own = json!({
        "build": spell.build,
        "title": spell.title,
        "slot": spell.slot,
        "from": spell.from.map(|from| from.to_string()),
        "to": spell.to.map(|to| to.to_string()),
        "planned": spell.planned,
    });
    placed(own, &spell.place)
}

fn free_json(row: &Free) -> Value {
    let more = json!({
        "count": row.count,
        "last": row.last.as_ref().map(stay),
        "planned": all(&row.planned, stay),
    });
    with(&row.part, more)
}

fn alteration(alteration: &AlterationRow) -> Value {
    let changes = all(
        &alteration.changes,
        |step: &SizeChange| json!({ "name": step.name, "before": step.before, "after": step.after, "unit": step.unit }),
    );
    let own = json!({
        "on": alteration.on.to_string(),
        "how": alteration.how,
        "by": alteration.by,
        "build": alteration.build,
        "changes": changes,
    });
    placed(own, &alteration.place)
}

fn to_measure_json(row: &ToMeasure) -> Value {
    let asking = |asking: &crate::audit::AwaitingFinding| {
        json!({
            "build": asking.build,
            "check": asking.check,
            "about": asking.about,
            "alone": asking.alone,
            "range": asking.range.map(ends),
        })
    };
    let own = json!({
        "part": row.part.as_ref().map(|part| &part.id),
        "name": row.name,
        "doc": row.doc,
        "unit": row.unit,
        "settles": row.settles,
        "asked": row.asked,
        "range": row.range.map(ends),
        "findings": all(&row.findings, asking),
    });
    placed(own, &row.place)
}

fn ends((low, high): (Option<f64>, Option<f64>)) -> [Option<f64>; 2] {
    [low.map(round), high.map(round)]
}

fn sums(row: &SpentOn, key: &str) -> Value {
    let own = json!({
        "title": row.title,
        "parts": round(row.parts),
        "bench": round(row.bench),
        "sum": round(row.sum()),
    });
    let named = Some(&row.key).filter(|key| !key.is_empty());
    joined(json!({ key: named }), own)
}
