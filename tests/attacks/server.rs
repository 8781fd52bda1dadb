//! The bench's server under attack by what runs on the same machine: another page in the same
//! browser, another program. Whatever comes, answers are bounded and a browser is served.

use std::fs;
use std::io::{ErrorKind, Read, Write};
use std::net::TcpStream;
use std::path::PathBuf;
use std::sync::Arc;
use std::thread;
use std::time::{Duration, Instant};

use endshake::bench::{Found, Server, Stock};

/// Longer than any machine takes.
const PATIENCE: Duration = Duration::from_secs(60);

struct Shelf {
    photo: PathBuf,
    large: bytes_of::Large,
}

mod bytes_of {
    /// A page that fills what the system keeps for a connection many times over.
    pub(super) struct Large(pub(super) Vec<u8>);
}

const PAGE: &str = "<!doctype html><head><title>x</title></head><main>one</main>";

impl Stock for Shelf {
    fn find(&self, path: &str) -> anyhow::Result<Option<Found>> {
        Ok(match path {
            "index.html" | "builds/a/index.html" => Some(Found::Bytes(PAGE.as_bytes().into())),
            "photos/a.jpg" => Some(Found::Disk(self.photo.clone())),
            "large.js" => Some(Found::Bytes(self.large.0.clone().into())),
            _ => None,
        })
    }
}

fn server() -> (Server, tempfile::TempDir) {
    let dir = tempfile::tempdir().unwrap();
    fs::create_dir(dir.path().join("photos")).unwrap();
    fs::write(dir.path().join("photos/a.jpg"), "0123456789").unwrap();
    fs::write(dir.path().join("secret"), "a secret").unwrap();
    let shelf =
        Shelf { photo: dir.path().join("photos/a.jpg"), large: bytes_of::Large(vec![b'x'; 16 << 20]) };
    (Server::open(0, Arc::new(shelf)).unwrap(), dir)
}

fn connect(server: &Server) -> TcpStream {
    let stream = TcpStream::connect(("127.0.0.1", server.port())).unwrap();
    stream.set_read_timeout(Some(PATIENCE)).unwrap();
    stream.set_write_timeout(Some(PATIENCE)).unwrap();
    stream
}

/// What comes back, up to the end or to a megabyte.
fn answer(mut stream: TcpStream) -> String {
    let mut bytes = Vec::new();
    let _ = Read::by_ref(&mut stream).take(1 << 20).read_to_end(&mut bytes);
    String::from_utf8_lossy(&bytes).into_owned()
}

fn send(server: &Server, bytes: &[u8]) -> String {
    let mut stream = connect(server);
    let _ = stream.write_all(bytes);
    answer(stream)
}

fn get(server: &Server, target: &str, host: &str) -> String {
    send(server, format!("GET {target} HTTP/1.1\r\n{host}Connection: close\r\n\r\n").as_bytes())
}

fn own(server: &Server) -> String {
    format!("Host: localhost:{}\r\n", server.port())
}

fn status(answer: &str) -> &str {
    answer.get(9..12).unwrap_or("")
}

/// A browser is served as if nothing were.
fn serves(server: &Server, when: &str) {
    let page = get(server, "/", &own(server));
    assert!(status(&page) == "200" && page.contains("<main>one</main>"), "{when}: {page:.300}");
}

#[test]
fn requests_by_rebound_names_are_refused() {
    let (server, _dir) = server();
    let port = server.port();
    for host in [
        format!("rebound.example:{port}"),
        "rebound.example".into(),
        format!("127.0.0.1.rebound.example:{port}"),
        format!("localhost.rebound.example:{port}"),
        format!("rebound.example#localhost:{port}"),
        format!("user@localhost:{port}"),
        format!("localhost:{port}@rebound.example"),
        format!("localhost:{port}:{port}"),
        format!("localhost.:{port}"),
        format!("127.1:{port}"),
        format!("2130706433:{port}"),
        format!("0x7f000001:{port}"),
        format!("0.0.0.0:{port}"),
        format!("[::]:{port}"),
        format!("[::ffff:127.0.0.1]:{port}"),
        format!("localhost:{}", port.wrapping_add(1)),
        format!("localhost:0{port}"),
        format!("localhost,rebound.example:{port}"),
        format!("\u{2112}ocalhost:{port}"),
        String::new(),
        " ".into(),
    ] {
        for target in ["/", "/large.js", "/.bench/events", "/photos/a.jpg"] {
            let answer = get(&server, target, &format!("Host: {host}\r\n"));
            assert!(["400", "421"].contains(&status(&answer)), "{host} {target}: {answer:.300}");
            assert!(!answer.contains("<main>") && answer.len() < 2000, "{host}: {answer:.300}");
        }
        // Nor by an address in full, which goes before the header.
        let answer = get(&server, &format!("http://{}/", host.trim()), &own(&server));
        assert!(["400", "421"].contains(&status(&answer)), "{host}: {answer:.300}");
    }
    // A page of another site that asks by our own name: what it loads is refused, whoever sends no
    // such word gets an answer that its browser must not hand on.
    for (site, mode, wanted) in [
        ("cross-site", "no-cors", "403"),
        ("cross-site", "cors", "403"),
        ("same-site", "no-cors", "403"),
        ("cross-site", "websocket", "403"),
        ("cross-site", "navigate", "200"),
        ("none", "navigate", "200"),
        ("same-origin", "cors", "200"),
    ] {
        let headers = format!(
            "{}Origin: https://rebound.example\r\nSec-Fetch-Site: {site}\r\nSec-Fetch-Mode: {mode}\r\n",
            own(&server)
        );
        assert_eq!(status(&get(&server, "/", &headers)), wanted, "{site} {mode}");
    }
    let old =
        get(&server, "/", &format!("{}Origin: https://rebound.example\r\n", own(&server))).to_lowercase();
    assert!(
        old.contains("cross-origin-resource-policy: same-origin") && !old.contains("access-control-allow"),
        "{old:.600}"
    );
    serves(&server, "after rebinding");
}

#[test]
fn no_spelling_of_a_path_leads_out_of_the_site() {
    let (server, _dir) = server();
    let up = [
        "..",
        "%2e%2e",
        "%2E%2e",
        ".%2e",
        "%2e.",
        "%252e%252e",
        "%c0%ae%c0%ae",
        "%e0%80%ae%e0%80%ae",
        "%u002e%u002e",
        "..%00",
        "..;",
        "..%20",
        "..%5c",
        "%ef%bc%8e%ef%bc%8e",
        "....",
        "%00..",
    ];
    let between = ["/", "%2f", "%2F", "%5c", "\\", "//", "/./", "%252f", "%c0%af", ";/", "/%00/"];
    let mut targets: Vec<String> = Vec::new();
    for up in up {
        for between in between {
            for begin in ["/", "/photos/", "/builds/a/", "//", "/photos/a.jpg/"] {
                targets.push(format!("{begin}{up}{between}secret"));
                targets
                    .push(format!("{begin}{up}{between}{up}{between}{up}{between}{up}{between}etc/passwd"));
            }
        }
    }
    targets.extend(
        [
            "/secret",
            "/etc/passwd",
            "//etc/passwd",
            "/%2fetc/passwd",
            "/file:///etc/passwd",
            "file:///etc/passwd",
            "/~root",
            "/C:/",
            "/a.jpg",
            "/photos/a.jpg/",
            "/photos/a.jpg%00.html",
            "/photos/a.jpg.",
            "/photos/A.JPG",
            "/photos//a.jpg",
            "/photos/a.jpg::$DATA",
            "/.git/config",
            "/.endshake.json",
            "/.endshake.lock",
            "/.bench",
            "/.bench/",
            "/.bench/events/../../secret",
            "/%",
            "/%2",
            "/%zz",
            "/%+1",
            "*",
        ]
        .map(str::to_owned),
    );
    for target in &targets {
        let answer = get(&server, target, &own(&server));
        // A target with a space or a control in it is no request at all.
        assert!(["404", "400", ""].contains(&status(&answer)), "{target}: {answer:.300}");
        assert!(
            !answer.contains("a secret") && !answer.contains("root:") && !answer.contains("0123456789"),
            "{target}: {answer:.300}"
        );
    }
    assert!(targets.len() > 1700, "{}", targets.len());
    serves(&server, "after traversal");
    assert!(get(&server, "/photos/%61.jpg", &own(&server)).ends_with("0123456789"));
}

#[test]
fn odd_methods_and_bodies_are_answered_at_once() {
    let (server, _dir) = server();
    let own = own(&server);
    for method in
        ["POST", "PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "PROPFIND", "get", "GETT", "X", "PRI"]
    {
        let answer =
            send(&server, format!("{method} / HTTP/1.1\r\n{own}Connection: close\r\n\r\n").as_bytes());
        assert!(["405", "400"].contains(&status(&answer)), "{method}: {answer:.300}");
        assert!(!answer.contains("<main>"), "{method}");
    }
    for begin in [
        "PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n".to_owned(),
        "\u{16}\u{3}\u{1}\u{2}\0\u{1}\0".to_owned(),
        "\0\0\0\0\0\0\0\0\r\n\r\n".to_owned(),
        "GET / HTTP/0.9\r\n\r\n".to_owned(),
        "GET\r\n\r\n".to_owned(),
        format!("GET / HTTP/1.1\r\n{own}Transfer-Encoding: chunked\r\nContent-Length: 5\r\n\r\n"),
        format!("GET / HTTP/1.1\r\n{own}Content-Length: -1\r\n\r\n"),
        format!("GET / HTTP/1.1\r\n{own}Content-Length: 99999999999999999999999\r\n\r\n"),
        format!("GET / HTTP/1.1\r\n{own}Transfer-Encoding: gzip, nonsense\r\n\r\n"),
        format!("GET / HTTP/1.1\r\n {own}\r\n\r\n"),
    ] {
        let answer = send(&server, format!("{begin}\r\n\r\n").as_bytes());
        assert!(
            !answer.starts_with("HTTP/1.1 200") || begin.contains("Transfer-Encoding: chunked"),
            "{begin:?}: {answer:.300}"
        );
        serves(&server, &begin);
    }
    // Bodies that are announced and never come, and ones that never end: nobody waits for them.
    for (method, length) in [
        ("POST", "Content-Length: 1000000000000\r\n"),
        ("PUT", "Transfer-Encoding: chunked\r\n"),
        ("GET", "Content-Length: 1000000000000\r\n"),
    ] {
        let mut stream = connect(&server);
        stream.write_all(format!("{method} / HTTP/1.1\r\n{own}{length}\r\n").as_bytes()).unwrap();
        let mut head = [0; 12];
        stream.read_exact(&mut head).unwrap();
        assert_eq!(&head[9..], if method == "GET" { b"200" } else { b"405" }, "{method}");
        // What is sent all the same is not taken for ever.
        let begun = Instant::now();
        let block = [b'x'; 1 << 16];
        while stream.write_all(&block).is_ok() {
            assert!(begun.elapsed() < PATIENCE, "{method}: a body without end is taken");
        }
        serves(&server, method);
    }
}

#[test]
fn headers_without_end_are_refused() {
    let (server, _dir) = server();
    let own = own(&server);
    let huge = "x".repeat(64 << 20);
    for begin in [
        format!("GET /{huge} HTTP/1.1\r\n{own}\r\n"),
        format!("{huge} / HTTP/1.1\r\n{own}\r\n"),
        format!("GET / HTTP/1.1\r\n{own}Cookie: {huge}\r\n\r\n"),
        format!("GET / HTTP/1.1\r\n{own}{huge}: x\r\n\r\n"),
        format!("GET / HTTP/1.1\r\nHost: {huge}\r\n\r\n"),
        format!("GET / HTTP/1.1\r\n{own}{}\r\n", "a: b\r\n".repeat(1 << 20)),
        format!("GET / HTTP/1.1\r\n{own}Range: bytes={}\r\n\r\n", "0-0,".repeat(1 << 20)),
        "\r\n".repeat(1 << 20),
    ] {
        let answer = send(&server, begin.as_bytes());
        assert!(["", "400", "414", "431"].contains(&status(&answer)), "{begin:.60}: {answer:.300}");
        serves(&server, "after huge headers");
    }
    // Many parts of one file in one request are one answer, no larger than the file.
    let ranges = format!("{own}Range: bytes={}\r\n", "0-,".repeat(2000));
    assert!(get(&server, "/photos/a.jpg", &ranges).len() < 1000);
    // Thousands of requests on one connection, sent before any answer is read.
    let mut stream = connect(&server);
    let many = format!("GET /photos/a.jpg HTTP/1.1\r\n{own}\r\n").repeat(500)
        + &format!("GET / HTTP/1.1\r\n{own}Connection: close\r\n\r\n");
    let mut other = stream.try_clone().unwrap();
    let writing = thread::spawn(move || drop(other.write_all(many.as_bytes())));
    let mut all = Vec::new();
    stream.read_to_end(&mut all).unwrap();
    writing.join().unwrap();
    assert_eq!(String::from_utf8_lossy(&all).matches("HTTP/1.1 200").count(), 501);
}

#[test]
fn slow_clients_keep_nobody_out() {
    let (server, _dir) = server();
    let own = own(&server);
    // As many as there is room for, each in the middle of its headers; as many that asked for more
    // than they read; and as many that listen.
    let mut held = Vec::new();
    for n in 0..140 {
        let mut stream = connect(&server);
        let begin = match n % 3 {
            0 => format!("GET / HTTP/1.1\r\n{own}X-Slow: "),
            1 => format!("GET /large.js HTTP/1.1\r\n{own}\r\n"),
            _ => format!("GET /.bench/events HTTP/1.1\r\n{own}\r\n"),
        };
        stream.write_all(begin.as_bytes()).unwrap();
        held.push(stream);
        if n % 10 == 0 {
            serves(&server, &format!("{n} hold on"));
        }
    }
    // All of them reading slowly, the oldest gives way.
    for n in 0..140 {
        let mut stream = connect(&server);
        stream.write_all(format!("GET /large.js HTTP/1.1\r\n{own}\r\n").as_bytes()).unwrap();
        held.push(stream);
        if n % 20 == 0 {
            serves(&server, &format!("{n} read slowly"));
        }
    }
    for _ in 0..20 {
        serves(&server, "while all hold on");
    }
    drop(held);
    serves(&server, "after all have gone");
}

#[test]
fn a_request_whose_headers_never_end_is_dropped() {
    let (server, _dir) = server();
    let mut stream = connect(&server);
    write!(stream, "GET / HTTP/1.1\r\nHost: localhost:{}\r\nX-Slow: ", server.port()).unwrap();
    stream.set_read_timeout(Some(Duration::from_millis(200))).unwrap();
    let begun = Instant::now();
    // A letter now and then: each is in time, the whole is not.
    loop {
        assert!(begun.elapsed() < PATIENCE, "it is waited for");
        let gone = stream.write_all(b"x").is_err();
        let read = stream.read(&mut [0; 1024]);
        let waits = read
            .as_ref()
            .is_err_and(|error| matches!(error.kind(), ErrorKind::WouldBlock | ErrorKind::TimedOut));
        if gone || !waits {
            break;
        }
    }
    serves(&server, "after one that was let go");
}
