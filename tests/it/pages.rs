//! The example, published: what holds of every page.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use endshake::pages::render::POLICY;
use tempfile::TempDir;

use crate::user::PROGRAM;

/// The example with these of its photos only, for making them all takes long without optimisation;
/// and with what `change` does to a text.
pub(crate) fn example(photos: &[&str], change: &dyn Fn(&str, String) -> String) -> TempDir {
    let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("content-example");
    let to = TempDir::new().unwrap();
    for found in walkdir::WalkDir::new(&from) {
        let found = found.unwrap();
        let path = found.path().strip_prefix(&from).unwrap();
        let shown = path.to_str().unwrap().to_owned();
        if shown.starts_with("site") {
            continue;
        }
        let target = to.path().join(path);
        if found.file_type().is_dir() {
            fs::create_dir_all(target).unwrap();
        } else if shown.ends_with(".md") || shown.ends_with(".yaml") {
            fs::write(target, change(&shown, fs::read_to_string(found.path()).unwrap())).unwrap();
        } else if photos.contains(&shown.as_str()) {
            fs::copy(found.path(), target).unwrap();
        }
    }
    to
}

/// Publishes a journal; every file of the site that is text, by its path.
pub(crate) fn publish(journal: &Path, more: &[&str]) -> BTreeMap<String, String> {
    let done = Command::new(PROGRAM).arg("publish").arg(journal).args(more).output().unwrap();
    let told = String::from_utf8(done.stdout).unwrap();
    assert!(told.contains("index.html in a browser"), "{told}");
    let site = journal.join("site");
    let mut texts = BTreeMap::new();
    for found in walkdir::WalkDir::new(&site) {
        let found = found.unwrap();
        let path = found.path().strip_prefix(&site).unwrap().to_str().unwrap().to_owned();
        if [".html", ".js", ".css", ".xml"].iter().any(|end| path.ends_with(end)) {
            texts.insert(path, fs::read_to_string(found.path()).unwrap());
        }
    }
    texts
}

/// The values of an attribute on a page.
fn values<'a>(html: &'a str, name: &str) -> Vec<&'a str> {
    let start = format!(" {name}=\"");
    html.match_indices(&start).map(|(at, _)| html[at + start.len()..].split('"').next().unwrap()).collect()
}

/// The file of the site that a page's address leads to.
fn target(page: &str, href: &str) -> String {
    let path = href.split(['#', '?']).next().unwrap();
    if path.is_empty() {
        return page.to_owned();
    }
    let mut pieces: Vec<&str> = page.split('/').collect();
    pieces.pop();
    for piece in path.split('/') {
        match piece {
            ".." => assert!(pieces.pop().is_some(), "{page} leads out of the site by {href}"),
            piece => pieces.push(piece),
        }
    }
    pieces.join("/")
}

#[test]
fn every_page_of_the_example_has_its_policy_and_no_inline_script() {
    let photos = ["builds/lantern/02-three-quarter.jpg", "builds/lantern/07-dial-before.jpg"];
    let journal = example(&photos, &|path, text| {
        if path == "journal.yaml" {
            format!("{text}\naddress: https://bench.example/watches\n")
        } else {
            text
        }
    });
    let site = publish(journal.path(), &[]);
    let files: BTreeSet<PathBuf> = walkdir::WalkDir::new(journal.path().join("site"))
        .into_iter()
        .map(|found| found.unwrap().path().to_owned())
        .collect();
    let exists = |path: &str| files.contains(&journal.path().join("site").join(path));
    let pages: Vec<_> = site.iter().filter(|(path, _)| path.ends_with(".html")).collect();
    assert!(pages.len() > 150, "{} pages", pages.len());
    for (path, html) in &pages {
        assert!(html.contains(&format!("content=\"{POLICY}\"")), "{path} has no policy");
        assert_eq!(html.matches("<h1").count(), 1, "{path}");
        assert!(html.contains("<html lang=\"en-GB\">"), "{path}");
        assert!(!html.contains(" style=") && !html.contains("<style"), "{path} has a style of its own");
        assert!(!html.contains(" onclick") && !html.contains("javascript:"), "{path} acts");
        assert_eq!(
            html.matches("<script").count(),
            html.matches("<script src=").count()
                + html.matches("<script type=\"application/ld+json\"").count(),
            "{path} has a script of its own"
        );
        assert!(html.len() < 120 * 1024, "{path} has {} bytes", html.len());
        let ids = values(html, "id");
        let unique: BTreeSet<_> = ids.iter().collect();
        assert_eq!(ids.len(), unique.len(), "{path} has an id twice");
        for image in html.split("<img ").skip(1) {
            let image = image.split('>').next().unwrap();
            assert!(image.contains(" alt=\"") || image.starts_with("alt=\""), "{path}: {image}");
        }
        for address in values(html, "href").into_iter().chain(values(html, "src")) {
            if ["https://bench.example/watches/", "mailto:", "data:image/png;base64,"]
                .iter()
                .any(|start| address.starts_with(start))
            {
                continue;
            }
            assert!(!address.contains("://"), "{path} asks {address}");
            assert!(!address.is_empty(), "{path} has a link to nowhere");
            let leads_to = target(path, address);
            assert!(exists(&leads_to), "{path} leads to {leads_to}, which is not there");
            if let Some((_, anchor)) = address.split_once('#') {
                let page = site.get(&leads_to).unwrap();
                assert!(page.contains(&format!(" id=\"{anchor}\"")), "{path}: {address} has no place there");
            }
        }
    }
    let feed = site.get("feed.xml").unwrap();
    assert!(feed.contains("https://bench.example/watches/builds/lantern/"), "{feed}");
    assert!(site.get("sitemap.xml").unwrap().contains("<loc>https://bench.example/watches/</loc>"));
    assert!(
        site["builds/lantern.html"].contains("<meta property=\"og:image\" content=\"https://bench.example/")
    );
}

#[test]
fn withheld_builds_appear_nowhere() {
    let journal = example(&[], &|path, text| match path {
        "journal.yaml" => {
            let kept = text.lines().filter(|line| !line.starts_with("show:"));
            kept.collect::<Vec<_>>().join("\n")
                + "\nshow: { prices: false, serials: false, bin: true, audit: false }\n"
        }
        "builds/lantern/build.md" => text.replacen("---\n", "---\nhidden: true\n", 1),
        _ => text,
    });
    for (path, text) in publish(journal.path(), &[]) {
        let low = text.to_lowercase();
        // The id of a part is the part's own, `stem-lantern`, and stays.
        assert!(
            !low.contains("/lantern.html") && !low.contains("lantern/"),
            "{path} leads to what is hidden"
        );
        assert!(!path.starts_with("builds/lantern"), "{path}");
        for word in [">lantern<", "lantern:", "in lantern", "of lantern"] {
            assert!(!low.contains(word), "{path} tells of what is hidden: {word}");
        }
        assert!(!low.contains("north wind"), "{path} has a hidden text");
        assert!(!text.contains(" EUR"), "{path} tells a price");
    }
}

#[test]
fn one_build_alone_is_a_site() {
    let journal = example(&[], &|_, text| text);
    let site = publish(journal.path(), &["--only", "heron"]);
    assert!(site["index.html"].contains("<h1>Heron</h1>"));
    for (path, text) in &site {
        assert!(!text.contains("Lantern"), "{path} tells of another build");
    }
    for (path, html) in site.iter().filter(|(path, _)| path.ends_with(".html")) {
        for address in values(html, "href").into_iter().filter(|address| !address.contains("://")) {
            let leads_to = target(path, address);
            assert!(journal.path().join("site").join(&leads_to).is_file(), "{path} leads to {leads_to}");
        }
    }
}

#[test]
fn a_title_of_markup_is_text_on_every_page() {
    let attack = "<script>alert(1)</script>\\\"' onload=x";
    let journal = example(&[], &|path, text| match path {
        "builds/heron/build.md" => text.replacen("title: Heron", &format!("title: \"{attack}\""), 1),
        "journal.yaml" => {
            text.replacen("title: The kitchen bench at Cold Creek", &format!("title: \"{attack}\""), 1)
        }
        _ => text,
    });
    for (path, text) in publish(journal.path(), &[]) {
        if path.ends_with(".html") {
            assert!(!text.contains("<script>alert"), "{path}");
        }
    }
}

#[test]
fn two_runs_write_the_same_bytes() {
    let journal = example(&[], &|_, text| text);
    let first = publish(journal.path(), &[]);
    fs::remove_dir_all(journal.path().join("site")).unwrap();
    assert!(first == publish(journal.path(), &[]));
}
