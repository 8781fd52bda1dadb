//! Themes of one's own, and the page for those who write them.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use crate::pages::{example, publish};
use crate::user::{PROGRAM, Place};

/// What each template sees beside `frame`: its name, and the struct behind it.
const SHOWN: [(&str, &str); 10] = [
    ("gallery", "GalleryPage"),
    ("build", "BuildPage"),
    ("entry", "EntryPage"),
    ("part", "PartPage"),
    ("bin", "BinPage"),
    ("checks", "ChecksPage"),
    ("check", "CheckPage"),
    ("photos", "PhotosPage"),
    ("audit", "AuditPage"),
    ("search", "SearchPage"),
];

/// A struct that templates see.
#[derive(Default)]
struct Seen {
    doc: String,
    /// Name, type and doc, in the order of the source.
    fields: Vec<(String, String, String)>,
}

/// Everything in `src/pages/context/`, by name.
fn seen() -> BTreeMap<String, Seen> {
    let mut out = BTreeMap::new();
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/pages/context");
    for found in fs::read_dir(folder).unwrap() {
        let text = fs::read_to_string(found.unwrap().path()).unwrap();
        let (mut doc, mut at) = (String::new(), None);
        for line in text.lines() {
            let bare = line.trim();
            if let Some(words) = bare.strip_prefix("/// ") {
                if !doc.is_empty() {
                    doc.push(' ');
                }
                doc.push_str(words);
            } else if let Some(name) =
                line.strip_prefix("pub struct ").and_then(|rest| rest.strip_suffix(" {"))
            {
                out.insert(name.to_owned(), Seen { doc: std::mem::take(&mut doc), ..Seen::default() });
                at = Some(name.to_owned());
            } else if line == "}" {
                at = None;
                doc.clear();
            } else if let (Some(at), Some(field)) = (&at, bare.strip_prefix("pub ")) {
                let (name, kind) = field.trim_end_matches(',').split_once(": ").unwrap();
                assert!(!doc.is_empty(), "{at}.{name} is not documented");
                let field = (name.to_owned(), kind.to_owned(), std::mem::take(&mut doc));
                out.get_mut(at).unwrap().fields.push(field);
            } else if !bare.starts_with("#[") {
                doc.clear();
            }
        }
    }
    out
}

/// A Rust type in the words of themes/README.md, and the struct in it.
fn kind(of: &str) -> (String, Option<&str>) {
    if let Some(item) = of.strip_prefix("Vec<").and_then(|rest| rest.strip_suffix('>')) {
        let (words, found) = kind(item);
        return (format!("[{words}]"), found);
    }
    if let Some(item) = of.strip_prefix("Option<").and_then(|rest| rest.strip_suffix('>')) {
        let (words, found) = kind(item);
        return (format!("{words}?"), found);
    }
    match of {
        "String" => ("text".to_owned(), None),
        "bool" => ("yes or no".to_owned(), None),
        "usize" | "u32" | "u64" | "f64" => ("number".to_owned(), None),
        name => (format!("[{name}](#{})", name.to_lowercase()), Some(name)),
    }
}

/// The part of themes/README.md that follows from the source.
fn described(all: &BTreeMap<String, Seen>) -> String {
    let mut out = String::from(
        "| in | the name | is |\n| --- | --- | --- |\n| every template | `frame` | [Frame](#frame) |\n",
    );
    let mut order = vec!["Frame".to_owned()];
    for (name, of) in SHOWN {
        out.push_str(&format!("| `{name}.html` | `{name}` | [{of}](#{}) |\n", of.to_lowercase()));
        order.push(of.to_owned());
    }
    let mut at = 0;
    while let Some(name) = order.get(at).cloned() {
        let seen = all.get(&name).unwrap_or_else(|| panic!("{name} is in no file of the context"));
        out.push_str(&format!("\n### {name}\n\n{}\n\n| name | is | says |\n| --- | --- | --- |\n", seen.doc));
        for (field, of, doc) in &seen.fields {
            let (words, found) = kind(of);
            out.push_str(&format!("| `{field}` | {words} | {} |\n", doc.replace('|', "\\|")));
            if let Some(found) = found.filter(|found| !order.iter().any(|known| known == found)) {
                order.push(found.to_owned());
            }
        }
        at += 1;
    }
    out
}

#[test]
fn the_theme_readme_lists_every_field_of_the_templates() {
    const BELOW: &str = "A test holds that this is all there is, and that templates find all of it.\n\n";
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("themes/README.md");
    let now = fs::read_to_string(&path).unwrap();
    let (head, told) = now.split_once(BELOW).unwrap();
    let told_now = described(&seen());
    if std::env::var_os("UPDATE_EXPECT").is_some() {
        fs::write(&path, format!("{head}{BELOW}{told_now}")).unwrap();
        return;
    }
    assert!(told == told_now, "themes/README.md is behind src/pages/context: UPDATE_EXPECT=1 writes it anew");
}

/// Lines of a template that tell of each name that it does not find; `path` is of the kind `of`.
fn probe(all: &BTreeMap<String, Seen>, path: &str, of: &str, depth: usize) -> String {
    let mut out = String::new();
    for (field, kind_of, _) in &all[of].fields {
        let at = format!("{path}.{field}");
        out.push_str(&format!("{{% if {at} is not defined %}}MISSING {at}{{% endif %}}"));
        let (_, Some(inner)) = kind(kind_of) else { continue };
        if kind_of.starts_with("Vec<Vec<") {
            continue;
        }
        let item = format!("i{depth}");
        let deeper = |path: &str| probe(all, path, inner, depth + 1);
        if kind_of.starts_with("Vec<") {
            out.push_str(&format!("{{% for {item} in {at} %}}{}{{% endfor %}}", deeper(&item)));
        } else {
            out.push_str(&format!("{{% if {at} %}}{}{{% endif %}}", deeper(&at)));
        }
    }
    out
}

#[test]
fn every_field_in_the_theme_readme_exists() {
    let all = seen();
    let journal = example(&["builds/lantern/02-three-quarter.jpg"], &|_, text| text);
    let folder = journal.path().join("themes/linen");
    fs::create_dir_all(&folder).unwrap();
    for (name, of) in SHOWN {
        let template = format!(
            "<!doctype html><html lang=\"en\"><meta http-equiv=\"Content-Security-Policy\" content=\"{{{{ frame.policy_html | safe }}}}\">\
             <title>{name}</title><p>seen</p>{}{}</html>",
            probe(&all, "frame", "Frame", 0),
            probe(&all, name, of, 0)
        );
        fs::write(folder.join(format!("{name}.html")), template).unwrap();
    }
    let site = publish(journal.path(), &[]);
    let pages = site.iter().filter(|(path, _)| path.ends_with(".html"));
    for (path, html) in pages {
        let missing: Vec<&str> = html.split("MISSING ").skip(1).collect();
        assert!(missing.is_empty() && html.contains("<p>seen"), "{path}: {missing:?}");
    }
}

#[test]
fn one_template_of_a_persons_own_changes_one_page() {
    let journal = example(&[], &|_, text| text);
    let folder = journal.path().join("themes/linen");
    fs::create_dir_all(&folder).unwrap();
    let own = "{% extends \"linen/gallery.html\" %}{% block foot %}<p>Made at night.</p>{% endblock %}";
    fs::write(folder.join("gallery.html"), own).unwrap();
    fs::write(folder.join("more.css"), ":root { --accent: #7a2e2e; }").unwrap();
    let site = publish(journal.path(), &[]);
    assert!(site["index.html"].contains("Made at night."));
    assert!(site["index.html"].contains("Kept by"), "what surrounds it stays");
    assert!(!site["builds/heron.html"].contains("Made at night."));
    let style = site.iter().find(|(path, _)| path.ends_with(".css")).unwrap().1;
    assert!(style.ends_with("--accent:#7a2e2e}"), "{}", &style[style.len() - 80..]);
}

/// Templates that only extend the built-in ones are rendered in a child, with the same result.
#[test]
fn a_child_makes_the_same_pages() {
    let photos = ["builds/lantern/02-three-quarter.jpg"];
    let address = |path: &str, text| match path {
        "journal.yaml" => format!("{text}\naddress: https://bench.example/watches\n"),
        _ => text,
    };
    let journal = example(&photos, &address);
    let here = publish(journal.path(), &["--fresh"]);
    let folder = journal.path().join("themes/linen");
    fs::create_dir_all(&folder).unwrap();
    for (name, _) in SHOWN {
        fs::write(folder.join(format!("{name}.html")), format!("{{% extends \"linen/{name}.html\" %}}"))
            .unwrap();
    }
    let there = publish(journal.path(), &["--fresh"]);
    assert!(here.len() > 100);
    for (path, text) in &here {
        assert!(there.get(path) == Some(text), "{path}");
    }
    assert_eq!(here.len(), there.len());
}

/// The page of one build runs away; which page is rendered first depends on the number of threads.
#[test]
fn a_runaway_template_drops_its_theme_on_any_number_of_threads() {
    let place = Place::empty();
    place.write("journal/journal.yaml", "title: Threads\n");
    for slug in ["a", "b", "c", "d"] {
        place.write(
            &format!("journal/builds/{slug}/build.md"),
            &format!("---\ntitle: The {slug}\n---\nStory.\n"),
        );
    }
    let round = "{% for a in range(end=90000) %}{% for b in range(end=90000) %}{% endfor %}{% endfor %}";
    place.write(
        "journal/themes/linen/build.html",
        &format!("{{% extends \"linen/build.html\" %}}{{% block foot %}}Mine.{{% if build.slug == \"c\" %}}{round}{{% endif %}}{{% endblock %}}"),
    );
    place.write(
        "journal/themes/linen/gallery.html",
        "{% extends \"linen/gallery.html\" %}{% block foot %}Mine.{{ nothing }}{% endblock %}",
    );
    place.write("journal/themes/linen/more.css", "main { margin: 11px; }\n");
    for threads in ["1", "4"] {
        let done = place
            .command(PROGRAM)
            .args(["publish", "journal", "--to", threads])
            .env("RAYON_NUM_THREADS", threads)
            .output()
            .unwrap();
        let told = String::from_utf8(done.stderr).unwrap();
        assert_eq!(done.status.code(), Some(2), "{told}");
        assert_eq!(
            told,
            "themes/linen/build.html: error: runs for more than 5 seconds: look for nested loops; until this \
             is fixed, the site is made with the built-in theme linen\n"
        );
        for found in walkdir::WalkDir::new(place.0.path().join(threads)) {
            let found = found.unwrap();
            let text = fs::read(found.path()).map(|bytes| String::from_utf8_lossy(&bytes).into_owned());
            let text = text.unwrap_or_default();
            assert!(
                !text.contains("Mine.") && !text.contains("11px"),
                "{threads}: {}",
                found.path().display()
            );
        }
        for slug in ["a", "b", "c", "d"] {
            let page = place.0.path().join(threads).join(format!("builds/{slug}.html"));
            assert!(fs::read_to_string(page).unwrap().contains(&format!("The {slug}")));
        }
    }
}
