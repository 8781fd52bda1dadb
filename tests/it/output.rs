//! A site that cannot be written: each hindrance is told in words, by the command itself, and what
//! stood there stays.

#![cfg(unix)]

use std::collections::BTreeMap;
use std::fs;
use std::os::unix::fs::symlink;
use std::os::unix::process::ExitStatusExt as _;
use std::process::{Output, Stdio};
use std::sync::mpsc::channel;

use endshake::site::Site;
use notify::Watcher as _;

use crate::user::{PATIENCE, PROGRAM, Place, end};

impl Place {
    /// A small journal with a photo.
    fn small() -> Place {
        let place = Place::empty();
        place.write("journal/journal.yaml", "title: To be written\n");
        place.write("journal/parts/a.yaml", "strap-a: { kind: strap, width: 20 }\n");
        place.write(
            "journal/builds/one/build.md",
            "---\ntitle: One\nstate: planned\nparts: { strap: strap-a }\n---\nStory.\n",
        );
        let photo = image::RgbImage::from_fn(300, 200, |x, y| {
            image::Rgb([(x % 250) as u8, (y % 250) as u8, (x * y % 255) as u8])
        });
        photo.save(place.journal().join("builds/one/front.jpg")).unwrap();
        place
    }

    /// The program in a shell that may limit it first.
    fn shell(&self, before: &str, arguments: &str) -> Output {
        let line = format!("{before}exec \"$PROGRAM\" {arguments}");
        self.command("sh").args(["-c", &line]).output().unwrap()
    }

    fn tree(&self, path: &str) -> BTreeMap<String, Vec<u8>> {
        let dir = self.0.path().join(path);
        let files = walkdir::WalkDir::new(&dir).into_iter().flatten();
        files
            .map(|it| {
                let content =
                    if it.file_type().is_file() { fs::read(it.path()).unwrap() } else { Vec::new() };
                (it.path().strip_prefix(&dir).unwrap().to_str().unwrap().to_owned(), content)
            })
            // What is remembered between runs lies in the person's own cache, wherever the site goes.
            .filter(|(path, _)| path != ".endshake.lock" && !path.starts_with("cache"))
            .collect()
    }
}

fn told(done: &Output) -> String {
    let told = String::from_utf8_lossy(&done.stdout).into_owned() + &String::from_utf8_lossy(&done.stderr);
    assert!(!told.contains("panicked"), "{told}");
    told
}

#[test]
fn publish_names_what_keeps_a_site_from_being_written() {
    let place = Place::small();
    symlink("journal/builds", place.0.path().join("link-to-builds")).unwrap();
    symlink("nowhere", place.0.path().join("link-to-nothing")).unwrap();
    place.write("file", "a file");
    place.write("full/thesis.txt", "years of work");
    let before = place.tree(".");
    for (to, words) in [
        ("journal", "that is the journal itself"),
        (".", "the journal lies in it"),
        ("journal/builds", "it lies in the journal's builds/"),
        ("journal/builds/one/site", "it lies in the journal's builds/"),
        ("journal/../journal/parts/site", "it lies in the journal's parts/"),
        ("link-to-builds/site", "it lies in the journal's builds/"),
        ("link-to-nothing", "is a link that leads nowhere"),
        ("file", "part of the path is a file, not a folder"),
        ("file/site", "part of the path is a file, not a folder"),
        ("full", "is not empty (it holds `thesis.txt`) and Endshake did not make it"),
        // What no right helps with, not even root's.
        ("/dev/null/site", "part of the path is a file, not a folder"),
        ("/proc/endshake/site", "cannot write the site to /proc/endshake/site"),
        ("/sys/endshake/site", "cannot write the site to /sys/endshake/site"),
    ] {
        let done = place.shell("", &format!("publish journal --to {to}"));
        assert_eq!(done.status.code(), Some(2), "{to}: {}", told(&done));
        assert!(
            told(&done).starts_with("endshake: ") && told(&done).contains(words),
            "{to}: {}",
            told(&done)
        );
        assert_eq!(told(&done).lines().count(), 1, "{to}: {}", told(&done));
        assert!(place.tree(".") == before, "{to}: something was written");
    }
}

/// Where files may not grow beyond a limit: as a disk that is full half-way through a file, and no
/// right or mount is needed for it.
#[test]
fn a_full_disk_is_reported_and_leaves_the_old_site() {
    let place = Place::small();
    assert_eq!(place.shell("", "publish journal --to site").status.code(), Some(0));
    let before = place.tree("site");
    let journal = place.tree("journal");
    place.write("journal/builds/two/build.md", "---\ntitle: Two\nstate: planned\n---\nAnother story.\n");
    let journal = {
        drop(journal);
        place.tree("journal")
    };
    // In blocks of 512 bytes: none, one, some pages, all but the largest.
    for blocks in [0, 1, 8, 16] {
        let done = place.shell(&format!("trap '' XFSZ; ulimit -f {blocks}; "), "publish journal --to site");
        assert_eq!(done.status.code(), Some(2), "{blocks}: {}", told(&done));
        assert!(
            told(&done).contains("the file would be larger than the system allows here"),
            "{blocks}: {}",
            told(&done)
        );
        let after = place.tree("site");
        for (path, bytes) in &before {
            assert!(after.get(path) == Some(bytes), "{blocks}: {path} did not stay");
        }
        assert!(place.tree("journal") == journal, "{blocks}: the journal was changed");
    }
    // The same with the signal that ends the process.
    let done = place.shell("ulimit -f 8; ", "publish journal --to site");
    assert_ne!(done.status.code(), Some(0));
    let after = place.tree("site");
    assert!(before.iter().all(|(path, bytes)| after.get(path) == Some(bytes)));
    // With room again the next run finishes, and nothing of the others is left.
    assert_eq!(place.shell("", "publish journal --to site").status.code(), Some(0));
    assert_eq!(place.shell("", "publish journal --to fresh").status.code(), Some(0));
    assert!(place.tree("site") == place.tree("fresh"));
}

#[test]
fn a_full_or_closed_output_stream_causes_no_panic() {
    let place = Place::small();
    for (arguments, to) in [
        ("fit --journal journal", ">/dev/full"),
        ("fit --journal journal --format json", ">/dev/full"),
        ("audit journal", ">/dev/full"),
        ("schema", ">/dev/full"),
        ("publish journal --to site", ">/dev/full"),
        ("publish journal --to site", "2>/dev/full"),
        ("fit --journal journal", ">&-"),
        ("publish journal --to site", ">&- 2>&-"),
    ] {
        let done = place.shell("", &format!("{arguments} {to}"));
        let said = told(&done);
        let status = done.status.code();
        assert!(status == Some(2) || status == Some(0), "{arguments} {to}: {status:?} {said}");
        if to == ">/dev/full" {
            assert_eq!(status, Some(2), "{arguments}: {said}");
            assert!(said.starts_with("endshake: "), "{arguments}: {said}");
        }
    }
    assert_eq!(place.shell("", "publish journal --to site").status.code(), Some(0));
}

#[test]
fn publish_works_without_a_writable_cache() {
    let place = Place::small();
    for cache in ["/dev/null", "/proc/endshake", "relative", ""] {
        let done = place
            .command(PROGRAM)
            .args(["publish", "journal", "--to", "site"])
            .env("XDG_CACHE_HOME", cache)
            .env("HOME", "/dev/null")
            .output()
            .unwrap();
        assert_eq!(done.status.code(), Some(0), "{cache}: {}", told(&done));
    }
}

#[test]
fn publish_refuses_to_run_twice_at_once() {
    let place = Place::small();
    assert_eq!(place.shell("", "publish journal --to site").status.code(), Some(0));
    let before = place.tree("site");
    let held = Site::open(&place.journal(), &place.0.path().join("site")).unwrap();
    let done = place.shell("", "publish journal --to site");
    assert_eq!(done.status.code(), Some(2));
    assert!(
        told(&done).contains("another publish or bench is writing site: wait until it is done, or end it"),
        "{}",
        told(&done)
    );
    drop(held);
    assert!(place.tree("site") == before);

    // Begun together, over and over: each is done or told, one at least is done, and the site is whole.
    for round in 0..4 {
        place.write("journal/builds/one/day.md", &format!("---\ndate: 2026-01-02\n---\nRound {round}.\n"));
        let start = || {
            place
                .command(PROGRAM)
                .args(["publish", "journal", "--to", "site"])
                .stdout(Stdio::null())
                .stderr(Stdio::piped())
                .spawn()
                .unwrap()
        };
        let children: Vec<_> = (0..3).map(|_| start()).collect();
        let mut good = 0;
        for child in children {
            let done = child.wait_with_output().unwrap();
            let said = told(&done);
            match done.status.code() {
                Some(0) => good += 1,
                Some(2) => assert!(said.contains("another publish or bench is writing"), "{said}"),
                other => panic!("{other:?}: {said}"),
            }
        }
        assert!(good >= 1);
        let page = fs::read_to_string(place.0.path().join("site/builds/one/day.html")).unwrap();
        assert!(page.contains(&format!("Round {round}.")), "{page:.500}");
        assert!(!place.0.path().join("site/.endshake-new").exists());
    }
    let _ = fs::remove_dir_all(place.0.path().join("fresh"));
    assert_eq!(place.shell("", "publish journal --to fresh").status.code(), Some(0));
    assert!(place.tree("site") == place.tree("fresh"));
}

/// Whole files below a folder, but for what a run that was ended leaves for the next to clear away.
fn published(place: &Place) -> BTreeMap<String, Vec<u8>> {
    let mut files = place.tree("site");
    files.retain(|path, _| !path.starts_with("photos") && !path.starts_with(".endshake"));
    files
}

#[test]
fn a_publish_ended_among_its_photos_leaves_the_old_site() {
    let place = Place::small();
    assert_eq!(place.run(&["publish", "journal", "--to", "site"]).0, Some(0));
    let before = place.tree("site");
    let pages = published(&place);
    let mut dice = crate::dice::Dice(11);
    for n in 0..6 {
        let noise = image::RgbImage::from_fn(1200, 800, |_, _| {
            let roll = dice.roll();
            image::Rgb([roll as u8, (roll >> 8) as u8, (roll >> 16) as u8])
        });
        noise.save(place.journal().join(format!("builds/one/{n}.jpg"))).unwrap();
    }
    let photos = place.0.path().join("site/photos");
    let count = || fs::read_dir(&photos).unwrap().count();
    let (told, heard) = channel();
    let mut watcher = notify::recommended_watcher(told).unwrap();
    watcher.watch(&photos, notify::RecursiveMode::NonRecursive).unwrap();
    let had = count();
    let mut child = place
        .command(PROGRAM)
        .args(["publish", "journal", "--to", "site"])
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    while count() < had + 2 {
        heard.recv_timeout(PATIENCE).expect("photos are written").unwrap();
    }
    assert_eq!(end(&mut child, "TERM").signal(), Some(15), "it was done before it was ended");
    let after = place.tree("site");
    assert!(published(&place) == pages, "a page changed");
    let photos = before.iter().filter(|(path, _)| path.starts_with("photos/"));
    assert!(
        photos.clone().count() > 0 && photos.into_iter().all(|(path, bytes)| after.get(path) == Some(bytes))
    );

    assert_eq!(place.run(&["publish", "journal", "--to", "site"]).0, Some(0));
    assert_eq!(place.run(&["publish", "journal", "--to", "fresh", "--fresh"]).0, Some(0));
    assert!(place.tree("site") == place.tree("fresh"), "the next run did not finish");
}
