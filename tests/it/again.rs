//! Whatever is edited between two runs, publishing again gives the bytes of publishing afresh.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use endshake::publish::{Order, publish};
use endshake::session::Session;

use crate::user::PROGRAM;

/// Texts that logs are made of: sizes, alterations, stays, tests, and what cannot be read.
const LOGS: [&str; 9] = [
    "measured:\n  strap: { width: 19.8 }\n",
    "altered:\n  - { part: lot, how: refinished, as: from-lot }\n",
    "measured:\n  shared: { width: 19.6 }\n",
    "removed: [strap]\n",
    "fitted: { strap: spare }\n",
    "had: [spare]\nminutes: 40\nphotos: [{ file: a.jpg, alt: The front }]\n",
    "left: [{ part: spare, how: lost }]\n",
    "pressure:\n  - { bar: 3, method: dry, result: held }\n",
    "measured: [\n",
];

/// What else stands in a log: ways to other pages and photos, and names of other builds and parts.
const WORDS: [&str; 5] = [
    "At the bench.",
    "As [once](../b/day-1.md), and in [the other](../a/build.md).",
    "![The other front](../c/a.jpg) and [its picture](../%61/a.jpg).",
    "The strap of The n1 was no better than this one, nor was spare.",
    "[Away](%2e%2e/n0/day-0.md).",
];

/// Templates of one's own: good ones, some that fail for some pages or all, and some that cannot be read.
const TEMPLATES: [(&str, &str); 7] = [
    ("build.html", "{% extends \"linen/build.html\" %}{% block foot %}Mine.{% endblock %}"),
    ("build.html", "{% extends \"linen/build.html\" %}{% block foot %}{{ build.cover.src }}{% endblock %}"),
    ("build.html", "{% extends \"linen/build.html\" %}{% block nowhere %}{% endblock %}"),
    ("part.html", "{{ part.nothing.at.all }}"),
    ("part.html", "{% extends \"linen/part.html\" %}{% block foot %}Mine.{% endblock %}"),
    ("frame.html", "{% if"),
    ("gallery.html", "no policy"),
];

/// Numbers that look drawn, and are the same each time.
struct Draw(u64);

impl Draw {
    fn below(&mut self, limit: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % limit
    }

    fn of<T: Clone>(&mut self, some: &[T]) -> T {
        some[self.below(some.len())].clone()
    }
}

fn write(journal: &Path, path: &str, text: impl AsRef<[u8]>) {
    let place = journal.join(path);
    fs::create_dir_all(place.parent().unwrap()).unwrap();
    fs::write(place, text).unwrap();
}

fn build(journal: &Path, slug: &str, strap: &str, more: &str) {
    let state = if more.contains("state:") { "" } else { "state: finished\n" };
    let front = format!("title: The {slug}\n{state}begun: 2026-01-01\n{more}");
    let parts = format!(
        "parts:\n  case: case-{slug}\n  strap: {strap}\n  dial: {{ kind: dial, diameter: 28.4, thickness: 0.4 }}\n"
    );
    write(journal, &format!("builds/{slug}/build.md"), format!("---\n{front}{parts}---\nA watch.\n"));
    write(
        journal,
        &format!("parts/{slug}.yaml"),
        format!("case-{slug}: {{ kind: case, lug_width: 20, dial_seat: 28.6 }}\n"),
    );
}

fn settings(journal: &Path, more: &str) {
    write(journal, "journal.yaml", format!("title: Again\naddress: https://again.example/\n{more}"));
}

const STRAPS: [&str; 3] = [
    "lot: { kind: strap, count: 5, width: 20 }\nshared: { kind: strap, width: 20 }\nspare: { kind: strap, width: 18, from: { donor: old } }\nold: { kind: watch, name: The parlour watch }\n",
    "lot: { kind: strap, count: 5, width: 19.5 }\nold: { kind: watch, name: The kitchen watch }\nshared: { kind: strap, width: 20, name: A shared strap, from: { donor: old } }\nspare: { kind: strap, width: 18 }\n",
    "# moved down\n\nlot: { kind: strap, count: 2, width: 20 }\nshared: { kind: strap, width: 20, from: { bought: a fair, price: 12 } }\nspare: { kind: strap, like: shared }\nmore: { kind: strap, width: 22 }\n",
];

fn photo(shade: u8) -> Vec<u8> {
    let mut bytes = std::io::Cursor::new(Vec::new());
    let picture = image::RgbImage::from_pixel(64, 48, image::Rgb([shade, 90, 140]));
    picture.write_to(&mut bytes, image::ImageFormat::Jpeg).unwrap();
    bytes.into_inner()
}

fn slugs(journal: &Path) -> Vec<String> {
    let entries = fs::read_dir(journal.join("builds")).unwrap();
    let mut slugs: Vec<String> =
        entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    slugs.sort();
    slugs
}

/// Does one thing that a person may do to a journal between two looks at it, and says what.
fn edit(journal: &Path, draw: &mut Draw) -> String {
    let slugs = slugs(journal);
    let slug = draw.of(&slugs);
    let day = 10 + draw.below(3);
    let log = format!("builds/{slug}/day-{}.md", draw.below(3));
    match draw.below(18) {
        0..=4 => {
            let text = draw.of(&LOGS);
            let words = draw.of(&WORDS);
            write(journal, &log, format!("---\ndate: 2026-01-{day}\n{text}---\n{words} {day}.\n"));
            format!("{log}: {text}")
        }
        5 => {
            let _ = fs::remove_file(journal.join(&log));
            format!("{log} is gone")
        }
        6 => {
            let renamed = format!("{slug}x");
            if slugs.contains(&renamed) || renamed.len() > 8 {
                return "nothing".to_owned();
            }
            fs::rename(journal.join("builds").join(&slug), journal.join("builds").join(&renamed)).unwrap();
            format!("{slug} is called {renamed}")
        }
        7 if slugs.len() > 2 => {
            fs::remove_dir_all(journal.join("builds").join(&slug)).unwrap();
            format!("{slug} is gone")
        }
        8 => {
            let new = format!("n{}", draw.below(3));
            build(journal, &new, draw.of(&["shared", "lot", "spare"]), "");
            format!("{new} is new")
        }
        9 => {
            let more = draw.of(&[
                "",
                "hidden: true\n",
                "summary: Short.\n",
                "accept: { strap-in-lugs: it holds }\n",
            ]);
            build(journal, &slug, draw.of(&["shared", "lot"]), more);
            format!("{slug}: {more}")
        }
        10 => {
            let at = draw.below(STRAPS.len());
            write(journal, "parts/straps.yaml", STRAPS[at]);
            format!("straps {at}")
        }
        11 => {
            let more = draw.of(&[
                "",
                "show: { prices: true }\n",
                "show: { bin: false }\n",
                "show: { audit: true }\n",
                "theme: anthracite\n",
            ]);
            settings(journal, more);
            format!("settings: {more}")
        }
        12 => {
            let css = format!("main {{ margin: {}px; }}\n", draw.below(3));
            write(journal, "themes/linen/more.css", &css);
            css
        }
        13 => {
            let _ = fs::remove_dir_all(journal.join("themes"));
            "no themes".to_owned()
        }
        14 | 15 => {
            let (file, text) = draw.of(&TEMPLATES);
            write(journal, &format!("themes/linen/{file}"), text);
            format!("{file} is {text}")
        }
        16 => {
            write(journal, &format!("builds/{slug}/a.jpg"), photo(draw.below(3) as u8 * 60));
            format!("{slug} has another photo")
        }
        _ => {
            let _ = fs::remove_file(journal.join(format!("builds/{slug}/a.jpg")));
            format!("{slug} has no photo")
        }
    }
}

/// Every file of a site but its lock.
fn files(site: &Path) -> BTreeMap<String, Vec<u8>> {
    let found = walkdir::WalkDir::new(site).into_iter().map(|found| found.unwrap());
    let files = found.filter(|found| found.file_type().is_file());
    let named = files.map(|found| {
        let path = found.path().strip_prefix(site).unwrap().to_str().unwrap().to_owned();
        (path, fs::read(found.path()).unwrap())
    });
    named.filter(|(path, _)| path != ".endshake.lock").collect()
}

#[test]
fn any_edits_give_what_reading_and_publishing_afresh_give() {
    let dir = tempfile::tempdir().unwrap();
    let (journal, fresh) = (dir.path().join("journal"), dir.path().join("fresh"));
    settings(&journal, "");
    write(&journal, "parts/straps.yaml", STRAPS[0]);
    for (slug, strap) in [("a", "shared"), ("b", "lot"), ("c", "shared")] {
        build(&journal, slug, strap, "");
    }
    let seed = std::env::var("AGAIN_SEED").map_or(8, |seed| seed.parse().unwrap());
    let mut draw = Draw(seed);
    let mut session = Session::open(&journal).unwrap();
    let mut kept = 0;
    for step in 0..60 {
        let before = files(&journal);
        let done = edit(&journal, &mut draw);
        let context = format!("step {step}, {done}");

        let now = files(&journal);
        let paths: BTreeSet<&String> = before.keys().chain(now.keys()).collect();
        let saved = paths.into_iter().filter(|path| before.get(*path) != now.get(*path)).cloned();
        session.update(&saved.collect(), false).unwrap();
        let read = Session::open(&journal).unwrap();
        assert_eq!(
            format!("{:?}", session.reports().all()),
            format!("{:?}", read.reports().all()),
            "{context}"
        );
        assert_eq!(session.problems(), read.problems(), "{context}");
        let units = |session: &Session| format!("{:?}", session.ledger().units);
        assert_eq!(units(&session), units(&read), "{context}");

        let program = Some(PROGRAM.into());
        let order = Order { journal: journal.clone(), program, ..Order::default() };
        let published = publish(&order, &()).unwrap();
        kept += published.kept;
        let _ = fs::remove_dir_all(&fresh);
        let order = Order { to: Some(fresh.clone()), fresh: true, ..order };
        let afresh = publish(&order, &()).unwrap();
        assert_eq!(afresh.kept, 0);
        assert_eq!(published.problems, afresh.problems, "{context}");
        assert_eq!(published.pages, afresh.pages, "{context}");
        let (is, should) = (files(&journal.join("site")), files(&fresh));
        let more = |of: &BTreeMap<String, Vec<u8>>, than: &BTreeMap<String, Vec<u8>>| -> Vec<String> {
            of.keys().filter(|path| !than.contains_key(*path)).cloned().collect()
        };
        assert_eq!((more(&is, &should), more(&should, &is)), (Vec::new(), Vec::new()), "{context}");
        for (path, bytes) in &is {
            assert!(
                *bytes == should[path],
                "{context}: {path} is\n{}\nand should be\n{}",
                String::from_utf8_lossy(bytes),
                String::from_utf8_lossy(&should[path])
            );
        }
    }
    // Else nothing was tried.
    assert!(kept > 100, "{kept} pages were kept");
}

#[test]
fn a_page_changed_by_hand_is_made_again() {
    let dir = tempfile::tempdir().unwrap();
    let journal = dir.path().join("journal");
    settings(&journal, "");
    write(&journal, "parts/straps.yaml", STRAPS[0]);
    build(&journal, "a", "shared", "");
    let order = Order { journal: journal.clone(), ..Order::default() };
    publish(&order, &()).unwrap();
    let page = journal.join("site/builds/a.html");
    let was = fs::read(&page).unwrap();
    for change in
        [&|page: &Path| fs::write(page, "mine").unwrap(), &|page: &Path| fs::remove_file(page).unwrap()]
            as [&dyn Fn(&Path); 2]
    {
        change(&page);
        publish(&order, &()).unwrap();
        assert_eq!(fs::read(&page).unwrap(), was);
    }
}

/// How many pages of the site are made again after `edit`, and which files change.
fn after(order: &Order, edit: impl FnOnce(&Path)) -> (usize, Vec<String>) {
    publish(order, &()).unwrap();
    let before = files(&order.target());
    edit(&order.journal);
    let published = publish(order, &()).unwrap();
    let now = files(&order.target());
    let changed = now.iter().filter(|(path, bytes)| before.get(*path) != Some(*bytes));
    (published.pages - published.kept, changed.map(|(path, _)| path.clone()).collect())
}

#[test]
fn a_change_in_one_build_makes_no_page_of_others_again() {
    let dir = tempfile::tempdir().unwrap();
    let journal = dir.path().join("journal");
    settings(&journal, "");
    for slug in ["a", "b", "c", "d", "e"] {
        build(&journal, slug, &format!("strap-{slug}"), "");
        write(
            &journal,
            &format!("parts/strap-{slug}.yaml"),
            format!("strap-{slug}: {{ kind: strap, width: 20 }}\n"),
        );
        write(&journal, &format!("builds/{slug}/day.md"), "---\ndate: 2026-01-05\n---\nA day.\n");
    }
    let order = Order { journal, ..Order::default() };
    let others = |changed: &[String]| -> Vec<String> {
        let own = |path: &&String| path.starts_with("builds/") || path.starts_with("parts/");
        changed
            .iter()
            .filter(own)
            .filter(|path| !path.contains("/c") && !path.contains("strap-c"))
            .cloned()
            .collect()
    };
    let none = Vec::<String>::new();
    // The latest day of all, which moves the build to the front of the gallery: the build that was the
    // first there, and those that stood beside it, lead to another neighbour now.
    let (_, changed) = after(&order, |journal| {
        write(journal, "builds/c/later.md", "---\ndate: 2026-02-05\n---\nThe last day of all.\n");
    });
    assert!(changed.contains(&"builds/c/later.html".to_owned()), "{changed:?}");
    assert_eq!(others(&changed), ["builds/a.html", "builds/b.html", "builds/d.html"]);
    let (made, changed) = after(&order, |journal| {
        write(journal, "builds/c/next.md", "---\ndate: 2026-02-06\n---\nThe day after.\n");
    });
    assert_eq!(others(&changed), none);
    // Its own, its five parts' and the pages over many builds.
    let over_many = 6 + endshake::fit::checks::ALL.len();
    assert!(made <= over_many + 10, "{made} pages were made");
    let (_, changed) = after(&order, |journal| {
        write(journal, "parts/zz.yaml", "zz: { kind: strap, width: 18 }\n");
    });
    assert_eq!(others(&changed), ["parts/strap-e.html", "parts/zz.html"]);
}

#[test]
fn an_index_page_is_made_again_when_what_it_shows_changed() {
    let dir = tempfile::tempdir().unwrap();
    let journal = dir.path().join("journal");
    settings(&journal, "");
    write(&journal, "parts/straps.yaml", STRAPS[0]);
    for (slug, strap) in [("a", "shared"), ("b", "lot")] {
        build(&journal, slug, strap, "");
        write(&journal, &format!("builds/{slug}/day.md"), "---\ndate: 2026-01-05\n---\nA day.\n");
    }
    let order = Order { journal, ..Order::default() };
    let over_many = |changed: &[String]| -> Vec<String> {
        let of_one = ["builds/", "parts/", "search/", "."];
        changed.iter().filter(|path| !of_one.iter().any(|of| path.starts_with(of))).cloned().collect()
    };
    let none = Vec::<String>::new();
    // Words are for the build's own two pages, those of its two parts, the search and the feed.
    let (made, changed) = after(&order, |journal| {
        write(journal, "builds/a/day.md", "---\ndate: 2026-01-05\n---\nA day among days.\n");
    });
    assert_eq!((made, over_many(&changed)), (5, vec!["feed.xml".to_owned()]));
    // A size moves the findings that ask for it, and the part.
    let (_, changed) = after(&order, |journal| {
        let measured = "---\ndate: 2026-01-05\nmeasured:\n  strap: { width: 20.6 }\n---\nA day among days.\n";
        write(journal, "builds/a/day.md", measured);
    });
    assert_eq!(over_many(&changed), ["bin.html", "checks.html", "checks/strap-in-lugs.html", "index.html"]);
    // What is accepted needs no second look any more.
    let (_, changed) = after(&order, |journal| {
        build(journal, "a", "shared", "accept: { strap-in-lugs: it is soft }\n");
    });
    assert_eq!(over_many(&changed), ["checks.html", "checks/strap-in-lugs.html", "index.html"]);
    let (_, changed) = after(&order, |_| {});
    assert_eq!(changed, none);
}

#[test]
fn a_part_that_comes_free_shows_on_the_page_of_a_watch_that_wants_one() {
    let dir = tempfile::tempdir().unwrap();
    let journal = dir.path().join("journal");
    settings(&journal, "");
    let planned = "---\ntitle: Planned\nstate: planned\nparts: { case: case-a }\n---\nNot yet.\n";
    write(&journal, "builds/p/build.md", planned);
    build(&journal, "a", "spare", "");
    // All that is asked of a strap, so that a free one is listed as going.
    write(
        &journal,
        "parts/a.yaml",
        "case-a: { kind: case, lug_width: 20, dial_seat: 28.6, bar_offset: 2.4 }\n",
    );
    write(&journal, "parts/straps.yaml", "spare: { kind: strap, width: 19.8, thickness: 3 }\n");
    let order = Order { journal, ..Order::default() };
    let (_, changed) = after(&order, |journal| {
        write(journal, "parts/more.yaml", "another: { kind: strap, width: 19.9, thickness: 3 }\n");
    });
    assert!(changed.contains(&"builds/p.html".to_owned()), "{changed:?}");
    let fresh = Order { to: Some(dir.path().join("fresh")), fresh: true, ..order.clone() };
    publish(&fresh, &()).unwrap();
    assert!(files(&order.target()) == files(&fresh.target()));
}

#[test]
fn a_site_made_without_the_theme_is_made_with_it_once_that_is_fixed() {
    let dir = tempfile::tempdir().unwrap();
    let journal = dir.path().join("journal");
    settings(&journal, "");
    write(&journal, "parts/straps.yaml", STRAPS[0]);
    for slug in ["a", "b"] {
        build(&journal, slug, "shared", "");
    }
    write(&journal, "builds/a/a.jpg", photo(60));
    let program = Some(PROGRAM.into());
    let order = Order { journal: journal.clone(), program, ..Order::default() };
    let mine = |foot: &str| {
        let text =
            format!("{{% extends \"linen/build.html\" %}}{{% block foot %}}Mine. {foot}{{% endblock %}}");
        write(&journal, "themes/linen/build.html", text);
    };
    // The journal itself is not without problems.
    let told = || {
        let mut problems = publish(&order, &()).unwrap().problems;
        problems.retain(|problem| problem.place.file.starts_with("themes/"));
        problems
    };
    let shown = || {
        ["a", "b"].map(|slug| {
            let page = fs::read_to_string(journal.join(format!("site/builds/{slug}.html"))).unwrap();
            assert!(page.contains(&format!("The {slug}")));
            page.contains("Mine.")
        })
    };
    mine("");
    assert_eq!((told(), shown()), (Vec::new(), [true, true]));
    // It fails where there is no cover: then the whole site is made without it.
    mine("{{ build.cover.src }}");
    let first = told();
    assert_eq!(shown(), [false, false]);
    let [problem] = first.as_slice() else { panic!("{first:?}") };
    assert_eq!(problem.place.to_string(), "themes/linen/build.html:1:70");
    let meanwhile = "until this is fixed, the site is made with the built-in theme linen";
    assert!(problem.message.ends_with(meanwhile), "{}", problem.message);
    // Whatever is looked at again, it is told again; a page that rests on the same is kept.
    write(&journal, "builds/b/day.md", "---\ndate: 2026-01-01\n---\nA day.\n");
    let before = fs::metadata(journal.join("site/builds/a.html")).unwrap().modified().unwrap();
    assert_eq!((told(), shown()), (first, [false, false]));
    assert_eq!(fs::metadata(journal.join("site/builds/a.html")).unwrap().modified().unwrap(), before);
    mine("fixed");
    assert_eq!((told(), shown()), (Vec::new(), [true, true]));
    let fresh = Order { to: Some(dir.path().join("fresh")), fresh: true, ..order.clone() };
    publish(&fresh, &()).unwrap();
    assert!(files(&order.target()) == files(&fresh.target()));
}
