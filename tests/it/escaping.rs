//! Attacks from every field that a person can write, against everything that is written: each stays
//! the text that it is, and is shown as such.

use std::collections::BTreeMap;
use std::fs;
use std::process::Command;
use std::sync::OnceLock;

use endshake::journal::folder::Folder;
use endshake::spreadsheet;
use serde_json::{Value, json};

use crate::markup;
use crate::sites::{Look, Made, made};

/// A text that tries to end whatever it stands in, and to act; `name` tells it from the others.
fn attack(name: &str) -> String {
    format!(
        "={name}\"'><xss-{name} onxss=1></title></script><script>xss</script><!--]]>&quot;{{{{ 7*7 }}}}{{% raw %}}\u{2028}\\\", javascript:xss"
    )
}

/// The same as YAML has it.
fn quoted(name: &str) -> String {
    json!(attack(name)).to_string()
}

/// The fields that are shown on pages, by the names of their attacks.
const SHOWN: [&str; 20] = [
    "title", "author", "build", "summary", "reason", "part", "bought", "note", "serial", "entry", "tool",
    "by", "alt", "caption", "given", "strap", "written", "donor", "made", "prose",
];

const SLUG: &str = "a'&lt;b";

fn journal() -> Folder {
    let q = quoted;
    let texts = [
        (
            "journal.yaml".to_owned(),
            format!(
                "title: {}\nauthor: {}\nabout: {}\ncurrency: {}\nlanguage: {}\naddress: {}\nshow: {{ prices: true, serials: true, audit: true }}\n",
                q("title"),
                q("author"),
                q("about"),
                q("currency"),
                q("language"),
                json!(format!("https://known.example/{}", attack("address"))),
            ),
        ),
        (
            "parts/all.yaml".to_owned(),
            format!(
                "the-case: {{ kind: case, name: {}, diameter: 36, dial_seat: 27.2, rehaut: {{ bottom: 26.6, top: 27, height: 1 }}, note: {}, from: {{ bought: {}, price: 12 }} }}\n\
                 the-dial: {{ kind: dial, name: {}, diameter: 28.5, thickness: 0.4, track_diameter: 26, feet: [], from: {{ given: {} }} }}\n\
                 the-move: {{ kind: movement, serial: {}, serviced: {}, from: {{ donor: the-watch }} }}\n\
                 the-watch: {{ kind: watch, name: {}, from: {{ made: {} }} }}\n\
                 free-case: {{ kind: case, diameter: 36, dial_seat: 27.2, bore: 26 }}\n\
                 free-dial: {{ kind: dial, diameter: 27.1, thickness: 0.4, feet: [], note: {} }}\n\
                 free-move: {{ kind: movement, casing_diameter: 25.9 }}\n\
                 the-strap: {{ kind: strap, name: {}, width: 20 }}\n\
                 {}: {{ kind: strap, width: 18 }}\n",
                q("part"),
                q("note"),
                q("bought"),
                q("dial"),
                q("given"),
                q("serial"),
                q("serviced"),
                q("donor"),
                q("made"),
                q("free"),
                q("strap"),
                q("id"),
            ),
        ),
        (
            "calibres/own.yaml".to_owned(),
            format!("{}: {{ total_diameter: 27, source: {} }}\n", q("calibre"), q("source")),
        ),
        (
            format!("builds/{SLUG}/build.md"),
            format!(
                "---\ntitle: {}\nstate: finished\nbegun: 2026-01-01\nsummary: {}\ncover: \"a b\\\"c'.jpg\"\n\
                 parts:\n  case: the-case\n  dial: the-dial\n  movement: the-move\n  strap: the-strap\n  \
                 back: {{ kind: back, name: {}, thickness: 1 }}\naccept: {{ dial-in-seat: {} }}\n---\n\
                 # {}\n\n{}\n\n[x](javascript:xss) ![{}](<a b\"c'.jpg> \"{}\")\n",
                q("build"),
                q("summary"),
                q("written"),
                q("reason"),
                attack("heading"),
                attack("prose"),
                "alt of prose",
                "title of prose",
            ),
        ),
        (
            format!("builds/{SLUG}/a'\"><xss-file onxss=1>.md"),
            format!(
                "---\ndate: 2026-01-02\ntitle: {}\ntools: [{}]\nminutes: 5\nspent: 3\n\
                 altered:\n  - {{ part: the-dial, how: turned down, to: {{ diameter: 27.18 }}, by: {} }}\n\
                 timing:\n  - {{ position: CH, rate: +5, amplitude: 260, wound: {} }}\n\
                 photos:\n  - {{ file: \"a b\\\"c'.jpg\", alt: {}, caption: {} }}\n---\n{}\n",
                q("entry"),
                q("tool"),
                q("by"),
                q("wound"),
                q("alt"),
                q("caption"),
                attack("log"),
            ),
        ),
    ];
    Folder {
        texts: texts.to_vec(),
        builds: vec![SLUG.to_owned()],
        photos: vec![format!("builds/{SLUG}/a b\"c'.jpg")],
        ..Folder::default()
    }
}

fn site() -> &'static Made {
    static SITE: OnceLock<Made> = OnceLock::new();
    SITE.get_or_init(|| made(journal(), &Look::default()))
}

fn known(address: &str) -> bool {
    address.starts_with("https://known.example/")
}

#[test]
fn pages_escape_text_and_attributes_in_both_themes() {
    let others = [("anthracite", false), ("linen", true)]
        .map(|(theme, private)| made(journal(), &Look { theme, private }));
    for site in others.iter().chain([site()]) {
        assert_eq!(site.faults(&known), Vec::<String>::new());
        let mut shown = String::new();
        for (path, html) in site.files.iter().filter(|(path, _)| path.ends_with(".html")) {
            let page = markup::read(html);
            shown.push_str(&page.text);
            for element in &page.elements {
                let odd = element.name.starts_with("xss")
                    || element.attributes.iter().any(|(name, _)| name.contains("xss"));
                assert!(!odd, "{path}: {element:?}");
                element.attributes.iter().for_each(|(_, value)| shown.push_str(value));
            }
            assert!(!page.text.contains("49{% raw"), "{path}: a text was taken for a template");
        }
        for name in SHOWN {
            assert!(
                shown.contains(&format!("{name}\"'><xss-{name} onxss=1>")),
                "{name} is not shown as it is"
            );
        }
    }
}

#[test]
fn every_link_leads_to_a_page_of_the_site() {
    let site = site();
    for (path, html) in site.files.iter().filter(|(path, _)| path.ends_with(".html")) {
        for element in &markup::read(html).elements {
            let Some(address) = element.attribute("href").filter(|address| !known(address)) else { continue };
            let (to, anchor) = address.split_once('#').unwrap_or((address, ""));
            let mut parts: Vec<&str> = path.split('/').collect();
            parts.pop();
            for part in to.split('/').filter(|part| !part.is_empty()) {
                match part {
                    ".." => drop(parts.pop().expect("it stays in the site")),
                    part => parts.push(part),
                }
            }
            let target = if to.is_empty() { path.clone() } else { parts.join("/") };
            if target.starts_with("photos/") || target.starts_with("assets/") {
                continue;
            }
            let page = site.files.get(&target).unwrap_or_else(|| panic!("{path} leads to {target}"));
            let there = anchor.is_empty()
                || markup::read(page).elements.iter().any(|element| element.attribute("id") == Some(anchor));
            assert!(there, "{path}: there is no {anchor} at {target}");
        }
    }
}

#[test]
fn json_ld_keeps_hostile_texts_as_data() {
    let mut found = Vec::new();
    for html in site().files.iter().filter(|(path, _)| path.ends_with(".html")).map(|(_, html)| html) {
        for element in markup::read(html).elements {
            if element.attribute("type") == Some("application/ld+json") {
                found.push(serde_json::from_str::<Value>(&element.text).unwrap());
            }
        }
    }
    let of = |key: &str, text: &str| found.iter().any(|data| data[key].as_str() == Some(text));
    assert!(of("headline", &attack("build")) && of("description", &attack("summary")), "{found:#?}");
    assert!(found.iter().any(|data| data["author"]["name"].as_str() == Some(&attack("author"))));
    assert!(found.iter().all(|data| data["url"].as_str().is_some_and(known)));
}

#[test]
fn the_feed_keeps_hostile_texts_as_data() {
    let site = site();
    let feed = roxmltree::Document::parse(&site.files["feed.xml"]).unwrap();
    let texts: Vec<&str> = feed.descendants().filter_map(|node| node.text()).collect();
    for name in ["title", "author", "entry"] {
        assert!(texts.iter().any(|text| text.contains(&attack(name))), "{name}: {texts:#?}");
    }
    const KNOWN: [&str; 11] = [
        "feed",
        "entry",
        "id",
        "title",
        "subtitle",
        "updated",
        "published",
        "author",
        "name",
        "link",
        "summary",
    ];
    for node in feed.descendants().filter(roxmltree::Node::is_element) {
        assert!(KNOWN.contains(&node.tag_name().name()), "{node:?}");
        assert!(node.attribute("href").is_none_or(known), "{node:?}");
    }
    assert!(texts.iter().any(|text| text.starts_with("=log\"'>")), "{texts:#?}");
    roxmltree::Document::parse(&site.files["sitemap.xml"]).unwrap();
}

#[test]
fn drawings_keep_hostile_texts_as_data() {
    let mut drawings = 0;
    for (path, html) in site().files.iter().filter(|(path, _)| path.ends_with(".html")) {
        for rest in html.split("<svg").skip(1) {
            let svg = format!("<svg{}</svg>", rest.split("</svg>").next().unwrap());
            let svg = svg.replacen("<svg", "<svg xmlns:xlink=\"http://www.w3.org/1999/xlink\"", 1);
            let read =
                roxmltree::Document::parse(&svg).unwrap_or_else(|error| panic!("{path}: {error}: {svg}"));
            for node in read.descendants().filter(roxmltree::Node::is_element) {
                let name = node.tag_name().name();
                assert!(
                    !["script", "foreignObject", "image", "animate", "set", "style"].contains(&name),
                    "{path}: {name}"
                );
                assert!(!name.starts_with("xss"), "{path}: {name}");
                for attribute in node.attributes() {
                    assert!(
                        !attribute.name().starts_with("on") && attribute.name() != "style",
                        "{path}: {attribute:?}"
                    );
                }
            }
            drawings += 1;
        }
    }
    assert!(drawings > 10, "{drawings}");
}

#[test]
fn the_search_index_keeps_hostile_texts_as_data() {
    let site = site();
    // That each of them is one call with JSON in it is among the faults that no site has.
    let pages = &site.files["search/pages.js"];
    let listed: Value = serde_json::from_str(&format!(
        "[{}]",
        pages.trim().strip_prefix("endshakePages(").unwrap().strip_suffix(");").unwrap()
    ))
    .unwrap();
    let told = listed.to_string();
    let has = |text: &str| {
        listed[1]
            .as_array()
            .unwrap()
            .iter()
            .any(|page| page.as_array().unwrap().iter().any(|cell| cell == text))
    };
    for name in ["build", "part", "entry"] {
        assert!(has(&attack(name)), "{name}: {told:.2000}");
    }
    // The script that shows them writes text, never markup.
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("themes");
    for entry in walkdir::WalkDir::new(root) {
        let entry = entry.unwrap();
        if entry.path().extension().is_some_and(|ending| ending == "js") {
            let script = fs::read_to_string(entry.path()).unwrap();
            for word in
                ["innerHTML", "outerHTML =", "insertAdjacentHTML", "document.write", "eval(", "Function("]
            {
                assert!(!script.contains(word), "{}: {word}", entry.path().display());
            }
        }
    }
}

#[test]
fn no_cell_of_an_exported_table_is_a_formula() {
    let table = spreadsheet::write(&site().journal).unwrap();
    let mut read = csv::ReaderBuilder::new().has_headers(false).from_reader(table.as_bytes());
    let rows: Vec<Vec<String>> =
        read.records().map(|row| row.unwrap().iter().map(str::to_owned).collect()).collect();
    let cells: Vec<&String> = rows.iter().flatten().collect();
    assert!(cells.iter().any(|cell| **cell == format!("'{}", attack("part"))), "{cells:#?}");
    for cell in cells {
        let formula = cell.starts_with(['=', '+', '-', '@', '\t', '\r']);
        assert!(!formula || cell.parse::<f64>().is_ok(), "{cell:?} is a formula");
    }
    assert!(rows.iter().all(|row| row.len() == rows[0].len()), "a cell breaks out of its column");
}

#[test]
fn json_and_sarif_keep_hostile_texts_as_data() {
    let dir = tempfile::tempdir().unwrap();
    let journal_dir = dir.path().join("journal");
    for (path, text) in journal().texts {
        let place = journal_dir.join(path);
        fs::create_dir_all(place.parent().unwrap()).unwrap();
        fs::write(place, text).unwrap();
    }
    let told = |arguments: &[&str]| -> (Value, String) {
        let done = Command::new(env!("CARGO_BIN_EXE_endshake"))
            .args(arguments)
            .current_dir(dir.path())
            .output()
            .unwrap();
        let text = String::from_utf8(done.stdout).unwrap();
        let read = serde_json::from_str(&text)
            .unwrap_or_else(|error| panic!("{arguments:?}: {error}: {text:.2000}"));
        (read, text)
    };
    let formats: BTreeMap<&str, Vec<&str>> = [
        ("fit", vec!["fit", "--journal", "journal", "--format", "json"]),
        ("sarif", vec!["fit", "--journal", "journal", "--format", "sarif"]),
        ("audit", vec!["audit", "journal", "--format", "json"]),
        ("wanted", vec!["wanted", SLUG, "--journal", "journal", "--format", "json"]),
        ("combine", vec!["combine", "--journal", "journal", "--format", "json", "--most", "1"]),
    ]
    .into();
    for (name, arguments) in formats {
        let (read, text) = told(&arguments);
        assert!(read.is_object(), "{name}");
        assert!(!text.chars().any(|c| c.is_control() && c != '\n'), "{name}");
        match name {
            "fit" => {
                let accepted = read["builds"][0]["findings"].as_array().unwrap();
                assert!(
                    accepted.iter().any(|finding| finding["accepted"] == json!(attack("reason"))),
                    "{text:.3000}"
                );
            }
            "sarif" => {
                let results = read["runs"][0]["results"].as_array().unwrap();
                let text = |result: &Value| result["message"]["text"].as_str().unwrap().to_owned();
                assert!(
                    results.iter().any(|result| text(result).starts_with(&attack("build"))),
                    "{results:#?}"
                );
                for result in results {
                    let uri = &result["locations"][0]["physicalLocation"]["artifactLocation"]["uri"];
                    let plain = |c: char| c.is_ascii_alphanumeric() || "/-._~%".contains(c);
                    assert!(uri.as_str().unwrap().chars().all(plain), "{uri}");
                }
            }
            _ => {}
        }
    }
}

#[test]
fn markup_faults_find_whatever_acts() {
    let of =
        |html: &str| markup::faults(&markup::read(html), &|link| link.starts_with("https://known.example/"));
    for bad in [
        "<script>x</script>",
        "<script src=a.js>x</script>",
        "<script type=application/ld+json>{</script>",
        "<p onclick=x>",
        "<svg><a xlink:href='javascript:x'>",
        "<a href='java\tscript:x'>",
        "<a href=//x.example>",
        "<img src=https://known.example/a.png>",
        "<img srcset='a.jpg 1x, //x 2x'>",
        "<p style='x'>",
        "<meta http-equiv=Refresh content=0>",
        "<svg><foreignObject></svg>",
        "<template><p onclick=x></template>",
        "<base href=x>",
        "<svg><path d='M0 NaN'></svg>",
    ] {
        assert_eq!(of(bad).len(), 1, "{bad}: {:?}", of(bad));
    }
    let good = "<script src=a.js></script><script type=application/ld+json>{}</script><a href=b.html#c>\
                <a href=https://known.example/x><img src='data:image/png;base64,AA' srcset='a.jpg 1x, b.jpg 2x'>";
    assert_eq!(of(good), Vec::<String>::new());
}
