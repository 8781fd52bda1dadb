//! From a request to the answer: only what is on show, only to a browser on this machine.

use std::path::PathBuf;

use http_body_util::{Either, Full};
use hyper::body::Bytes;
use hyper::header::{self, HeaderMap, HeaderValue};
use hyper::http::request::Parts;
use hyper::{Method, Response, StatusCode};

use super::events::Events;
use super::media;
use super::range::{self, Wanted};
use crate::pages::markup::escape;

/// What the server answers with: whole bytes, or a stream of events.
pub(super) type Body = Either<Full<Bytes>, Events>;

/// What is on show. A path that it does not know does not exist, whatever the disk holds.
pub trait Stock: Send + Sync {
    /// The file at a path of the site, such as `builds/lantern/index.html`.
    ///
    /// An error is the machine's fault, and stands in the answer.
    fn find(&self, path: &str) -> anyhow::Result<Option<Found>>;
}

/// A file on show.
#[derive(Clone, Debug)]
pub enum Found {
    /// Its bytes.
    Bytes(Bytes),
    /// A file of the site's folder.
    Disk(PathBuf),
}

/// The bench's own files stand where no file of a site can: names of the site have no such dot.
pub(super) const EVENTS: &str = ".bench/events";
const OWN: [(&str, &str); 2] = [
    (".bench/reload.js", include_str!("page/reload.js")),
    (".bench/bench.css", include_str!("page/bench.css")),
];

/// Why a request is not answered with a file; `None` for one that may be.
pub(super) fn refusal(request: &Parts, port: u16) -> Option<(StatusCode, &'static str)> {
    if request.method != Method::GET && request.method != Method::HEAD {
        return Some((StatusCode::METHOD_NOT_ALLOWED, "the bench only shows: GET and HEAD"));
    }
    // A page of another site can make a browser ask for names that lead here; it cannot make it
    // lie about the name it asked for.
    let mut hosts = request.headers.get_all(header::HOST).iter();
    let host = match (hosts.next(), hosts.next()) {
        (Some(host), None) => host.to_str().unwrap_or_default(),
        _ => return Some((StatusCode::BAD_REQUEST, "one Host is needed")),
    };
    let named = request.uri.authority().map_or(host, |authority| authority.as_str());
    if !is_here(host, port) || !is_here(named, port) {
        return Some((StatusCode::MISDIRECTED_REQUEST, "the bench answers only to this machine's own names"));
    }
    // A page of another site may lead here by a link, but not load anything from here.
    let told = |name: &str| request.headers.get(name).and_then(|value| value.to_str().ok());
    let foreign = !matches!(told("sec-fetch-site"), None | Some("same-origin" | "none"));
    if foreign && told("sec-fetch-mode") != Some("navigate") {
        return Some((StatusCode::FORBIDDEN, "another site asked for this"));
    }
    None
}

/// Whether a Host names this machine by a name that no one else can give out.
fn is_here(host: &str, port: u16) -> bool {
    let name = match host.strip_suffix(&format!(":{port}")) {
        Some(name) => name,
        None if port == 80 => host,
        None => return false,
    };
    name == "127.0.0.1" || name.eq_ignore_ascii_case("localhost") || name == "[::1]"
}

/// The path in the site that a request asks for; `None` where it cannot name one.
pub(super) fn path(request: &Parts) -> Option<String> {
    let path = request.uri.path().strip_prefix('/')?;
    let mut bytes = Vec::with_capacity(path.len());
    let mut rest = path.as_bytes();
    while let Some((first, after)) = rest.split_first() {
        if *first == b'%' {
            let hex = std::str::from_utf8(after.get(..2)?).ok()?;
            bytes.push(u8::from_str_radix(hex, 16).ok().filter(|_| !hex.starts_with('+'))?);
            rest = &after[2..];
        } else {
            bytes.push(*first);
            rest = after;
        }
    }
    let path = String::from_utf8(bytes).ok()?;
    Some(if path.is_empty() || path.ends_with('/') { path + "index.html" } else { path })
}

/// Answers with the file at `path`.
pub(super) fn file(request: &Parts, path: &str, stock: &dyn Stock) -> Response<Body> {
    if let Some((_, text)) = OWN.iter().find(|(own, _)| *own == path) {
        return whole_or_part(request, path, Bytes::from_static(text.as_bytes()));
    }
    let found = match stock.find(path) {
        Ok(found) => found,
        Err(fault) => return failed(&fault),
    };
    match found {
        Some(Found::Bytes(bytes)) => whole_or_part(request, path, bytes),
        Some(Found::Disk(place)) => match std::fs::read(place) {
            Ok(bytes) => whole_or_part(request, path, bytes.into()),
            Err(_) => missing(),
        },
        None if stock.find(&format!("{path}/index.html")).is_ok_and(|found| found.is_some()) => {
            let mut answer = words(StatusCode::FOUND, "it is a folder");
            if let Ok(to) = HeaderValue::from_str(&format!("{}/", request.uri.path())) {
                answer.headers_mut().insert(header::LOCATION, to);
            }
            answer
        }
        None => missing(),
    }
}

/// A page that cannot be made: why, in a page that watches for changes like any other.
fn failed(fault: &anyhow::Error) -> Response<Body> {
    let page = format!(
        "<!doctype html>\n<html lang=\"en\">\n<head><meta charset=\"utf-8\"><title>Not made</title></head>\n\
         <body>\n<main>\n<h1>This page cannot be made</h1>\n<p>{}</p>\n</main>\n</body>\n</html>\n",
        escape(&format!("{fault:#}"))
    );
    let page = with_script(page.as_bytes(), "failed");
    respond(StatusCode::INTERNAL_SERVER_ERROR, "text/html; charset=utf-8", page)
}

/// An answer of a few words.
pub(super) fn words(status: StatusCode, text: &'static str) -> Response<Body> {
    respond(status, "text/plain; charset=utf-8", Bytes::from_static(text.as_bytes()))
}

/// A page that the journal does not have, or not yet: it watches for changes like any other.
fn missing() -> Response<Body> {
    const PAGE: &str = "<!doctype html>\n<html lang=\"en\">\n<head><meta charset=\"utf-8\">\
        <title>Not in the journal</title></head>\n<body>\n<main>\n<h1>Not in the journal</h1>\n\
        <p>There is no such page. It will show here once the journal has it. \
        <a href=\"/\">To the gallery</a></p>\n</main>\n</body>\n</html>\n";
    respond(StatusCode::NOT_FOUND, "text/html; charset=utf-8", with_script(PAGE.as_bytes(), "missing"))
}

/// The page as the bench shows it: with the script that follows changes, at the end of its head.
/// The script is told which page it stands in, to know later whether that is still the one.
fn with_script(page: &[u8], tag: &str) -> Bytes {
    let script = format!(
        "<link rel=\"stylesheet\" href=\"/.bench/bench.css\">\
         <script src=\"/.bench/reload.js\" data-page=\"{tag}\" defer></script>"
    );
    let at = page.windows(7).position(|some| some.eq_ignore_ascii_case(b"</head>")).unwrap_or(page.len());
    [&page[..at], script.as_bytes(), &page[at..]].concat().into()
}

fn whole_or_part(request: &Parts, path: &str, bytes: Bytes) -> Response<Body> {
    let hash = &blake3::hash(&bytes).to_hex()[..32];
    let bytes = if media::is_page(path) { with_script(&bytes, hash) } else { bytes };
    let tag = format!("\"{hash}\"");
    let length = bytes.len();
    let mut answer = if is_known(&request.headers, &tag) {
        respond(StatusCode::NOT_MODIFIED, media::of(path), Bytes::new())
    } else {
        match range::wanted(&request.headers, &tag, length) {
            Wanted::Whole => respond(StatusCode::OK, media::of(path), bytes),
            Wanted::Part(part) => {
                let told = format!("bytes {}-{}/{length}", part.start, part.end - 1);
                let mut answer = respond(StatusCode::PARTIAL_CONTENT, media::of(path), bytes.slice(part));
                set(answer.headers_mut(), header::CONTENT_RANGE, &told);
                answer
            }
            Wanted::Nothing => {
                let mut answer = words(StatusCode::RANGE_NOT_SATISFIABLE, "");
                set(answer.headers_mut(), header::CONTENT_RANGE, &format!("bytes */{length}"));
                return answer;
            }
        }
    };
    set(answer.headers_mut(), header::ETAG, &tag);
    set(answer.headers_mut(), header::ACCEPT_RANGES, "bytes");
    answer
}

/// Whether the browser has these bytes already.
fn is_known(headers: &HeaderMap, tag: &str) -> bool {
    headers.get_all(header::IF_NONE_MATCH).iter().filter_map(|value| value.to_str().ok()).any(|list| {
        list.split(',').map(str::trim).any(|one| one == "*" || one.strip_prefix("W/").unwrap_or(one) == tag)
    })
}

fn respond(status: StatusCode, media: &'static str, bytes: Bytes) -> Response<Body> {
    let mut answer = Response::new(Either::Left(Full::new(bytes)));
    *answer.status_mut() = status;
    let headers = answer.headers_mut();
    if status != StatusCode::NOT_MODIFIED {
        set(headers, header::CONTENT_TYPE, media);
    }
    // Asked again each time, answered with "not modified" where it is.
    set(headers, header::CACHE_CONTROL, "no-cache");
    set(headers, header::X_CONTENT_TYPE_OPTIONS, "nosniff");
    set(headers, header::REFERRER_POLICY, "no-referrer");
    set(headers, header::HeaderName::from_static("cross-origin-resource-policy"), "same-origin");
    set(headers, header::HeaderName::from_static("cross-origin-opener-policy"), "same-origin");
    set(headers, header::X_FRAME_OPTIONS, "DENY");
    answer
}

fn set(headers: &mut HeaderMap, name: header::HeaderName, value: &str) {
    if let Ok(value) = HeaderValue::from_str(value) {
        headers.insert(name, value);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use hyper::Request;

    fn parts(method: &str, uri: &str, headers: &[(&str, &str)]) -> Parts {
        let request = headers
            .iter()
            .fold(Request::builder().method(method).uri(uri), |r, (name, value)| r.header(*name, *value));
        request.body(()).unwrap().into_parts().0
    }

    fn refused(headers: &[(&str, &str)]) -> Option<u16> {
        refusal(&parts("GET", "/", headers), 4000).map(|(status, _)| status.as_u16())
    }

    #[test]
    fn only_this_machines_own_names_are_answered() {
        for host in ["127.0.0.1:4000", "localhost:4000", "LocalHost:4000", "[::1]:4000"] {
            assert_eq!(refused(&[("host", host)]), None, "{host}");
        }
        for host in [
            "example.org",
            "example.org:4000",
            "127.0.0.1",
            "127.0.0.1:4001",
            "localhost.example.org:4000",
            "127.0.0.1.example.org:4000",
            "localhost:4000:4000",
            "",
            ":4000",
            "user@localhost:4000",
            "0.0.0.0:4000",
        ] {
            assert_eq!(refused(&[("host", host)]), Some(421), "{host}");
        }
        assert_eq!(refused(&[]), Some(400));
        assert_eq!(refused(&[("host", "localhost:4000"), ("host", "example.org")]), Some(400));
        let absolute = parts("GET", "http://example.org/", &[("host", "localhost:4000")]);
        assert_eq!(refusal(&absolute, 4000).map(|(status, _)| status.as_u16()), Some(421));
    }

    #[test]
    fn other_sites_may_link_but_not_load() {
        let host = ("host", "localhost:4000");
        for (site, mode, answer) in [
            ("same-origin", "no-cors", None),
            ("none", "navigate", None),
            ("cross-site", "navigate", None),
            ("cross-site", "no-cors", Some(403)),
            ("same-site", "cors", Some(403)),
            ("cross-site", "cors", Some(403)),
        ] {
            assert_eq!(
                refused(&[host, ("sec-fetch-site", site), ("sec-fetch-mode", mode)]),
                answer,
                "{site} {mode}"
            );
        }
        for method in ["POST", "PUT", "DELETE", "OPTIONS", "TRACE"] {
            let (status, _) = refusal(&parts(method, "/", &[host]), 4000).unwrap();
            assert_eq!(status, StatusCode::METHOD_NOT_ALLOWED);
        }
    }

    #[test]
    fn paths_are_decoded_once_and_never_resolved() {
        for (uri, wanted) in [
            ("/", Some("index.html")),
            ("/builds/a/", Some("builds/a/index.html")),
            ("/a%20b.html?x=1", Some("a b.html")),
            ("/%2e%2e/x", Some("../x")),
            ("/%252e", Some("%2e")),
            ("/a%00", Some("a\0")),
            ("/%", None),
            ("/%zz", None),
            ("/%+1", None),
            ("/%ff", None),
            ("//etc/passwd", Some("/etc/passwd")),
        ] {
            assert_eq!(path(&parts("GET", uri, &[])).as_deref(), wanted, "{uri}");
        }
    }

    #[test]
    fn the_script_stands_in_the_head() {
        let page = with_script(b"<html><head><title>x</title></HEAD><body></body>", "t");
        let page = String::from_utf8(page.to_vec()).unwrap();
        assert!(
            page.contains("</title><link rel=\"stylesheet\" href=\"/.bench/bench.css\"><script"),
            "{page}"
        );
        assert!(page.ends_with("data-page=\"t\" defer></script></HEAD><body></body>"), "{page}");
    }
}
