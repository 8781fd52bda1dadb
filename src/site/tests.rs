//! The promise of this module, tried at every single step of a round.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use anyhow::bail;
use proptest::prelude::*;

use super::*;

/// A site by path; pages are listed with what they link to and show.
type Files = BTreeMap<String, (FileRole, Vec<u8>)>;

/// Pages `a` to `f`, of which some exist, link to some others and show some pictures; all link to
/// the index and load the data.
fn sites() -> impl Strategy<Value = Files> {
    let page =
        (prop::collection::btree_set(0usize..6, 0..5), prop::collection::btree_set(0u8..4, 0..3), 0u8..3);
    prop::collection::btree_map(0usize..6, page, 0..6).prop_map(|pages| {
        let mut files = Files::new();
        let path = |n: usize| format!("builds/{}/index.html", ["a", "b", "c", "d", "e", "f"][n]);
        let mut index = String::from("<!doctype html><script src=\"data.js\"></script>");
        for (n, (links, pictures, version)) in &pages {
            let mut html = format!(
                "<!doctype html><p>version {version}<script src=\"../../data.js\"></script><a href=\"../../index.html\">up</a>"
            );
            for link in links.iter().filter(|link| pages.contains_key(link)) {
                html.push_str(&format!("<a href=\"../../{}\">on</a>", path(*link)));
            }
            for picture in pictures {
                let picture = format!("photos/{picture:016x}.jpg");
                html.push_str(&format!("<img src=\"../../{picture}\">"));
                files.insert(picture.clone(), (FileRole::Asset, picture.into_bytes()));
            }
            html.push_str("</html>");
            files.insert(path(*n), (FileRole::Page, html.into_bytes()));
            index.push_str(&format!("<a href=\"{}\">build</a>", path(*n)));
        }
        index.push_str("</html>");
        files.insert("data.js".into(), (FileRole::Data, format!("pages({:?})", pages.keys()).into_bytes()));
        files.insert("index.html".into(), (FileRole::Page, index.into_bytes()));
        files
    })
}

fn publish(dir: &Path, files: &Files, step: &mut dyn FnMut() -> Result<()>) -> Result<Written> {
    let mut site = Site::open(&dir.join("journal"), &dir.join("site"))?;
    let round = site.begin();
    for (path, (kind, bytes)) in files {
        round.put(path, *kind, bytes)?;
    }
    round.finish_stepwise(step)
}

fn fresh() -> tempfile::TempDir {
    let dir = tempfile::tempdir().unwrap();
    fs::create_dir(dir.path().join("journal")).unwrap();
    dir
}

fn tree(dir: &Path) -> BTreeMap<String, Vec<u8>> {
    walkdir::WalkDir::new(dir)
        .into_iter()
        .map(Result::unwrap)
        .filter(|entry| !entry.file_type().is_dir())
        .map(|entry| {
            let path = entry.path().strip_prefix(dir).unwrap().to_string_lossy().into_owned();
            (path, fs::read(entry.path()).unwrap())
        })
        .collect()
}

/// Every reference of every page leads to a file that is there, and every file is one that was
/// asked for, whole; a page may lack links that do not lead anywhere yet.
fn look_through(dir: &Path, old: &Files, new: &Files) {
    for (path, bytes) in tree(dir).iter().filter(|(path, _)| !path.starts_with(".endshake")) {
        let text = String::from_utf8(bytes.clone()).unwrap();
        let asked = [old, new].into_iter().filter_map(|site| site.get(path)).any(|(_, whole)| {
            let links = links::of(path, bytes);
            whole == bytes
                || links::without(path, whole, |target| target != path && !links.iter().any(|l| l == target))
                    == *bytes
        });
        assert!(asked, "{path} is neither old nor new: {text}");
        if path.ends_with(".html") {
            let folder = dir.join(path);
            let references =
                text.split(['"', '<']).filter(|part| part.contains(".html") || part.contains('.'));
            for reference in references {
                assert!(folder.parent().unwrap().join(reference).is_file(), "{path} leads to {reference}");
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    #[test]
    fn stopped_at_any_step_the_site_is_whole_and_the_next_round_finishes(old in sites(), new in sites(), cold in prop::bool::weighted(0.3)) {
        let old = if cold { Files::new() } else { old };
        let wanted = fresh();
        publish(wanted.path(), &new, &mut || Ok(())).unwrap();
        let wanted = tree(&wanted.path().join("site"));
        for stop in 0.. {
            let dir = fresh();
            let site = dir.path().join("site");
            if !cold {
                publish(dir.path(), &old, &mut || Ok(())).unwrap();
            }
            let mut steps = 0;
            let done = publish(dir.path(), &new, &mut || {
                if steps == stop {
                    bail!("stopped");
                }
                steps += 1;
                Ok(())
            });
            look_through(&site, &old, &new);
            let finished = done.is_ok();
            if !finished {
                // Every other time the person changed their mind before the next round.
                if stop % 2 == 0 && !cold {
                    publish(dir.path(), &old, &mut || Ok(())).unwrap();
                    look_through(&site, &old, &old);
                }
                publish(dir.path(), &new, &mut || Ok(())).unwrap();
            }
            prop_assert_eq!(tree(&site), wanted.clone());
            if finished {
                break;
            }
        }
    }
}

#[test]
fn a_circle_of_new_pages_appears_without_dangling_links() {
    let mut files = Files::new();
    for (page, other) in [("a.html", "b.html"), ("b.html", "a.html")] {
        files.insert(page.into(), (FileRole::Page, format!("<a href=\"{other}\">on</a>").into_bytes()));
    }
    let dir = fresh();
    let mut seen = Vec::new();
    publish(dir.path(), &files, &mut || {
        let page = |name| fs::read_to_string(dir.path().join("site").join(name)).unwrap_or_default();
        seen.push(format!("{} | {}", page("a.html"), page("b.html")));
        Ok(())
    })
    .unwrap();
    seen.dedup();
    assert_eq!(
        seen,
        [
            " | ",
            "<a data-later>on</a> | ",
            "<a data-later>on</a> | <a href=\"a.html\">on</a>",
            "<a href=\"b.html\">on</a> | <a href=\"a.html\">on</a>",
        ]
    );
}
