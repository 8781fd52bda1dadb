//! Figures that are none, too large, too small, or of a day that never was.

use super::{Row, entry, hold_all, write};

/// A dial with one size, written so.
fn dial(size: &'static str) -> impl Fn(&std::path::Path) {
    move |journal| write(journal, "parts/odd.yaml", format!("odd-dial:\n  kind: dial\n  diameter: {size}\n"))
}

fn day(text: &'static str) -> impl Fn(&std::path::Path) {
    move |journal| entry(journal, format!("---\n{text}\n---\nText.\n"))
}

pub(super) fn rows() -> Vec<Row> {
    let bad = |name, size, answer| {
        Row::bad(name, dial(size), &["parts/odd.yaml:3:13: error: `diameter`: ", answer])
    };
    vec![
        bad("NaN", ".nan", "`.nan` is not a length: write it like 28.5"),
        bad("NaN, by its word", "NaN", "`NaN` is not a length"),
        bad("infinity", ".inf", "`.inf` is not a length"),
        bad("minus infinity", "-.inf", "`-.inf` is not a length"),
        bad("1e308", "1e308", "`1e308` has an exponent: write the figure out"),
        bad(
            "1e308, written out",
            concat!("100000000000000000000", "000000000000000000000000000000"),
            "is beyond 1000 mm",
        ),
        bad("1e-308", "1e-308", "`1e-308` has an exponent"),
        bad(
            "1e-308, written out",
            concat!("0.000000000000000000000", "000000000000000000000000001"),
            "round it",
        ),
        bad("1e+308", "1e+308", "`1e+308` has an exponent"),
        bad("a hexadecimal figure", "0x1C", "is not"),
        bad("an octal figure", "0o34", "no tolerance class has the letter `o`"),
        bad("a figure with underscores", "28_5", "is not understood"),
        bad("a negative length", "-28.5", "`-28.5` is below zero: a length has no sign here"),
        bad("a negative tolerance", "28.5 ±-0.02", "has two signs"),
        bad("a range that runs backwards", "28..27", "runs backwards"),
        bad("a tolerance of a kilometre", "28.5 ±1000000", "is beyond"),
        bad("a decimal comma", "\"28,5\"", "has a decimal comma: write `28.5`"),
        bad("figures of another script", "٢٨", "is not a length"),
        Row::bad(
            "an angle beyond all rounds",
            |j| {
                write(
                    j,
                    "parts/odd.yaml",
                    "odd-dial:\n  kind: dial\n  crown_at: 9999999999999999999999999 deg\n",
                );
            },
            &["parts/odd.yaml:3:13: error: `crown_at`: ", "is beyond 720 deg"],
        ),
        Row::bad(
            "a count of parts that is none",
            |j| write(j, "parts/odd.yaml", "odd-dial:\n  kind: dial\n  count: -3\n"),
            &["parts/odd.yaml:3:10: error: `count`"],
        ),
        Row::fine("a million equal parts", |j| {
            write(j, "parts/odd.yaml", "odd-dial: { kind: dial, count: 1000000, diameter: 28.5 }\n");
        }),
        Row::bad(
            "the 30th of February",
            day("date: 2026-02-30"),
            &["builds/bad/day.md:2:7: error: `date`: there is no 2026-02-30 in the calendar"],
        ),
        Row::bad(
            "the day 0",
            day("date: 0000-00-00"),
            &["builds/bad/day.md:2:7: error: `date`: there is no 0000-00-00"],
        ),
        Row::bad(
            "a month of 13",
            day("date: 2026-13-01"),
            &["builds/bad/day.md:2:7: error: `date`: there is no 2026-13-01"],
        ),
        Row::bad(
            "a year of five figures",
            day("date: 12026-01-01"),
            &["builds/bad/day.md:2:7: error: `date`:"],
        ),
        Row::bad(
            "a day with signs",
            day("date: +026-01-01"),
            &[
                "builds/bad/day.md:2:7: error: `date`: `+026-01-01` is not a date: write year, month and day like",
            ],
        ),
        Row::bad(
            "a time of 25:61",
            day("date: 2026-01-03\ntime: 25:61"),
            &["builds/bad/day.md:3:7: error: `time`: `25:61` is not a time"],
        ),
        Row::fine(
            "ten thousand years of readings",
            day(
                "date: 9999-12-31\ntiming:\n  - { at: 0001-01-01 00:00, position: CH, rate: +86400, amplitude: 1 }\n  \
                 - { at: 9999-12-31 23:59, position: FH, rate: -86400, amplitude: 720, beat_error: 1000 }\n\
                 pressure: [{ bar: 1000, method: dry, result: held }]",
            ),
        ),
        Row::bad(
            "rates beyond a day",
            day("date: 2026-01-03\ntiming: [{ position: CH, rate: 86401 }]"),
            &["builds/bad/day.md:3:", "is beyond 86400 s/d"],
        ),
        Row::fine("money beyond counting", |j| {
            write(j, "journal.yaml", "title: Hostile\ncurrency: EUR\nshow: { prices: true, audit: true }\n");
            entry(j, "---\ndate: 2026-01-03\nspent: 1000000000\nminutes: 1000000000\n---\n");
        }),
        Row::fine("a watch of nothing", |j| {
            write(
                j,
                "parts/odd.yaml",
                "o-case: { kind: case, diameter: 0, dial_seat: 0, opening: 0, bore: 0, depth: 0, rehaut: { bottom: 0, top: 0, height: 0 }, shelf: 0, rim: 0 }\n\
                 o-dial: { kind: dial, diameter: 0, thickness: 0, centre_hole: 0, track_diameter: 0, indices: { height: 0, inner_radius: 0, outer_radius: 0 }, feet: [{ at: 12h, radius: 0, diameter: 0 }], date_window: { at: 3h, radius: 0, along: 0, across: 0 } }\n\
                 o-crystal: { kind: crystal, diameter: 0, thickness: 0, height: 0, inner_rise: 0, inner_aperture: 0, form: domed }\n\
                 o-hand: { kind: hand, length: 0, tail: 0, fits: 0, thickness: 0, pipe: 0, width: 0, mass: 0 }\n\
                 o-move: { kind: movement, casing_diameter: 0, total_diameter: 0, height_below: 0, posts: { hour: { diameter: 0, fits: 0, top: 0 }, minute: { diameter: 0, fits: 0, top: 0 } } }\n",
            );
            write(
                j,
                "builds/bad/build.md",
                "---\ntitle: Bad\nstate: finished\ntarget: { water: 0 bar, rate: \"0..0 s/d\" }\n\
                 parts: { case: o-case, dial: o-dial, crystal: o-crystal, hour: o-hand, minute: o-hand, movement: o-move }\n---\nStory.\n",
            );
        }),
        Row::fine("a watch of a metre", |j| {
            write(
                j,
                "parts/odd.yaml",
                "o-case: { kind: case, diameter: 1000, dial_seat: 1000, opening: 1000, bore: 1000, depth: 1000, rehaut: { bottom: 1000, top: 0.0001, height: 1000 }, shelf: 1000, rim: 1000 }\n\
                 o-dial: { kind: dial, diameter: 1000, thickness: 1000, centre_hole: 1000, track_diameter: 1000, feet: [{ at: 12h, radius: 1000, diameter: 1000 }], date_window: { at: 3h, radius: 1000, along: 1000, across: 1000 } }\n\
                 o-crystal: { kind: crystal, diameter: 1000, thickness: 0.0001, height: 1000, inner_rise: 1000, inner_aperture: 1000, form: domed, material: sapphire }\n\
                 o-hand: { kind: hand, length: 1000, tail: 1000, fits: 100, thickness: 1000, pipe: 1000, width: 1000, mass: 1000000 mg }\n\
                 o-move: { kind: movement, casing_diameter: 0.0001, total_diameter: 1000, height_below: 1000, posts: { hour: { diameter: 1000, fits: 100, top: 1000 }, minute: { diameter: 1000, fits: 100, top: 1000 } } }\n",
            );
            write(
                j,
                "builds/bad/build.md",
                "---\ntitle: Bad\nstate: planned\ntarget: { water: 1000 bar, rate: \"-86400..86400 s/d\" }\n\
                 parts: { case: o-case, dial: o-dial, crystal: o-crystal, hour: o-hand, minute: o-hand, movement: o-move }\n---\nStory.\n",
            );
        }),
    ]
}

#[test]
fn figures() {
    hold_all(&rows());
}
