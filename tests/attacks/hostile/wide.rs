//! Much of the same: texts as large as are read at all, made so that a careless loop never ends.

use std::fmt::Write as _;

use super::{Row, entry, hold_all, write};

fn many(count: usize, line: impl Fn(usize) -> String) -> String {
    (0..count).map(line).collect()
}

fn log(text: &str) -> String {
    format!("---\ndate: 2026-01-03\n{text}---\nText.\n")
}

pub(super) fn rows() -> Vec<Row> {
    let more = "more problems than can be listed";
    vec![
        Row::bad(
            "200,000 unknown fields",
            |j| entry(j, log(&many(200_000, |n| format!("field{n}: {n}\n")))),
            &["builds/bad/day.md"],
        ),
        Row::bad(
            "30,000 unknown fields",
            |j| entry(j, log(&many(30_000, |n| format!("field{n}: {n}\n")))),
            &["builds/bad/day.md:", more],
        ),
        Row::bad(
            "30,000 faults in one line",
            |j| {
                entry(
                    j,
                    log(&format!("measured: {{ {} }}\n", many(30_000, |n| format!("part-{n}: {{ }}, ")))),
                );
            },
            &["builds/bad/day.md:", more],
        ),
        Row::bad(
            "20,000 parts of no known kind",
            |j| write(j, "parts/wide.yaml", many(20_000, |n| format!("part-{n}: {{ kind: diel }}\n"))),
            &["parts/wide.yaml:", more],
        ),
        Row::bad(
            "20,000 parts with a fault of grammar each",
            |j| write(j, "parts/wide.yaml", many(20_000, |n| format!("part-{n}: {{ kind: dial: x }}\n"))),
            &["parts/wide.yaml:"],
        ),
        Row::bad(
            "4,000 parts, and 20,000 names that nobody knows",
            |j| {
                write(
                    j,
                    "parts/wide.yaml",
                    many(4_000, |n| format!("strap-number-{n}: {{ kind: strap }}\n")),
                );
                entry(j, log(&format!("had: [{}]\n", many(20_000, |n| format!("strop-nimber-{n}, ")))));
            },
            &["builds/bad/day.md:", more],
        ),
        Row::bad(
            "20,000 donors that nobody knows",
            |j| {
                write(
                    j,
                    "parts/wide.yaml",
                    many(20_000, |n| {
                        format!("strap-number-{n}: {{ kind: strap, from: {{ donor: walch-{n} }} }}\n")
                    }),
                );
            },
            &["parts/wide.yaml:", "there is no donor"],
        ),
        Row::fine("4,000 parts, each like the next", |j| {
            let mut text =
                many(4_000, |n| format!("strap-{n:06}: {{ kind: strap, like: strap-{:06} }}\n", n + 1));
            let _ = writeln!(text, "strap-004000: {{ kind: strap, width: 20 }}");
            write(j, "parts/wide.yaml", text);
        }),
        Row::bad(
            "4,000 parts like each other in a circle",
            |j| {
                write(
                    j,
                    "parts/wide.yaml",
                    many(4_000, |n| {
                        format!("strap-{n:06}: {{ kind: strap, like: strap-{:06} }}\n", (n + 1) % 4_000)
                    }),
                );
            },
            &["parts/wide.yaml:", "`like` goes in a circle"],
        ),
        Row::bad(
            "5,000 parts like one of 20,000 feet",
            |j| {
                let feet = "{ at: 1h, radius: 1, diameter: 1 }, ".repeat(20_000);
                let like = many(5_000, |n| format!("dial-{n}: {{ kind: dial, like: first }}\n"));
                write(j, "parts/wide.yaml", format!("first: {{ kind: dial, feet: [{feet}] }}\n{like}"));
            },
            &["parts/wide.yaml:1:28: error: `feet` has 20000 items, and at most 40 are read"],
        ),
        Row::bad(
            "5,000 parts like one that has all there is",
            |j| {
                let feet = "{ at: 1h, radius: 1, diameter: 1 }, ".repeat(40);
                let like = many(5_000, |n| format!("dial-{n}: {{ kind: dial, like: first }}\n"));
                write(j, "parts/wide.yaml", format!("first: {{ kind: dial, feet: [{feet}] }}\n{like}"));
            },
            &["parts/wide.yaml:", "by `like` more than 300000 fields are taken over"],
        ),
        Row::fine("4,000 splits, each of the one before, the last first", |j| {
            write(j, "parts/wide.yaml", "lot-0: { kind: strap, count: 5, width: 20 }\n");
            let splits = (0..4_000).rev();
            let splits: String =
                splits.map(|n| format!("  - {{ part: lot-{n}, how: other, as: lot-{} }}\n", n + 1)).collect();
            entry(j, log(&format!("altered:\n{splits}")));
        }),
        Row::bad(
            "20,000 slugs of faults in one build.md",
            |j| {
                let slots = many(20_000, |n| format!("  slot{n}: good-strap\n"));
                write(
                    j,
                    "builds/bad/build.md",
                    format!("---\ntitle: Bad\nstate: planned\nparts:\n{slots}---\nStory.\n"),
                );
            },
            &["builds/bad/build.md:", more],
        ),
        Row::bad(
            "20,000 readings of the timing machine",
            |j| {
                entry(
                    j,
                    log(&format!("timing:\n{}", many(20_000, |_| "  - { position: CH, rate: 3 }\n".into()))),
                );
            },
            &["builds/bad/day.md:4:3: error: `timing` has 20000 items, and at most 5000 are read"],
        ),
        Row::fine("5,000 readings of the timing machine", |j| {
            let rows = many(5_000, |n| {
                format!("  - {{ position: {}, rate: {} }}\n", ["CH", "FH", "3H"][n % 3], n % 40)
            });
            entry(j, log(&format!("timing:\n{rows}")));
        }),
        Row::fine("a dial of 40 feet on a movement of 40 holes", |j| feet_and_holes(j, 40, 40)),
        Row::fine("a dial of 4 feet on a movement of 8 holes", |j| feet_and_holes(j, 4, 8)),
    ]
    .into_iter()
    .chain(rest())
    .collect()
}

fn feet_and_holes(journal: &std::path::Path, feet: usize, holes: usize) {
    let place = |n: usize| {
        format!("{{ at: {}h{:02}, radius: {}, diameter: 0.7 }}, ", n % 12 + 1, n, 10.0 + n as f64 / 100.0)
    };
    let (feet, holes) = (many(feet, place), many(holes, place));
    write(
        journal,
        "parts/wide.yaml",
        format!(
            "f-dial: {{ kind: dial, diameter: 28, feet: [{feet}] }}\nf-move: {{ kind: movement, foot_holes: [{holes}] }}\n"
        ),
    );
    write(
        journal,
        "builds/bad/build.md",
        "---\ntitle: Bad\nstate: planned\nparts: { dial: f-dial, movement: f-move }\n---\nStory.\n",
    );
}

fn rest() -> Vec<Row> {
    vec![
        Row::fine("1,500 entries of a build", |j| {
            entry(j, log(""));
            for n in 0..1_500 {
                write(j, &format!("builds/bad/d{n}.md"), log("minutes: 5\n"));
            }
        }),
        Row::bad(
            "a word of a megabyte",
            |j| entry(j, log(&format!("{}: 1\nminutes: {}\n", "k".repeat(1 << 20), "m".repeat(1 << 20)))),
            &["builds/bad/day.md:"],
        ),
        Row::bad(
            "a Markdown text of 15 MB",
            |j| {
                write(
                    j,
                    "builds/bad/build.md",
                    format!("---\ntitle: Bad\nstate: planned\n---\n{}\n", "*a* ".repeat(15 << 18)),
                );
            },
            &["builds/bad/build.md", "MB", "split it"],
        ),
        Row::bad(
            "a Markdown text whose page is many times its size",
            |j| {
                let text = format!("---\ntitle: Bad\nstate: planned\n---\n{}\n", ">".repeat(19 << 16));
                write(j, "builds/bad/build.md", text);
            },
            &["builds/bad/build.md:", "MB of a page", "split it"],
        ),
        Row::fine("a Markdown table of 100,000 columns", |j| {
            let table =
                format!("{}\n{}\n{}", "|a".repeat(100_000), "|-".repeat(100_000), "|\n".repeat(2_000));
            write(j, "builds/bad/build.md", format!("---\ntitle: Bad\nstate: planned\n---\n{table}\n"));
        }),
    ]
}

#[test]
fn wide() {
    hold_all(&rows());
}
