//! The bench's server, spoken to byte by byte: what a browser needs, and what an attacker gets.

use std::collections::BTreeMap;
use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::PathBuf;
use std::sync::Arc;

use endshake::bench::{Found, Server, Stock};

struct Shelf {
    files: BTreeMap<&'static str, &'static str>,
    photo: PathBuf,
}

impl Stock for Shelf {
    fn find(&self, path: &str) -> anyhow::Result<Option<Found>> {
        if path == "photos/a.jpg" {
            return Ok(Some(Found::Disk(self.photo.clone())));
        }
        Ok(self.files.get(path).map(|text| Found::Bytes(text.as_bytes().into())))
    }
}

const PAGE: &str = "<!doctype html><head><title>x</title></head><main>one</main>";

/// A server that shows three pages, a script and a photo from the disk; beside the photo lies a
/// secret.
fn server() -> (Server, tempfile::TempDir) {
    let dir = tempfile::tempdir().unwrap();
    fs::write(dir.path().join("a.jpg"), "0123456789").unwrap();
    fs::write(dir.path().join("secret"), "secret").unwrap();
    let files =
        [("index.html", PAGE), ("builds/a/index.html", PAGE), ("a b.html", PAGE), ("search.js", "s()")];
    let shelf = Shelf { files: files.into(), photo: dir.path().join("a.jpg") };
    (Server::open(0, Arc::new(shelf)).unwrap(), dir)
}

fn send(server: &Server, bytes: &[u8]) -> String {
    let mut stream = TcpStream::connect(("127.0.0.1", server.port())).unwrap();
    // Refused half-way through, the rest cannot be sent: the answer is what counts.
    let _ = stream.write_all(bytes);
    let mut answer = Vec::new();
    let _ = stream.read_to_end(&mut answer);
    String::from_utf8_lossy(&answer).into_owned()
}

fn ask(server: &Server, line: &str, headers: &str) -> String {
    let port = server.port();
    send(
        server,
        format!("{line} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nConnection: close\r\n{headers}\r\n").as_bytes(),
    )
}

fn status(answer: &str) -> &str {
    answer.get(9..12).unwrap_or("")
}

fn header<'a>(answer: &'a str, name: &str) -> &'a str {
    let head = answer.split("\r\n\r\n").next().unwrap();
    let line = head.lines().find_map(|line| line.split_once(": ").filter(|(n, _)| *n == name));
    line.unwrap_or_else(|| panic!("no {name} in {head}")).1
}

fn body(answer: &str) -> &str {
    answer.split_once("\r\n\r\n").unwrap().1
}

#[test]
fn pages_are_served_with_the_script_of_the_bench() {
    let (server, _dir) = server();
    let answer = ask(&server, "GET /", "");
    assert_eq!(status(&answer), "200");
    assert_eq!(header(&answer, "content-type"), "text/html; charset=utf-8");
    assert_eq!(header(&answer, "cache-control"), "no-cache");
    assert_eq!(header(&answer, "x-content-type-options"), "nosniff");
    assert_eq!(header(&answer, "cross-origin-resource-policy"), "same-origin");
    assert!(body(&answer).contains("<script src=\"/.bench/reload.js\""), "{answer}");
    assert_eq!(header(&answer, "content-length"), body(&answer).len().to_string());
    let head = ask(&server, "HEAD /", "");
    assert_eq!(header(&head, "content-length"), header(&answer, "content-length"));
    assert_eq!(body(&head), "");

    assert_eq!(header(&ask(&server, "GET /builds/a", ""), "location"), "/builds/a/");
    assert_eq!(status(&ask(&server, "GET /builds/a/?x=1", "")), "200");
    assert_eq!(status(&ask(&server, "GET /a%20b.html", "")), "200");
    assert_eq!(body(&ask(&server, "GET /search.js", "")), "s()");
    for own in ["/.bench/reload.js", "/.bench/bench.css"] {
        assert_eq!(status(&ask(&server, &format!("GET {own}"), "")), "200");
    }
    let missing = ask(&server, "GET /builds/new/", "");
    assert_eq!(status(&missing), "404");
    assert!(body(&missing).contains("/.bench/reload.js"), "a page that comes later must show itself");
}

#[test]
fn an_unchanged_file_is_answered_with_not_modified() {
    let (server, _dir) = server();
    for path in ["/", "/search.js", "/photos/a.jpg"] {
        let first = ask(&server, &format!("GET {path}"), "");
        let tag = header(&first, "etag");
        for list in [tag.to_owned(), format!("W/{tag}"), format!("\"x\", {tag}"), "*".into()] {
            let again = ask(&server, &format!("GET {path}"), &format!("If-None-Match: {list}\r\n"));
            assert_eq!((status(&again), body(&again)), ("304", ""), "{path} {list}");
        }
        assert_eq!(status(&ask(&server, &format!("GET {path}"), "If-None-Match: \"x\"\r\n")), "200");
    }
}

#[test]
fn ranges_of_a_file_are_served() {
    let (server, _dir) = server();
    let part = |headers: &str| {
        let answer = ask(&server, "GET /photos/a.jpg", headers);
        (status(&answer).to_owned(), body(&answer).to_owned())
    };
    let tag = header(&ask(&server, "GET /photos/a.jpg", ""), "etag").to_owned();
    assert_eq!(part("Range: bytes=2-4\r\n"), ("206".into(), "234".into()));
    assert_eq!(part("Range: bytes=-2\r\n"), ("206".into(), "89".into()));
    assert_eq!(part(&format!("Range: bytes=8-\r\nIf-Range: {tag}\r\n")), ("206".into(), "89".into()));
    assert_eq!(part("Range: bytes=8-\r\nIf-Range: \"old\"\r\n"), ("200".into(), "0123456789".into()));
    assert_eq!(part("Range: bytes=10-\r\n").0, "416");
    let answer = ask(&server, "GET /photos/a.jpg", "Range: bytes=0-0\r\n");
    assert_eq!(header(&answer, "content-range"), "bytes 0-0/10");
    assert_eq!(header(&answer, "content-type"), "image/jpeg");
}

#[test]
fn no_path_leads_out_of_the_site() {
    let (server, _dir) = server();
    for path in [
        "/../secret",
        "/photos/../secret",
        "/photos/secret",
        "/secret",
        "/%2e%2e/secret",
        "/photos/%2e%2e/secret",
        "/photos%2fa.jpg%00",
        "/..%5csecret",
        "//etc/passwd",
        "/%2fetc/passwd",
        "/.endshake.json",
        "/.bench/",
        "/.bench/../index.html",
        "/%252e%252e/secret",
        "/builds/a/../../index.html",
        "/a.jpg",
    ] {
        let answer = ask(&server, &format!("GET {path}"), "");
        assert!(["404", "400"].contains(&status(&answer)), "{path}: {answer}");
        assert!(!answer.contains("secret\r\n") && !body(&answer).ends_with("secret"), "{path}");
    }
    for line in
        ["GET secret", "GET file:///etc/passwd", "GET *", "CONNECT 127.0.0.1:22", "POST /", "OPTIONS *"]
    {
        let answer = ask(&server, line, "");
        assert!(["400", "404", "405", "421"].contains(&status(&answer)), "{line}: {answer}");
    }
}

#[test]
fn other_hosts_and_other_sites_get_nothing() {
    let (server, _dir) = server();
    let port = server.port();
    for (host, wanted) in [
        (format!("Host: localhost:{port}\r\n"), "200"),
        (format!("Host: rebound.example:{port}\r\n"), "421"),
        ("Host: 127.0.0.1\r\n".into(), "421"),
        (String::new(), "400"),
        (format!("Host: localhost:{port}\r\nHost: rebound.example\r\n"), "400"),
        (
            format!("Host: localhost:{port}\r\nSec-Fetch-Site: cross-site\r\nSec-Fetch-Mode: no-cors\r\n"),
            "403",
        ),
    ] {
        for path in ["/", "/search.js", "/.bench/reload.js", "/.bench/events"] {
            let request = format!("GET {path} HTTP/1.1\r\n{host}Connection: close\r\n\r\n");
            if wanted == "200" && path == "/.bench/events" {
                continue;
            }
            let answer = send(&server, request.as_bytes());
            assert_eq!(status(&answer), wanted, "{path} {host}");
            assert!(wanted == "200" || !answer.contains("s()"), "{answer}");
        }
    }
}

#[test]
fn a_malformed_request_is_refused_and_the_next_one_answered() {
    let (server, _dir) = server();
    let host = format!("Host: 127.0.0.1:{}\r\n", server.port());
    let huge = "x".repeat(1 << 20);
    let many: String = (0..10_000).map(|n| format!("x-{n}: y\r\n")).collect();
    for request in [
        format!("GET /{huge} HTTP/1.1\r\n{host}\r\n"),
        format!("GET / HTTP/1.1\r\n{host}Cookie: {huge}\r\n\r\n"),
        format!("GET / HTTP/1.1\r\n{host}{many}\r\n"),
        format!("GET / HTTP/9.9\r\n{host}\r\n"),
        "\u{16}\u{3}\u{1} not http".into(),
        format!("GET / HTTP/1.1\r\n{host}bad header\r\n\r\n"),
    ] {
        let answer = send(&server, format!("{request}\r\n\r\n").as_bytes());
        assert!(!answer.starts_with("HTTP/1.1 200"), "{request:.60}: {answer:.200}");
        assert_eq!(status(&ask(&server, "GET /", "")), "200");
    }
}

#[test]
fn a_silent_connection_blocks_nobody() {
    let (server, _dir) = server();
    let mut silent: Vec<TcpStream> = (0..100)
        .map(|n| {
            let mut stream = TcpStream::connect(("127.0.0.1", server.port())).unwrap();
            // Half of them begin and never end.
            if n % 2 == 0 {
                stream.write_all(b"GET / HT").unwrap();
            }
            stream
        })
        .collect();
    assert_eq!(status(&ask(&server, "GET /", "")), "200");
    // With the room full it is they who are sent away, and who asks is served.
    for _ in 0..300 {
        silent.push(TcpStream::connect(("127.0.0.1", server.port())).unwrap());
    }
    for _ in 0..10 {
        assert_eq!(status(&ask(&server, "GET /", "")), "200");
    }
}

#[test]
fn listening_pages_receive_events() {
    let (server, _dir) = server();
    let listen = || {
        let mut stream = TcpStream::connect(("127.0.0.1", server.port())).unwrap();
        write!(stream, "GET /.bench/events HTTP/1.1\r\nHost: localhost:{}\r\n\r\n", server.port()).unwrap();
        BufReader::new(stream)
    };
    let told = |stream: &mut BufReader<TcpStream>| loop {
        let mut line = String::new();
        assert_ne!(stream.read_line(&mut line).unwrap(), 0, "the stream ended");
        if let Some(data) = line.strip_prefix("data: ") {
            return data.trim_end().to_owned();
        }
    };
    server.tell("{\"version\":1}");
    let mut early = listen();
    assert_eq!(told(&mut early), "{\"version\":1}");
    server.tell("{\"version\":2}");
    let mut late = listen();
    assert_eq!(told(&mut early), "{\"version\":2}");
    assert_eq!(told(&mut late), "{\"version\":2}");
    drop(early);
    server.tell("{\"version\":3}");
    assert_eq!(told(&mut late), "{\"version\":3}");
}

#[test]
fn the_server_takes_the_next_free_port() {
    let (first, _dir) = server();
    let shelf = Shelf { files: [("index.html", PAGE)].into(), photo: PathBuf::new() };
    let second = Server::open(first.port(), Arc::new(shelf)).unwrap();
    assert!(first.port() < second.port());
    assert_eq!(second.address(), format!("http://127.0.0.1:{}/", second.port()));
    assert_eq!(status(&ask(&second, "GET /", "")), "200");
}
