//! The command `bench` from its first line to Ctrl-C, spoken to as a browser would.

use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::{TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

use crate::user::end;

/// Longer than any machine takes; a test that waits for it has failed.
const PATIENCE: Duration = Duration::from_secs(60);

struct Bench {
    child: Child,
    port: u16,
    /// The lines that it prints, and those that it printed before its address.
    lines: Receiver<String>,
    said_before: Vec<String>,
    journal: PathBuf,
    _dir: tempfile::TempDir,
}

impl Drop for Bench {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn write(journal: &Path, path: &str, text: &str) {
    let place = journal.join(path);
    fs::create_dir_all(place.parent().unwrap()).unwrap();
    fs::write(place, text).unwrap();
}

fn log(text: &str) -> String {
    format!("---\ndate: 2026-01-12\ntitle: A day\n---\n{text}\n")
}

/// Starts the bench over a small journal, behind a link, asking for a port.
fn start(port: u16) -> Bench {
    start_under(None, port)
}

/// The same by a shell, after some commands of it that take away what the bench may use.
fn start_under(shell: Option<&[&str]>, port: u16) -> Bench {
    let dir = tempfile::tempdir().unwrap();
    let real = dir.path().join("real");
    write(&real, "journal.yaml", "title: At the bench\n");
    write(&real, "parts/cases.yaml", "tub: { kind: case, dial_seat: 28.6 }\n");
    write(
        &real,
        "builds/lantern/build.md",
        "---\ntitle: Lantern\nstate: on the bench\nbegun: 2026-01-10\nparts:\n  case: tub\n  dial: { kind: dial, diameter: 28.4 }\n---\nAmber.\n",
    );
    write(&real, "builds/lantern/day.md", &log("The first words."));
    let journal = dir.path().join("journal");
    #[cfg(unix)]
    std::os::unix::fs::symlink(&real, &journal).unwrap();
    #[cfg(not(unix))]
    fs::rename(&real, &journal).unwrap();
    let mut words = shell.unwrap_or_default().to_vec();
    words.push(env!("CARGO_BIN_EXE_endshake"));
    let mut child = Command::new(words[0])
        .args(&words[1..])
        .args(["bench", journal.to_str().unwrap(), "--port", &port.to_string()])
        .env("XDG_CACHE_HOME", dir.path().join("cache"))
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let (told, lines) = channel();
    let out = child.stdout.take().unwrap();
    std::thread::spawn(move || {
        for line in BufReader::new(out).lines().map_while(Result::ok) {
            if told.send(line).is_err() {
                return;
            }
        }
    });
    let mut bench = Bench { child, port: 0, lines, said_before: Vec::new(), journal, _dir: dir };
    let line = loop {
        let line = bench.lines.recv_timeout(PATIENCE).expect("it tells its address");
        if line.starts_with("open http://127.0.0.1:") {
            break line;
        }
        bench.said_before.push(line);
    };
    let port = line.trim_start_matches("open http://127.0.0.1:").split('/').next().unwrap();
    bench.port = port.parse().unwrap();
    bench
}

impl Bench {
    /// The next line that holds these words.
    fn said(&self, words: &str) -> String {
        loop {
            let line = self.lines.recv_timeout(PATIENCE).unwrap_or_else(|_| panic!("`{words}` was not said"));
            if line.contains(words) {
                return line;
            }
        }
    }

    fn ask(&self, path: &str) -> TcpStream {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream.set_read_timeout(Some(PATIENCE)).unwrap();
        write!(stream, "GET {path} HTTP/1.1\r\nHost: 127.0.0.1:{}\r\nConnection: close\r\n\r\n", self.port)
            .unwrap();
        stream
    }

    fn page(&self, path: &str) -> String {
        let mut answer = Vec::new();
        self.ask(path).read_to_end(&mut answer).unwrap();
        String::from_utf8_lossy(&answer).into_owned()
    }

    fn listen(&self) -> Events {
        let mut events = Events(BufReader::new(self.ask("/.bench/events")));
        // What was told last is told to everyone who comes.
        events.next();
        events
    }

    /// Waits, event by event, until a page holds these words.
    fn shows(&self, events: &mut Events, path: &str, words: &str) {
        while !self.page(path).contains(words) {
            events.next();
        }
    }
}

struct Events(BufReader<TcpStream>);

impl Events {
    /// The data of the next event.
    fn next(&mut self) -> serde_json::Value {
        let begun = std::time::Instant::now();
        loop {
            // What keeps the stream alive comes all the while.
            assert!(begun.elapsed() < PATIENCE, "nothing was told");
            let mut line = String::new();
            assert!(self.0.read_line(&mut line).unwrap() > 0, "the stream has ended");
            // Lines of the transfer's chunks stand between those of the stream.
            if let Some(data) = line.strip_prefix("data: ") {
                return serde_json::from_str(data).unwrap();
            }
        }
    }

    /// Waits for an event in whose problems these words stand; none where they are empty.
    fn tell(&mut self, words: &str) {
        loop {
            let said = self.next()["said"].to_string();
            if if words.is_empty() { said == "[]" } else { said.contains(words) } {
                return;
            }
        }
    }
}

#[test]
fn the_bench_shows_each_save() {
    let bench = start(0);
    let own = "/builds/lantern/day.html";
    assert!(bench.page(own).contains("The first words."));
    let mut events = bench.listen();

    write(&bench.journal, "builds/lantern/day.md", &log("Other words."));
    events.next();
    bench.shows(&mut events, own, "Other words.");
    bench.shows(&mut events, "/builds/lantern.html", "Other words.");

    // As editors save: beside, then over.
    write(&bench.journal, "builds/lantern/day.md.new", &log("Renamed words."));
    fs::rename(bench.journal.join("builds/lantern/day.md.new"), bench.journal.join("builds/lantern/day.md"))
        .unwrap();
    bench.shows(&mut events, own, "Renamed words.");

    // What got worse is said in the terminal.
    // Saved over: between emptying a file and writing it the bench may read it, and say that the finding is gone.
    write(&bench.journal, "parts/.cases.yaml.new", "tub: { kind: case, dial_seat: 28.2 }\n");
    fs::rename(bench.journal.join("parts/.cases.yaml.new"), bench.journal.join("parts/cases.yaml")).unwrap();
    let line = bench.said("dial-in-seat");
    assert!(line.contains("worse") && line.contains("lantern"), "{line}");

    // A photo.
    assert!(!bench.page("/builds/lantern.html").contains("photos/"));
    let mut photo = std::io::Cursor::new(Vec::new());
    let picture = image::RgbImage::from_pixel(64, 48, image::Rgb([200, 90, 40]));
    picture.write_to(&mut photo, image::ImageFormat::Jpeg).unwrap();
    fs::write(bench.journal.join("builds/lantern/front.jpg"), photo.into_inner()).unwrap();
    bench.shows(&mut events, "/builds/lantern.html", "photos/");
    fs::remove_file(bench.journal.join("builds/lantern/front.jpg")).unwrap();
    while bench.page("/builds/lantern.html").contains("photos/") {
        events.next();
    }

    // A build that is new, is called otherwise, and goes.
    let text = "---\ntitle: Tide\nstate: planned\n---\nBlue.\n";
    write(&bench.journal, "builds/tide/build.md", text);
    bench.shows(&mut events, "/builds/tide.html", "Blue.");
    fs::rename(bench.journal.join("builds/tide"), bench.journal.join("builds/ebb")).unwrap();
    bench.shows(&mut events, "/builds/ebb.html", "Blue.");
    bench.shows(&mut events, "/builds/tide.html", "Not in the journal");
    fs::remove_dir_all(bench.journal.join("builds/ebb")).unwrap();
    bench.shows(&mut events, "/builds/ebb.html", "Not in the journal");

    // Settings and looks.
    write(&bench.journal, "journal.yaml", "title: Under the lamp\n");
    bench.shows(&mut events, own, "Under the lamp");
    let style = || bench.page(own).split("assets/style-").nth(1).unwrap()[..16].to_owned();
    let before = style();
    write(&bench.journal, "themes/linen/more.css", "main { margin: 3px; }\n");
    while style() == before {
        events.next();
    }
}

#[test]
fn a_broken_theme_is_told_and_the_site_waits_for_it() {
    let bench = start(0);
    let mut events = bench.listen();
    let (own, file) = ("/builds/lantern/day.html", "themes/linen/entry.html");
    let mine =
        |foot: &str| format!("{{% extends \"linen/entry.html\" %}}{{% block foot %}}{foot}{{% endblock %}}");
    write(&bench.journal, file, &mine("Made at night."));
    bench.shows(&mut events, own, "Made at night.");
    let site = bench.journal.join("site/builds/lantern/day.html");
    let published = || fs::read_to_string(&site).is_ok_and(|page| page.contains("Made at night."));
    let begun = std::time::Instant::now();
    while !published() {
        assert!(begun.elapsed() < PATIENCE, "it is not published");
        std::thread::sleep(Duration::from_millis(20));
    }
    // One that fails while a page is made, and one that cannot be read.
    for (broken, place) in [(mine("{{ entry.nothing }}"), ":1:"), (mine("{% if"), ":1:")] {
        write(&bench.journal, file, &broken);
        events.tell(&format!("{file}{place}"));
        let page = bench.page(own);
        assert!(page.contains("The first words.") && !page.contains("Made at night."), "{page}");
    }
    write(&bench.journal, "builds/lantern/day.md", &log("The next words."));
    bench.shows(&mut events, own, "The next words.");
    assert!(published(), "the site did not wait");
    write(&bench.journal, file, &mine("Made by day."));
    events.tell("");
    bench.shows(&mut events, own, "Made by day.");
    assert!(bench.page(own).contains("The next words."));
}

#[test]
fn a_broken_file_is_reported_on_the_last_good_page() {
    let bench = start(0);
    let mut events = bench.listen();
    write(&bench.journal, "builds/lantern/day.md", "---\ndate: 2026-13-12\n---\nNew words.\n");
    events.tell("builds/lantern/day.md:2:7");
    assert!(bench.page("/builds/lantern/day.html").contains("The first words."));
    write(&bench.journal, "builds/lantern/day.md", &log("Mended words."));
    events.tell("");
    bench.shows(&mut events, "/builds/lantern/day.html", "Mended words.");
    // A journal.yaml that cannot be read keeps all pages as they were.
    write(&bench.journal, "journal.yaml", "title: [\n");
    events.tell("journal.yaml");
    assert!(bench.page("/").contains("At the bench"));
    write(&bench.journal, "journal.yaml", "title: Mended\n");
    bench.shows(&mut events, "/", "Mended");
}

#[test]
fn the_bench_passes_over_a_port_in_use() {
    // One whose successor is free, as far as anyone can tell.
    let taken = TcpListener::bind(("127.0.0.1", 0)).unwrap();
    let port = taken.local_addr().unwrap().port();
    let bench = start(port);
    assert_ne!(bench.port, port);
    assert_eq!(bench.said_before, [format!("port {port} is taken")]);
    assert!(bench.page("/").contains("At the bench"));
}

/// What `publish` would write afresh of the bench's journal is what its site comes to hold.
#[cfg(unix)]
fn is_as_published_afresh(bench: &Bench) {
    let fresh = bench.journal.parent().unwrap().join("fresh");
    let order = endshake::publish::Order {
        journal: bench.journal.clone(),
        to: Some(fresh.clone()),
        fresh: true,
        ..Default::default()
    };
    endshake::publish::publish(&order, &()).unwrap();
    let site = bench.journal.join("site");
    let walk = walkdir::WalkDir::new(&fresh).into_iter().map(Result::unwrap);
    let files = walk.filter(|entry| entry.file_type().is_file() && entry.file_name() != ".endshake.lock");
    let paths: Vec<PathBuf> =
        files.map(|entry| entry.path().strip_prefix(&fresh).unwrap().to_owned()).collect();
    assert!(paths.len() > 10);
    let differs = |path: &&PathBuf| fs::read(site.join(path)).ok() != fs::read(fresh.join(path)).ok();
    while let Some(path) = paths.iter().find(differs) {
        // It says a line after each change that it has published.
        let line = bench.lines.recv_timeout(PATIENCE);
        assert!(line.is_ok(), "{} is not as it should be", path.display());
    }
}

/// Saves follow each other faster than all of the journal is read, shown and published.
#[cfg(unix)]
#[test]
fn the_bench_shows_saves_made_while_it_publishes() {
    let bench = start(0);
    let mut events = bench.listen();
    let (day, own) = ("builds/lantern/day.md", "/builds/lantern/day.html");
    for n in 0..40 {
        write(&bench.journal, day, &log(&format!("Save number {n}.")));
        if n % 10 == 3 {
            // More than a log: it is shown by a whole round.
            let text = format!("tub: {{ kind: case, dial_seat: 28.{n:02} }}\n");
            write(&bench.journal, "parts/cases.yaml", &text);
        }
        if n % 8 == 5 {
            bench.shows(&mut events, own, &format!("Save number {n}."));
        }
    }
    bench.shows(&mut events, own, "Save number 39.");
    // What was seen at a glance has given way to what all of the journal says.
    bench.shows(&mut events, "/parts/tub.html", "28.33");
    is_as_published_afresh(&bench);
}

#[cfg(unix)]
#[test]
fn the_bench_reports_a_full_disk_and_goes_on() {
    // As a full disk does, this lets files be made and refuses to write them whole.
    let shell = ["sh", "-c", "trap '' XFSZ; ulimit -f 512; exec \"$0\" \"$@\""];
    let bench = start_under(Some(&shell), 0);
    let mut events = bench.listen();
    let large = "Many words, and then as many again.\n\n".repeat(20_000);
    write(&bench.journal, "builds/lantern/day.md", &log(&large));
    bench.said("larger than the system allows");
    events.tell("larger than the system allows");
    let page = fs::read_to_string(bench.journal.join("site/builds/lantern/day.html")).unwrap();
    assert!(page.contains("The first words."), "the site is the last whole one");
    // Back to what it was, which is what stands: and on to something else.
    write(&bench.journal, "builds/lantern/day.md", &log("The first words."));
    bench.shows(&mut events, "/builds/lantern/day.html", "The first words.");
    write(&bench.journal, "builds/lantern/day.md", &log("Few words."));
    bench.shows(&mut events, "/builds/lantern/day.html", "Few words.");
    bench.said("changed");
    is_as_published_afresh(&bench);
}

#[cfg(target_os = "linux")]
#[test]
fn the_bench_polls_where_the_system_sends_no_events() {
    let shell =
        ["unshare", "-Ur", "sh", "-c", "echo 3 > /proc/sys/user/max_inotify_watches && exec \"$0\" \"$@\""];
    // Only a namespace of one's own can be kept so short, and not every system gives one.
    let gives = Command::new(shell[0]).args(&shell[1..5]).arg("true").stderr(Stdio::null()).status();
    if !gives.is_ok_and(|status| status.success()) {
        return;
    }
    let bench = start_under(Some(&shell), 0);
    let mut events = bench.listen();
    write(&bench.journal, "builds/lantern/day.md", &log("Words that were looked for."));
    bench.shows(&mut events, "/builds/lantern/day.html", "Words that were looked for.");
    write(&bench.journal, "builds/tide/build.md", "---\ntitle: Tide\n---\nBlue.\n");
    bench.shows(&mut events, "/builds/tide.html", "Blue.");
    assert!(bench.said_before.iter().any(|line| line.contains("twice a second")), "{:?}", bench.said_before);
}

#[cfg(unix)]
#[test]
fn ending_the_bench_leaves_a_whole_site() {
    let mut bench = start(0);
    let site = bench.journal.join("site");
    let mut events = bench.listen();
    write(&bench.journal, "builds/lantern/day.md", &log("The last words."));
    bench.shows(&mut events, "/builds/lantern/day.html", "The last words.");
    end(&mut bench.child, "INT");
    // Wherever it was: the next run finishes, and then nothing is left to do.
    let publish = || {
        let order = endshake::publish::Order { journal: bench.journal.clone(), ..Default::default() };
        endshake::publish::publish(&order, &()).unwrap().written
    };
    publish();
    assert_eq!(publish().written, 0);
    assert!(!site.join(".endshake-new").exists());
    let page = fs::read_to_string(site.join("builds/lantern/day.html")).unwrap();
    assert!(page.contains("The last words.") && !page.contains("/.bench/"), "{page}");
}
