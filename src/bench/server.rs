//! A web server on this machine's loopback, for this machine's browser.

use std::collections::VecDeque;
use std::convert::Infallible;
use std::io::ErrorKind;
use std::net::{Ipv4Addr, TcpListener};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use anyhow::{Context, Result, bail};
use http_body_util::Either;
use hyper::body::Incoming;
use hyper::header::{CACHE_CONTROL, CONTENT_TYPE, HeaderValue};
use hyper::http::request::Parts;
use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper::{Request, Response, StatusCode};
use hyper_util::rt::{TokioIo, TokioTimer};
use tokio::task::AbortHandle;

use super::events::Hub;
use super::response::{self, Body, Stock};

/// Ports that are tried after the one asked for.
const TRIED: u16 = 32;

/// Connections at one time; a browser holds six. Whoever comes when there are more takes the place of
/// one that never asked anything, or of the oldest: nobody is kept out by others who hold on.
const MOST: usize = 128;

/// A browser sends its headers at once; who takes longer is let go, between two requests too.
const HEADERS_WITHIN: Duration = Duration::from_secs(10);

/// Room for the headers of a request, bytes.
const HEADERS: usize = 16 << 10;

/// Often enough to notice that a page has gone, seldom enough to cost nothing.
const KNOCK: Duration = Duration::from_secs(15);

/// The server, running in a thread of its own until the process ends.
#[derive(Clone)]
pub struct Server {
    port: u16,
    shared: Arc<Shared>,
}

struct Shared {
    stock: Arc<dyn Stock>,
    hub: Hub,
}

impl Server {
    /// Takes `port`, or the next free one after it (0: any), and shows `stock`.
    pub fn open(port: u16, stock: Arc<dyn Stock>) -> Result<Server> {
        let listener = free_from(port)?;
        let port = listener.local_addr().context("cannot tell the port")?.port();
        listener.set_nonblocking(true).context("cannot listen")?;
        let shared = Arc::new(Shared { stock, hub: Hub::default() });
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_io()
            .enable_time()
            .build()
            .context("cannot start the server")?;
        let serving = Arc::clone(&shared);
        std::thread::Builder::new()
            .name("server".into())
            .spawn(move || runtime.block_on(serve(listener, port, serving)))
            .context("cannot start the server")?;
        Ok(Server { port, shared })
    }

    /// Where a browser finds it.
    pub fn address(&self) -> String {
        format!("http://127.0.0.1:{}/", self.port)
    }

    /// The port that was free.
    pub fn port(&self) -> u16 {
        self.port
    }

    /// Tells the open pages; `notice` is one line.
    pub fn tell(&self, notice: &str) {
        self.shared.hub.tell(notice);
    }
}

fn free_from(port: u16) -> Result<TcpListener> {
    let last = port.saturating_add(TRIED);
    for port in port..=last {
        match TcpListener::bind((Ipv4Addr::LOCALHOST, port)) {
            Ok(listener) => return Ok(listener),
            Err(error) if matches!(error.kind(), ErrorKind::AddrInUse | ErrorKind::PermissionDenied) => {}
            Err(error) => return Err(error).with_context(|| format!("cannot listen on port {port}")),
        }
    }
    bail!("the ports {port} to {last} are all taken: give another with --port")
}

async fn serve(listener: TcpListener, port: u16, shared: Arc<Shared>) {
    let Ok(listener) = tokio::net::TcpListener::from_std(listener) else { return };
    let mut held: VecDeque<Held> = VecDeque::with_capacity(MOST);
    let knocking = Arc::clone(&shared);
    tokio::spawn(async move {
        loop {
            tokio::time::sleep(KNOCK).await;
            knocking.hub.knock();
        }
    });
    loop {
        let Ok((stream, _)) = listener.accept().await else {
            // Out of file handles: some will be given back.
            tokio::time::sleep(Duration::from_millis(50)).await;
            continue;
        };
        held.retain(|held| !held.task.is_finished());
        if MOST <= held.len() {
            let silent = held.iter().position(|held| !held.asked.load(Ordering::Relaxed));
            if let Some(leaves) = held.remove(silent.unwrap_or(0)) {
                leaves.task.abort();
            }
        }
        let shared = Arc::clone(&shared);
        let asked = Arc::new(AtomicBool::new(false));
        let asks = Arc::clone(&asked);
        let task = tokio::spawn(async move {
            let service = service_fn(|request| {
                asks.store(true, Ordering::Relaxed);
                answer_to(request, port, Arc::clone(&shared))
            });
            let _gone = http1::Builder::new()
                .timer(TokioTimer::new())
                .header_read_timeout(HEADERS_WITHIN)
                .max_buf_size(HEADERS)
                .serve_connection(TokioIo::new(stream), service)
                .await;
        });
        held.push_back(Held { asked, task: task.abort_handle() });
    }
}

/// A connection that is open.
struct Held {
    /// Whether it has asked anything yet.
    asked: Arc<AtomicBool>,
    task: AbortHandle,
}

async fn answer_to(
    request: Request<Incoming>,
    port: u16,
    shared: Arc<Shared>,
) -> Result<Response<Body>, Infallible> {
    let (request, _) = request.into_parts();
    // A page is made while others are answered.
    let made = tokio::task::spawn_blocking(move || answer(&request, port, &shared)).await;
    Ok(made
        .unwrap_or_else(|_| response::words(StatusCode::INTERNAL_SERVER_ERROR, "this page cannot be made")))
}

fn answer(request: &Parts, port: u16, shared: &Shared) -> Response<Body> {
    if let Some((status, why)) = response::refusal(request, port) {
        return response::words(status, why);
    }
    let Some(path) = response::path(request) else {
        return response::words(StatusCode::BAD_REQUEST, "this is no address of a page");
    };
    if path == response::EVENTS {
        let mut answer = Response::new(Either::Right(shared.hub.listen()));
        answer.headers_mut().insert(CONTENT_TYPE, HeaderValue::from_static("text/event-stream"));
        answer.headers_mut().insert(CACHE_CONTROL, HeaderValue::from_static("no-store"));
        return answer;
    }
    response::file(request, &path, shared.stock.as_ref())
}
