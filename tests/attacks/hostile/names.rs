//! Names of builds, entries, parts and photos that file systems, addresses and eyes take wrongly.

use std::fs;
use std::path::Path;

use super::{Row, hold_all, write};

fn build(journal: &Path, slug: &str) {
    write(journal, &format!("builds/{slug}/build.md"), "---\ntitle: Odd name\nstate: planned\n---\nStory.\n");
    write(
        journal,
        &format!("builds/{slug}/day.md"),
        "---\ndate: 2026-01-03\n---\nSee [the start](build.md).\n",
    );
}

fn named(slug: &'static str) -> impl Fn(&Path) {
    move |journal| build(journal, slug)
}

fn part(id: &'static str) -> impl Fn(&Path) {
    move |journal| {
        write(
            journal,
            "parts/odd.yaml",
            format!("{}: {{ kind: strap, width: 20 }}\n", serde_json::json!(id)),
        );
    }
}

/// The pages of one build, whatever they are called: each leads back to the other.
fn pages(journal: &Path) {
    for slug in [
        "two words",
        "it's",
        "100%25 %2e%2e%2f",
        "🌊 Tide",
        "日時計",
        "a..b",
        "&amp;",
        "(1) [x] {{ y }}",
        "$HOME `id`",
    ] {
        build(journal, slug);
    }
}

pub(super) fn rows() -> Vec<Row> {
    let bad = |name, slug: &'static str, answer| {
        Row::bad(name, named(slug), &["error: the build's folder `", answer])
    };
    vec![
        Row::bad(
            "slugs that differ by case",
            |j| ["Tide", "tide"].into_iter().for_each(|slug| build(j, slug)),
            &[
                "builds/tide: error: the folders `Tide` and `tide` differ only by case or Unicode form: rename one",
            ],
        ),
        Row::bad(
            "slugs that differ by Unicode form",
            |j| ["cafe\u{301}", "caf\u{e9}"].into_iter().for_each(|slug| build(j, slug)),
            &["differ only by case or Unicode form: rename one"],
        ),
        Row::bad(
            "ids that differ by case",
            |j| write(j, "parts/odd.yaml", "Strap: { kind: strap }\nstrap: { kind: strap }\n"),
            &["parts/odd.yaml:2:1: error: the ids `Strap` and `strap` differ only by case or Unicode form"],
        ),
        Row::bad(
            "entries that differ by case",
            |j| {
                build(j, "tide");
                write(j, "builds/tide/Day.md", "---\ndate: 2026-01-04\n---\nAnother.\n");
            },
            &["builds/tide/", "differ only by case or Unicode form"],
        ),
        Row::fine("spaces, quotes, percent signs, emoji, other scripts", pages),
        bad("a double quote", "a \"b\"", "has `\"` in it: use letters, digits and -"),
        bad("a backslash", "a\\..\\b", "has `\\` in it"),
        bad("markup", "<img src=x>", "has `<` in it"),
        bad("an address", "javascript:alert(1)", "has `:` in it"),
        bad("a question", "a?b", "has `?` in it"),
        bad("a dot at its end", "a..", "begins or ends with"),
        bad("a space at its end", "a ", "begins or ends with"),
        bad("an option", "--to", "begins or ends with"),
        bad("a device", "con", "is reserved by some systems"),
        bad("a device with an ending", "nul.watch", "is reserved by some systems"),
        bad("bidi controls", "a\u{202e}gpj.b", "has the invisible character U+202E"),
        bad("a width of nothing", "a\u{200b}b", "has the invisible character U+200B"),
        Row::bad(
            "escapes for the terminal",
            named("a\u{1b}[31m"),
            &["builds/a\\u{1b}[31m: error: its name has the invisible character U+001B in it: rename it"],
        ),
        Row::bad(
            "a line break",
            named("a\nerror: b"),
            &["builds/a\\u{a}error: b: error: its name has the invisible character U+000A in it: rename it"],
        ),
        bad("250 letters", LONG, "is longer than 120 bytes"),
        Row::bad(
            "an id of dots",
            part(".."),
            &["parts/odd.yaml:1:1: error: the part's id `..`", "begins or ends"],
        ),
        Row::bad("an id that leads out", part("../../etc/passwd"), &["parts/odd.yaml:1:1", "has `/` in it"]),
        Row::bad(
            "an id of markup",
            part("\"><script>alert(1)</script>"),
            &["parts/odd.yaml:1:1", "has `\"` in it"],
        ),
        Row::bad("an id of bidi controls", part("a\u{2066}b"), &["parts/odd.yaml:1:1", "U+2066"]),
        Row::bad("no id", part(""), &["parts/odd.yaml:1:1: error: the part's id `` is empty"]),
        #[cfg(unix)]
        Row::bad(
            "a name that is no Unicode",
            |j| {
                use std::os::unix::ffi::OsStrExt as _;
                build(j, "bad");
                let name = std::ffi::OsStr::from_bytes(b"day-\xff.md");
                fs::write(j.join("builds/bad").join(name), "---\ndate: 2026-01-03\n---\n").unwrap();
            },
            &["builds/bad/day-\u{fffd}.md: error: its name is not Unicode: rename it"],
        ),
        Row::fine("builds named like pages of the site", |j| {
            for slug in ["index.html", "search", "good.html", "checks", "photos", ".hidden", "assets"] {
                build(j, slug);
            }
            write(
                j,
                "parts/odd.yaml",
                "index.html: { kind: strap }\nbuilds: { kind: strap }\nindex: { kind: strap }\n",
            );
        }),
        Row::fine("photos named like pages, and folders like texts", |j| {
            build(j, "bad");
            let photo = {
                let mut bytes = std::io::Cursor::new(Vec::new());
                image::RgbImage::from_pixel(30, 20, image::Rgb([90, 90, 90]))
                    .write_to(&mut bytes, image::ImageFormat::Jpeg)
                    .unwrap();
                bytes.into_inner()
            };
            let names = [
                "index.html.jpg",
                "build.md.jpg",
                "day.html.JPG",
                "100%.jpg",
                "a b\"c'.jpg",
                "<b>.jpg",
                "a?b#c.jpg",
                "🌊.jpg",
                "a..%2f..%2fx.jpg",
                "photos/index.html.jpg",
                "con.jpg",
            ];
            for name in names {
                write(j, &format!("builds/bad/{name}"), &photo);
            }
            let list: String = names
                .iter()
                .map(|name| format!("  - {{ file: {}, alt: Odd }}\n", serde_json::json!(name)))
                .collect();
            write(
                j,
                "builds/bad/all.md",
                format!("---\ndate: 2026-01-03\nphotos:\n{list}---\n![x](<a b\"c'.jpg>)\n"),
            );
            fs::create_dir_all(j.join("builds/bad/folder.md")).unwrap();
            fs::create_dir_all(j.join("parts/folder.yaml")).unwrap();
        }),
        Row::bad(
            "photos that lie elsewhere",
            |j| {
                build(j, "bad");
                let list: String =
                    ["../../../etc/passwd", "/etc/passwd", "../good/build.md", "https://x.example/a.jpg"]
                        .map(|name| format!("  - {{ file: \"{name}\", alt: Odd }}\n"))
                        .concat();
                write(
                    j,
                    "builds/bad/all.md",
                    format!("---\ndate: 2026-01-03\nphotos:\n{list}---\n![p](../../../etc/passwd)\n"),
                );
            },
            &["builds/bad/all.md:4:", "error: there is no photo `../../../etc/passwd` in builds/bad"],
        ),
        Row::fine("a cover from nowhere that is a page", |j| {
            write(
                j,
                "builds/bad/build.md",
                "---\ntitle: Bad\nstate: planned\n---\n[a](../good/build.md) [b](../../journal.yaml) [c](/etc/passwd)\n",
            );
        }),
    ]
}

const LONG: &str = concat!(
    "aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa",
    "aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa",
);

#[test]
fn names() {
    hold_all(&rows());
}
