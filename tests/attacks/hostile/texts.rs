//! Texts that are cut off, in other encodings, nested without end, or bombs.

use super::{Row, entry, hold_all, write};

fn front(front: &str) -> String {
    format!("---\ndate: 2026-01-03\n{front}\n---\nText.\n")
}

/// An alias bomb: each line names the one before it nine times.
fn bomb() -> String {
    let mut text = String::from("a: &a [x, x, x, x, x, x, x, x, x]\n");
    for (last, next) in ('a'..='y').zip('b'..='z') {
        text.push_str(&format!("{next}: &{next} [{}]\n", vec![format!("*{last}"); 9].join(", ")));
    }
    text
}

pub(super) fn rows() -> Vec<Row> {
    let story = |text: String| {
        move |j: &std::path::Path| {
            write(j, "builds/bad/build.md", format!("---\ntitle: Bad\nstate: planned\n---\n{text}\n"));
        }
    };
    vec![
        Row::bad(
            "front matter that never ends, build.md",
            |j| write(j, "builds/bad/build.md", "---\ntitle: Bad\nstate: planned\n\nStory.\n"),
            &["builds/bad/build.md:1:1: error: the front matter does not end: close it with a line `---`"],
        ),
        Row::bad(
            "front matter that never ends, entry",
            |j| entry(j, "---\ndate: 2026-01-03\n"),
            &["builds/bad/day.md:1:1: error: the front matter does not end"],
        ),
        Row::bad(
            "no front matter at all",
            |j| write(j, "builds/bad/build.md", "Story.\n"),
            &["builds/bad/build.md:1:1", "has no front matter"],
        ),
        Row::bad(
            "an empty build.md",
            |j| write(j, "builds/bad/build.md", ""),
            &["builds/bad/build.md:1:1", "has no front matter"],
        ),
        Row::bad(
            "tabs for indentation",
            |j| entry(j, front("measured:\n\tdial: { diameter: 28 }")),
            &["builds/bad/day.md:4:", "a tab stands where spaces must: indent with spaces"],
        ),
        Row::fine("CRLF", |j| {
            entry(j, "---\r\ndate: 2026-01-03\r\ntitle: Carriage\r\nminutes: 5\r\n---\r\nReturns.\r\n");
        })
        .shows("builds/bad/day.html", "Carriage"),
        Row::bad(
            "CR alone",
            |j| entry(j, "---\rdate: 2026-01-03\r---\rText.\r"),
            &["builds/bad/day.md:1:1", "has no front matter"],
        ),
        Row::fine("BOM", |j| {
            entry(j, "\u{feff}---\ndate: 2026-01-03\ntitle: Marked\n---\nText.\n");
            write(j, "parts/bom.yaml", "\u{feff}bom-strap: { kind: strap, name: Strap with a mark, width: 18 }\n");
        })
        .shows("builds/bad/day.html", "Marked")
        .shows("parts/bom-strap.html", "Strap with a mark"),
        Row::fine("BOM, journal.yaml", |j| write(j, "journal.yaml", "\u{feff}title: Hostile\n")),
        Row::bad(
            "UTF-16, little end first",
            |j| entry(j, [&[0xff, 0xfe][..], &front("").encode_utf16().flat_map(u16::to_le_bytes).collect::<Vec<_>>()].concat()),
            &["builds/bad/day.md: error: is UTF-16: save it as UTF-8"],
        ),
        Row::bad(
            "UTF-16, big end first, of parts",
            |j| write(j, "parts/wide.yaml", [0xfe, 0xff, 0, b'a', 0, b':']),
            &["parts/wide.yaml: error: is UTF-16: save it as UTF-8"],
        ),
        Row::bad(
            "UTF-16 without a mark",
            |j| entry(j, front("").encode_utf16().flat_map(u16::to_le_bytes).collect::<Vec<_>>()),
            &["builds/bad/day.md: error: has a NUL at byte 1: it is no text file"],
        ),
        Row::bad(
            "Latin-1",
            |j| entry(j, b"---\ndate: 2026-01-03\ntitle: Caf\xe9\n---\n"),
            &["builds/bad/day.md: error: is not UTF-8 from byte 31 on: save it as UTF-8"],
        ),
        Row::bad(
            "NUL",
            |j| entry(j, "---\ndate: 2026-01-03\n---\nNothing\0here.\n"),
            &["builds/bad/day.md: error: has a NUL at byte"],
        ),
        Row::bad(
            "50 MB of YAML",
            |j| write(j, "parts/large.yaml", "a-strap: { kind: strap, width: 20 }\n".repeat((50 << 20) / 36 + 1)),
            &["parts/large.yaml: error: has 50 MB, more than the 4 MB that are read: split it"],
        ),
        Row::bad(
            "50 MB of front matter",
            |j| entry(j, front(&"minutes: 5\n".repeat((50 << 20) / 11 + 1))),
            &["builds/bad/day.md: error: has 50 MB, more than the 2 MB that are read: split it"],
        ),
        Row::bad(
            "an alias bomb",
            |j| write(j, "parts/bomb.yaml", bomb()),
            &["parts/bomb.yaml:", "nested or repeated beyond what a journal needs"],
        ),
        Row::bad(
            "an alias bomb among good parts",
            |j| write(j, "parts/good.yaml", format!("{}{}", std::fs::read_to_string(j.join("parts/good.yaml")).unwrap(), bomb())),
            &["parts/good.yaml:", "nested or repeated beyond what a journal needs"],
        ),
        Row::bad(
            "an alias of nothing",
            |j| write(j, "parts/bad.yaml", "one: { kind: strap, width: *wide }\ntwo: { kind: strap, width: 20 }\n"),
            &["parts/bad.yaml:1:", "repeats here what no `&` of the same name has marked before"],
        ),
        Row::bad(
            "an alias bomb in front matter",
            |j| entry(j, front(&bomb())),
            &["builds/bad/day.md:", "nested or repeated beyond what a journal needs"],
        ),
        Row::bad(
            "an alias of itself",
            |j| entry(j, front("had: &a [*a]")),
            &["builds/bad/day.md:3:"],
        ),
        Row::bad(
            "one long list, a thousand times by alias",
            |j| {
                let list = vec!["x"; 20_000].join(", ");
                entry(j, front(&format!("had: &l [{list}]\ntools: [{}]", vec!["*l"; 1000].join(", "))));
            },
            &["builds/bad/day.md:", "nested or repeated beyond what a journal needs"],
        ),
        Row::bad(
            "10,000 levels of lists",
            |j| entry(j, front(&format!("had: {}{}", "[".repeat(10_000), "]".repeat(10_000)))),
            &["builds/bad/day.md:3:", "nested or repeated beyond what a journal needs"],
        ),
        Row::bad(
            "10,000 levels of maps",
            |j| entry(j, front(&format!("measured: {}{}", "{a: ".repeat(10_000), "}".repeat(10_000)))),
            &["builds/bad/day.md:3:", "nested or repeated beyond what a journal needs"],
        ),
        Row::bad(
            "10,000 levels of dashes",
            |j| entry(j, front(&format!("had:\n  {}x", "- ".repeat(10_000)))),
            &["builds/bad/day.md:", "nested or repeated beyond what a journal needs"],
        ),
        Row::bad(
            "10,000 levels of open brackets in parts",
            |j| write(j, "parts/deep.yaml", format!("deep-strap: {}", "[".repeat(10_000))),
            &["parts/deep.yaml:1:"],
        ),
        Row::fine("10,000 levels of quotes in Markdown", story(format!("{}deep", "> ".repeat(10_000)))),
        Row::fine("10,000 levels of lists in Markdown", story(format!("{}deep", "- ".repeat(10_000)))),
        Row::fine("10,000 levels of emphasis in Markdown", story(format!("{}deep{}", "*a **b ".repeat(5_000), "** *".repeat(5_000)))),
        Row::fine("10,000 open brackets in Markdown", story(format!("{}deep{}", "[".repeat(10_000), "](x)".repeat(10_000)))),
        Row::fine("10,000 pictures in pictures in Markdown", story(format!("{}deep{}", "![".repeat(10_000), "](x)".repeat(10_000)))),
        Row::fine("100,000 backticks in Markdown", story((1..450).map(|n| format!("{} ", "`".repeat(n))).collect())),
        Row::fine("100,000 headings without a word in Markdown", story("#\n".repeat(100_000))),
        Row::bad(
            "900,000 headings without a word in Markdown",
            story("#\n".repeat(900_000)),
            &["builds/bad/build.md:5:1: error: this text makes 27 MB of a page, and at most 4 are shown: split it"],
        ),
        Row::told(
            "100,000 references in Markdown",
            story(format!("[a]: x\n\n{}", "[a] ".repeat(100_000))),
            &["builds/bad/build.md: warning: more problems than can be listed"],
        ),
        Row::bad(
            "duplicate keys",
            |j| entry(j, front("title: One\ntitle: Two")),
            &["builds/bad/day.md:4:1: error: `title` stands twice: keep one"],
        ),
        Row::bad(
            "duplicate ids",
            |j| write(j, "parts/twice.yaml", "twice: { kind: strap }\ntwice: { kind: strap }\n"),
            &["parts/twice.yaml:2:1: error: the part `twice` stands twice"],
        ),
        Row::bad(
            "tags that make objects elsewhere",
            |j| entry(j, front("title: !!python/object/apply:os.system [ls]")),
            &["builds/bad/day.md:3:"],
        ),
        Row::bad(
            "two documents in one file",
            |j| write(j, "parts/two.yaml", "one: { kind: strap }\n---\ntwo: { kind: strap }\n"),
            &["parts/two.yaml:2:", "a second document begins here: take this line out"],
        ),
        Row::bad(
            "a quote that never ends",
            |j| write(j, "parts/quote.yaml", "one: { kind: strap, name: \"never\n"),
            &["parts/quote.yaml:"],
        ),
        Row::bad(
            "escapes for the terminal",
            |j| entry(j, front("tools: [\"\\e]0;owned\\a\\e[2J\"]\nstate: \"\\e[31mred\"")),
            &["builds/bad/day.md:3:9: error: a text has the invisible character U+001B in it: write it without"],
        ),
        Row::bad(
            "markup in every field",
            |j| entry(j, front("title: \"<script>alert(1)</script>\"\ntools: [\"\\\"><img src=x onerror=x>\"]\nmood: </script>")),
            &["builds/bad/day.md:5:1: error: `mood` is not a field of an entry"],
        )
        .shows("builds/bad/day.html", "&lt;script&gt;alert(1)"),
        Row::bad(
            "a journal.yaml that is a list",
            |j| write(j, "journal.yaml", "- title\n"),
            &["journal.yaml:1:1", "is a map"],
        ),
        Row::bad(
            "a format of the future",
            |j| write(j, "journal.yaml", "title: Hostile\nformat: 999\n"),
            &["journal.yaml:2:9: error: this journal has format 999, and this program reads up to 1"],
        ),
    ]
}

#[test]
fn texts() {
    hold_all(&rows());
}
