//! The site's folder: nothing of others is touched, and every refusal says why.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use endshake::site::{FileRole, Site, Written};

const PAGE: &str = "<!doctype html><title>A</title>";

/// A journal beside which a site can stand.
struct Place(tempfile::TempDir);

impl Place {
    fn new() -> Place {
        let dir = tempfile::tempdir().unwrap();
        fs::create_dir_all(dir.path().join("journal/builds/lantern")).unwrap();
        Place(dir)
    }

    fn journal(&self) -> PathBuf {
        self.0.path().join("journal")
    }

    fn site(&self) -> PathBuf {
        self.0.path().join("site")
    }

    fn publish(&self, files: &[(&str, FileRole, &str)]) -> anyhow::Result<Written> {
        publish(&self.journal(), &self.site(), files)
    }

    /// Asserts that publishing is refused with these words, and that not a byte changed.
    fn refused(&self, files: &[(&str, FileRole, &str)], words: &str) {
        let before = tree(self.0.path());
        let told = format!("{:#}", self.publish(files).expect_err("it was taken"));
        assert!(told.contains(words), "{told}");
        let ours = |path: &String| !path.ends_with(".endshake.lock");
        let after: BTreeMap<_, _> = tree(self.0.path()).into_iter().filter(|(path, _)| ours(path)).collect();
        assert_eq!(after, before.into_iter().filter(|(path, _)| ours(path)).collect(), "after: {told}");
    }
}

fn publish(journal: &Path, target: &Path, files: &[(&str, FileRole, &str)]) -> anyhow::Result<Written> {
    let mut site = Site::open(journal, target)?;
    let round = site.begin();
    for (path, kind, text) in files {
        round.put(path, *kind, text.as_bytes())?;
    }
    round.finish()
}

/// Every file and folder below, links unfollowed.
fn tree(dir: &Path) -> BTreeMap<String, Vec<u8>> {
    walkdir::WalkDir::new(dir)
        .into_iter()
        .flatten()
        .map(|entry| {
            let path = entry.path().strip_prefix(dir).unwrap().to_string_lossy().into_owned();
            let is_file = entry.file_type().is_file();
            (path, if is_file { fs::read(entry.path()).unwrap() } else { Vec::new() })
        })
        .collect()
}

#[test]
fn an_unchanged_file_is_not_written_again() {
    let place = Place::new();
    let files = [
        ("index.html", FileRole::Page, PAGE),
        ("a/b/c.html", FileRole::Page, "c"),
        ("search.js", FileRole::Data, "s()"),
    ];
    let first = place.publish(&files).unwrap();
    assert_eq!(first, Written { written: 3, ..Written::default() });
    let times = || -> Vec<_> {
        walkdir::WalkDir::new(place.site())
            .sort_by_file_name()
            .into_iter()
            .map(|entry| {
                let entry = entry.unwrap();
                (entry.path().to_owned(), entry.metadata().unwrap().modified().unwrap())
            })
            // The folder itself sees our working folder come and go.
            .filter(|(path, _)| *path != place.site())
            .collect()
    };
    let before = times();
    let again = place.publish(&files).unwrap();
    assert_eq!(again, Written { unchanged: 3, ..Written::default() });
    assert_eq!(times(), before);
}

#[test]
fn foreign_files_stay_and_our_outdated_files_go() {
    let place = Place::new();
    place
        .publish(&[
            ("index.html", FileRole::Page, PAGE),
            ("builds/a/index.html", FileRole::Page, "a"),
            ("builds/b.html", FileRole::Page, "b"),
        ])
        .unwrap();
    fs::write(place.site().join("builds/notes.txt"), "mine").unwrap();
    fs::write(place.site().join("CNAME"), "example.org").unwrap();
    fs::write(place.site().join("builds/b.html"), "b, and what I added").unwrap();
    let written = place.publish(&[("index.html", FileRole::Page, PAGE)]).unwrap();
    assert_eq!(
        written,
        Written { unchanged: 1, deleted: 1, left: vec!["builds/b.html".into()], ..Written::default() }
    );
    let left: Vec<_> = tree(&place.site()).into_keys().filter(|path| !path.contains(".endshake")).collect();
    assert_eq!(left, ["", "CNAME", "builds", "builds/b.html", "builds/notes.txt", "index.html"]);
    // From now on that page is the person's.
    place.refused(
        &[("builds/b.html", FileRole::Page, "b")],
        "did not write and would have to replace: `builds/b.html`",
    );
}

#[test]
fn a_page_changed_by_hand_is_written_again() {
    let place = Place::new();
    place.publish(&[("index.html", FileRole::Page, PAGE)]).unwrap();
    fs::write(place.site().join("index.html"), PAGE.to_uppercase()).unwrap();
    assert_eq!(place.publish(&[("index.html", FileRole::Page, PAGE)]).unwrap().written, 1);
    assert_eq!(fs::read_to_string(place.site().join("index.html")).unwrap(), PAGE);
    fs::remove_file(place.site().join("index.html")).unwrap();
    assert_eq!(place.publish(&[("index.html", FileRole::Page, PAGE)]).unwrap().written, 1);
}

#[test]
fn foreign_folders_and_files_are_refused() {
    let page = [("index.html", FileRole::Page, PAGE)];
    let place = Place::new();
    fs::create_dir(place.site()).unwrap();
    fs::write(place.site().join("thesis.txt"), "years of work").unwrap();
    place.refused(&page, "is not empty (it holds `thesis.txt`) and Endshake did not make it");
    assert!(!place.site().join(".endshake.lock").exists());

    let place = Place::new();
    fs::write(place.site(), "a file").unwrap();
    place.refused(&page, "part of the path is a file, not a folder");

    let place = Place::new();
    place.publish(&page).unwrap();
    fs::write(place.site().join("bin.html"), "mine").unwrap();
    place.refused(&[("bin.html", FileRole::Page, "ours")], "`bin.html`; move them away");
    fs::write(place.site().join("builds"), "a file").unwrap();
    place.refused(&[("builds/a.html", FileRole::Page, "a")], "builds is a file and not a folder");
    fs::create_dir(place.site().join("parts.html")).unwrap();
    place.refused(&[("parts.html", FileRole::Page, "a")], "parts.html is a folder and not a file");
    place.refused(&[("../out.html", FileRole::Page, "a")], "begins with a dot");
    place.refused(
        &[("a.html", FileRole::Page, "a"), ("A.html", FileRole::Page, "b")],
        "are one file of the site on some systems",
    );
}

#[test]
fn a_site_in_the_journals_own_folders_is_refused() {
    let place = Place::new();
    for (target, words) in [
        (place.journal(), "that is the journal itself"),
        (place.journal().join("builds/lantern/site"), "it lies in the journal's builds/"),
        (place.0.path().to_owned(), "the journal lies in it"),
    ] {
        let before = tree(place.0.path());
        let told = publish(&place.journal(), &target, &[("index.html", FileRole::Page, PAGE)]).unwrap_err();
        assert!(told.to_string().contains(words), "{told:#}");
        assert_eq!(tree(place.0.path()), before);
    }
}

#[cfg(unix)]
#[test]
fn links_are_not_followed() {
    use std::os::unix::fs::symlink;
    let place = Place::new();
    let page = [("index.html", FileRole::Page, PAGE), ("photos/a.html", FileRole::Page, "a")];
    place.publish(&page).unwrap();
    let elsewhere = place.0.path().join("elsewhere");
    fs::create_dir(&elsewhere).unwrap();
    fs::write(elsewhere.join("a.html"), "a").unwrap();
    fs::write(elsewhere.join("precious"), "precious").unwrap();

    // A folder of ours that became a link: neither written through nor deleted through.
    fs::rename(place.site().join("photos"), place.0.path().join("moved")).unwrap();
    symlink(&elsewhere, place.site().join("photos")).unwrap();
    place.refused(&page, "photos is a link and not a folder");
    let written = place.publish(&page[..1]).unwrap();
    assert_eq!((written.deleted, written.left), (0, vec!["photos/a.html".to_owned()]));
    assert!(elsewhere.join("a.html").is_file());

    // A page of ours that became a link.
    fs::remove_file(place.site().join("index.html")).unwrap();
    symlink(elsewhere.join("precious"), place.site().join("index.html")).unwrap();
    place.refused(&page[..1], "index.html is a link");
    for own in [".endshake.lock", ".endshake.json", ".endshake-new"] {
        let place = Place::new();
        place.publish(&page).unwrap();
        let _ = fs::remove_file(place.site().join(own));
        symlink(elsewhere.join("precious"), place.site().join(own)).unwrap();
        place.refused(&page, "move it away");
    }
    assert_eq!(fs::read_to_string(elsewhere.join("precious")).unwrap(), "precious");
}

#[test]
fn a_damaged_manifest_deletes_nothing() {
    let page = [("index.html", FileRole::Page, PAGE)];
    for damage in ["", "{", "[]", "{\"format\": 2}", "{\"format\": 1}", "\u{0}\u{0}\u{0}"] {
        let place = Place::new();
        place.publish(&page).unwrap();
        fs::write(place.site().join(".endshake.json"), damage).unwrap();
        place.refused(&page, "which says which files of the site Endshake may replace");
    }
    // One that names a file outside the site must not get it deleted.
    let place = Place::new();
    place.publish(&page).unwrap();
    let manifest = fs::read_to_string(place.site().join(".endshake.json")).unwrap();
    fs::write(place.0.path().join("victim"), PAGE).unwrap();
    fs::write(place.site().join(".endshake.json"), manifest.replace("index.html", "../victim")).unwrap();
    place.refused(&page, "it is damaged");
}

#[test]
fn a_second_writer_is_refused() {
    let place = Place::new();
    let held = Site::open(&place.journal(), &place.site()).unwrap();
    place.refused(&[], "another publish or bench is writing");
    drop(held);
    place.publish(&[]).unwrap();
}

#[test]
fn leftovers_of_an_ended_run_are_cleared_and_nothing_else() {
    let place = Place::new();
    // Ended before there was a manifest.
    fs::create_dir_all(place.site().join(".endshake-new")).unwrap();
    fs::write(place.site().join(".endshake-new/7"), "half a pa").unwrap();
    fs::write(place.site().join(".endshake.lock"), "").unwrap();
    place.publish(&[("index.html", FileRole::Page, PAGE)]).unwrap();
    let left: Vec<_> = tree(&place.site()).into_keys().collect();
    assert_eq!(left, ["", ".endshake.json", ".endshake.lock", "index.html"]);

    // A round that is dropped leaves the site and no temporaries.
    let before = tree(&place.site());
    let mut site = Site::open(&place.journal(), &place.site()).unwrap();
    let round = site.begin();
    round.put("index.html", FileRole::Page, b"other").unwrap();
    fs::write(round.temporary().unwrap(), "of the caller").unwrap();
    drop(round);
    assert_eq!(tree(&place.site()), before);
}

#[test]
fn files_with_content_names_are_ours_from_the_moment_their_folder_is_claimed() {
    let place = Place::new();
    let (one, two) = ("photos/00000000000000000001.jpg", "photos/00000000000000000002.jpg");
    {
        // A run that ends after it has written two photos.
        let mut site = Site::open(&place.journal(), &place.site()).unwrap();
        let round = site.begin();
        round.claim("photos").unwrap();
        fs::write(round.folder().join(one), "one").unwrap();
        fs::write(round.folder().join(two), "two").unwrap();
        std::mem::forget(round);
    }
    fs::write(place.site().join("photos/holiday.jpg"), "mine").unwrap();
    // The next needs one of them, and does none again.
    let mut site = Site::open(&place.journal(), &place.site()).unwrap();
    let round = site.begin();
    round.keep(one, FileRole::Asset).unwrap();
    round.put("index.html", FileRole::Page, PAGE.as_bytes()).unwrap();
    let written = round.finish().unwrap();
    assert_eq!(written, Written { written: 1, unchanged: 1, deleted: 1, ..Written::default() });
    let left: Vec<_> = tree(&place.site().join("photos")).into_keys().collect();
    assert_eq!(left, ["", "00000000000000000001.jpg", "holiday.jpg"]);

    let round = site.begin();
    assert!(round.keep(two, FileRole::Asset).unwrap_err().to_string().contains("is gone"));
    round.keep("photos/holiday.jpg", FileRole::Asset).unwrap();
    assert!(round.finish().unwrap_err().to_string().contains("`photos/holiday.jpg`"));
}

/// Runs `child` below in a shell that limits what it may do.
fn limited(shell: &str, dir: &Path, words: &str) -> std::process::Output {
    Command::new("sh")
        .args(["-c", shell])
        .env("CHILD_EXE", std::env::current_exe().unwrap())
        .env("CHILD_DIR", dir)
        .env("CHILD_WORDS", words)
        .output()
        .unwrap()
}

const CHILD: &str = "\"$CHILD_EXE\" --exact site::child --ignored --nocapture";

/// In a process of its own: a site that cannot grow says so, stays whole and works again.
#[test]
#[ignore = "run by the tests below"]
fn child() {
    let dir = PathBuf::from(std::env::var_os("CHILD_DIR").unwrap());
    let words = std::env::var("CHILD_WORDS").unwrap();
    let (journal, site) = (dir.join("journal"), dir.join("site"));
    fs::create_dir_all(&journal).unwrap();
    let small = [("index.html", FileRole::Page, PAGE), ("a.html", FileRole::Page, "a")];
    publish(&journal, &site, &small).unwrap();
    let before = tree(&site);
    let large = "x".repeat(1 << 20);
    for large in [
        [("index.html", FileRole::Page, "new"), ("b.html", FileRole::Page, &large)],
        [("b.html", FileRole::Data, &large), ("c.js", FileRole::Data, &large)],
    ] {
        let told = format!("{:#}", publish(&journal, &site, &large).expect_err("it was taken"));
        assert!(told.contains(&words) && told.contains("b.html (the site is unchanged)"), "{told}");
        assert_eq!(tree(&site), before);
    }
    assert_eq!(publish(&journal, &site, &small[..1]).unwrap().deleted, 1);
}

#[cfg(unix)]
#[test]
fn a_site_that_does_not_fit_is_refused_and_the_old_one_stays() {
    let check = |shell: String, words: &str| {
        let dir = tempfile::tempdir().unwrap();
        let output = limited(&shell, dir.path(), words);
        let told = String::from_utf8_lossy(&output.stdout) + String::from_utf8_lossy(&output.stderr);
        assert!(output.status.success() && told.contains("1 passed"), "{told}");
    };
    // A limit on the size of files answers like a disk that is full half-way through a file.
    check(format!("trap '' XFSZ; ulimit -f 64; exec {CHILD}"), "larger than the system allows");
    // A full disk itself, where this user may mount one.
    let mount = "mount -t tmpfs -o size=256k none";
    let can = Command::new("unshare").args(["-rm", "sh", "-c"]).arg(format!("{mount} /tmp")).output();
    if can.is_ok_and(|output| output.status.success()) {
        check(format!("exec unshare -rm sh -c '{mount} \"$CHILD_DIR\" && exec {CHILD}'"), "the disk is full");
    }
}

/// In a process of its own, without root's right to write anywhere.
#[test]
#[ignore = "run by the test below"]
fn locked_out() {
    use std::os::unix::fs::PermissionsExt;
    let place = Place::new();
    let page = [("index.html", FileRole::Page, PAGE), ("a/b.html", FileRole::Page, "b")];
    let mode =
        |path: PathBuf, mode: u32| fs::set_permissions(path, fs::Permissions::from_mode(mode)).unwrap();
    place.publish(&page).unwrap();
    let other = [
        ("index.html", FileRole::Page, "new"),
        ("a/b.html", FileRole::Page, "new"),
        ("a/c.html", FileRole::Page, "c"),
    ];

    mode(place.site(), 0o555);
    place.refused(&other, "you may not write there");
    mode(place.site(), 0o755);

    // Found out only on the way: what is there is whole, and the next round finishes.
    mode(place.site().join("a"), 0o555);
    let told = format!("{:#}", place.publish(&other).unwrap_err());
    assert!(told.contains("is whole, but not all of it is new: publish again"), "{told}");
    assert!(told.contains("a/c.html: you may not write there"), "{told}");
    mode(place.site().join("a"), 0o755);
    place.publish(&other).unwrap();
    assert_eq!(fs::read_to_string(place.site().join("a/b.html")).unwrap(), "new");

    let place = Place::new();
    mode(place.0.path().to_owned(), 0o555);
    place.refused(&page, "you may not write there");
    mode(place.0.path().to_owned(), 0o755);
}

#[cfg(unix)]
#[test]
fn a_folder_that_may_not_be_written_is_refused() {
    // Root may write everywhere unless this right is taken from it.
    let shell = "if [ \"$(id -u)\" = 0 ]; then drop='setpriv --bounding-set=-dac_override'; fi; \
                 exec $drop \"$CHILD_EXE\" --exact site::locked_out --ignored --nocapture";
    let output = limited(shell, Path::new("."), "");
    let told = String::from_utf8_lossy(&output.stdout) + String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success() && told.contains("1 passed"), "{told}");
}
