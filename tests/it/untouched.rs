//! The journal is the person's: no command changes a byte of it or the time of a file, whether it
//! succeeds or fails; `start`, `parts --from` and `combine --start` add files and nothing else.

use std::collections::BTreeMap;
use std::fs;
use std::io::{BufRead as _, BufReader};
use std::path::{Path, PathBuf};
use std::process::Stdio;
use std::time::SystemTime;

use crate::user::{PROGRAM, Place, end};

/// What of a file or folder may not change.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Stands {
    hash: String,
    length: u64,
    modified: SystemTime,
    read_only: bool,
}

type Journal = BTreeMap<PathBuf, Stands>;

/// Everything in a journal but the site that is written into it; times of folders included, for a
/// temporary file that comes and goes changes them.
fn stands(journal: &Path) -> Journal {
    let mut out = Journal::new();
    for entry in walkdir::WalkDir::new(journal).min_depth(1) {
        let entry = entry.unwrap();
        let path = entry.path().strip_prefix(journal).unwrap().to_owned();
        if path.starts_with("site") {
            continue;
        }
        let about = entry.metadata().unwrap();
        let hash = match about.is_file() {
            true => blake3::hash(&fs::read(entry.path()).unwrap()).to_string(),
            false => String::new(),
        };
        let modified = about.modified().unwrap();
        let read_only = about.permissions().readonly();
        out.insert(path, Stands { hash, length: about.len(), modified, read_only });
    }
    out
}

impl Place {
    /// The journal that `start` writes, with a photo, parts that make a whole watch, and a table.
    fn started() -> Place {
        let place = Place::empty();
        assert_eq!(place.run(&["start", "journal"]).0, Some(0));
        let photo = place.journal().join("builds/first-watch/front.jpg");
        image::RgbImage::from_pixel(60, 40, image::Rgb([120, 90, 60])).save(photo).unwrap();
        place.write(
            "journal/parts/bin.yaml",
            "bin-case: { kind: case, diameter: 36, dial_seat: 27.2, opening: 26, bore: 26, crown_at: 3h }\n\
             bin-dial: { kind: dial, diameter: 27.1, thickness: 0.4, feet: [], lume: none }\n\
             bin-move: { kind: movement, casing_diameter: 25.9 }\nbin-hour: { kind: hand, length: 8, lume: none }\n\
             bin-minute: { kind: hand, length: 12, lume: none }\n",
        );
        place.write("good.csv", "id,kind,width\nnew-strap,strap,20\n");
        place.write("bad.csv", "id,kind,width\nnew-strap,strop,20\n");
        place.write("taken.yaml", "taken\n");
        place
    }
}

/// Every command that only reads, with a journal `J`, and with what it ends.
const READING: [(&[&str], &[i32]); 34] = [
    (&["fit", "--journal", "J"], &[0, 1]),
    (&["fit", "first-watch", "--journal", "J", "--strict", "--full"], &[0, 1]),
    (&["fit", "--journal", "J", "--format", "json"], &[0, 1]),
    (&["fit", "--journal", "J", "--format", "sarif"], &[0, 1]),
    (&["fit", "--journal", "J", "--solve", "dial.diameter"], &[0]),
    (&["fit", "--journal", "J", "--solve", "dial.nothing"], &[2]),
    (&["fit", "no-such-build", "--journal", "J"], &[2]),
    (&["fit", "--journal", "nowhere"], &[2]),
    (&["publish", "J"], &[0]),
    (&["publish", "J", "--fresh"], &[0]),
    (&["publish", "J", "--to", "out"], &[0]),
    (&["publish", "J", "--only", "first-watch", "--to", "one"], &[0]),
    (&["publish", "J", "--only", "no-such-build"], &[2]),
    (&["publish", "J", "--to", "J"], &[2]),
    (&["publish", "J", "--to", "."], &[2]),
    (&["publish", "J", "--to", "J/builds/site"], &[2]),
    (&["publish", "J", "--to", "J/parts"], &[2]),
    (&["publish", "J", "--to", "taken.yaml"], &[2]),
    (&["audit", "J"], &[0]),
    (&["audit", "J", "--kind", "dial", "--format", "json"], &[0]),
    (&["audit", "J", "--kind", "dail"], &[2]),
    (&["caption", "first-watch", "--journal", "J", "--prices"], &[0]),
    (&["caption", "nothing", "--journal", "J"], &[2]),
    (&["wanted", "first-watch", "--journal", "J"], &[0]),
    (&["wanted", "nothing", "--journal", "J"], &[2]),
    (&["combine", "--journal", "J", "--most", "1", "--with", "bin-case"], &[0]),
    (&["combine", "--journal", "J", "--with", "nothing"], &[2]),
    (&["combine", "--journal", "J", "--most", "1", "--with", "bin-case", "--start", "first-watch"], &[2]),
    (&["combine", "--journal", "J", "--most", "1", "--with", "bin-case", "--start", "../out"], &[2]),
    (&["parts", "--from", "good.csv", "--journal", "J"], &[0]),
    (&["parts", "--from", "bad.csv", "--journal", "J", "--into", "J/parts/new.yaml"], &[2]),
    (&["parts", "--from", "good.csv", "--journal", "J", "--into", "J/parts/bin.yaml"], &[2]),
    (&["parts", "--to", "J/parts/bin.yaml", "--journal", "J"], &[2]),
    (&["start", "J"], &[2]),
];

#[test]
fn no_command_changes_the_journal() {
    let place = Place::started();
    let before = stands(&place.journal());
    assert!(before.len() > 8);
    for (arguments, ends) in READING {
        let arguments: Vec<String> = arguments
            .iter()
            .map(|it| if *it == "J" { "journal".into() } else { it.replace("J/", "journal/") })
            .collect();
        let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
        let (status, told) = place.run(&arguments);
        assert!(status.is_some_and(|status| ends.contains(&status)), "{arguments:?}: {status:?} {told}");
        assert_eq!(stands(&place.journal()), before, "{arguments:?}");
    }
    assert_eq!(fs::read_to_string(place.0.path().join("taken.yaml")).unwrap(), "taken\n");
}

#[test]
fn no_command_changes_a_journal_full_of_faults() {
    let place = Place::started();
    place.write("journal/builds/bad/build.md", "---\ntitle: [\n---\n");
    place.write("journal/builds/bad/day.md", "---\ndate: 2026-02-30\n---\n");
    place.write("journal/parts/bad.yaml", "x: { kind: diel }\n");
    place.write("journal/builds/bad/front.jpg", "no picture");
    let before = stands(&place.journal());
    for arguments in [
        &["fit", "--journal", "journal"][..],
        &["publish", "journal", "--to", "out"],
        &["publish", "journal"],
        &["audit", "journal"],
        &["caption", "first-watch", "--journal", "journal"],
        &["wanted", "first-watch", "--journal", "journal"],
        &["parts", "--to", "-", "--journal", "journal"],
    ] {
        assert_eq!(place.run(arguments).0, Some(2), "{arguments:?}");
        assert_eq!(stands(&place.journal()), before, "{arguments:?}");
    }
}

#[cfg(unix)]
#[test]
fn the_bench_changes_nothing_in_the_journal() {
    let place = Place::started();
    let before = stands(&place.journal());
    for signal in ["TERM", "KILL"] {
        let mut bench = place
            .command(PROGRAM)
            .args(["bench", "journal", "--port", "0"])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut lines = BufReader::new(bench.stdout.take().unwrap()).lines();
        let opened = lines.by_ref().map_while(Result::ok).find(|line| line.starts_with("open http://"));
        let address = opened.expect("it opens");
        let port = address.trim_start_matches("open http://127.0.0.1:").split('/').next().unwrap();
        let mut stream = std::net::TcpStream::connect(format!("127.0.0.1:{port}")).unwrap();
        std::io::Write::write_all(
            &mut stream,
            format!("GET / HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nConnection: close\r\n\r\n").as_bytes(),
        )
        .unwrap();
        let mut page = String::new();
        std::io::Read::read_to_string(&mut stream, &mut page).unwrap();
        assert!(page.starts_with("HTTP/1.1 200"), "{page:.300}");
        end(&mut bench, signal);
        assert_eq!(stands(&place.journal()), before, "{signal}");
    }
    // Nothing is left of it that would stop the next.
    assert_eq!(place.run(&["publish", "journal"]).0, Some(0));
    assert!(!place.journal().join("site/.endshake-new").exists());
}

#[test]
fn writing_commands_add_files_and_change_no_other() {
    let place = Place::started();
    let before = stands(&place.journal());
    let added = |arguments: &[&str], wanted: &[&str]| {
        let (status, told) = place.run(arguments);
        assert_eq!(status, Some(0), "{arguments:?}: {told}");
        let mut after = stands(&place.journal());
        for path in wanted {
            assert!(after.remove(Path::new(path)).is_some(), "{arguments:?} did not write {path}: {told}");
        }
        // The folder that a file was added to has another time, and nothing else.
        let files = |journal: &Journal| -> Journal {
            journal
                .iter()
                .filter(|(_, stands)| !stands.hash.is_empty())
                .map(|(a, b)| (a.clone(), b.clone()))
                .collect()
        };
        let known = |path: &Path| wanted.iter().any(|wanted| Path::new(wanted) == path);
        let old: Journal = files(&before).into_iter().filter(|(path, _)| !known(path)).collect();
        let kept: Journal = files(&after).into_iter().filter(|(path, _)| before.contains_key(path)).collect();
        assert_eq!(kept, old, "{arguments:?}");
        after
    };
    added(
        &["parts", "--from", "good.csv", "--journal", "journal", "--into", "journal/parts/new.yaml"],
        &["parts/new.yaml"],
    );
    added(
        &["combine", "--journal", "journal", "--most", "1", "--with", "bin-case", "--start", "next-watch"],
        &["builds/next-watch/build.md", "builds/next-watch"],
    );
    let (status, _) = place.run(&["start", "journal/../other"]);
    assert_eq!(status, Some(0));
    let (status, told) = place.run(&["parts", "--to", "bin.csv", "--journal", "journal"]);
    assert_eq!(status, Some(0), "{told}");
    assert_eq!(
        place.run(&["parts", "--to", "bin.csv", "--journal", "journal"]).0,
        Some(2),
        "it is there already"
    );
}
