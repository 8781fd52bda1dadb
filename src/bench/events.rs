//! Telling the open pages what happened, by server-sent events.

use std::pin::Pin;
use std::sync::{Mutex, PoisonError};
use std::task::{Context, Poll};

use hyper::body::{Body, Bytes, Frame};
use tokio::sync::mpsc::{Receiver, Sender, channel};

/// More pages than this are not listened to by one person; the one that came first is let go.
const MOST: usize = 64;

/// Notices that a page may be behind; one that is further behind is let go, and asks again.
const BEHIND: usize = 16;

/// The pages that listen, and what they are told when they come.
#[derive(Debug, Default)]
pub(super) struct Hub {
    listening: Mutex<Listening>,
}

#[derive(Debug, Default)]
struct Listening {
    pages: Vec<Sender<Bytes>>,
    last: Option<Bytes>,
}

/// One page's stream.
#[derive(Debug)]
pub(super) struct Events(Receiver<Bytes>);

impl Hub {
    /// A new page listens; it is told the last notice at once, so that nothing can fall between
    /// its loading and its listening.
    pub(super) fn listen(&self) -> Events {
        let (page, events) = channel(BEHIND);
        let mut listening = self.listening.lock().unwrap_or_else(PoisonError::into_inner);
        let _ = page.try_send(listening.last.clone().unwrap_or(Bytes::from_static(b":\n\n")));
        listening.pages.retain(|page| !page.is_closed());
        if listening.pages.len() >= MOST {
            listening.pages.remove(0);
        }
        listening.pages.push(page);
        Events(events)
    }

    /// Tells all pages; `data` is one line.
    pub(super) fn tell(&self, data: &str) {
        let notice = Bytes::from(format!("data: {data}\n\n"));
        let mut listening = self.listening.lock().unwrap_or_else(PoisonError::into_inner);
        listening.last = Some(notice.clone());
        listening.pages.retain(|page| page.try_send(notice.clone()).is_ok());
    }

    /// Says nothing to all pages, so that those that have gone are noticed.
    pub(super) fn knock(&self) {
        let mut listening = self.listening.lock().unwrap_or_else(PoisonError::into_inner);
        listening.pages.retain(|page| page.try_send(Bytes::from_static(b":\n\n")).is_ok());
    }
}

impl Body for Events {
    type Data = Bytes;
    type Error = std::convert::Infallible;

    fn poll_frame(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
    ) -> Poll<Option<Result<Frame<Bytes>, Self::Error>>> {
        self.0.poll_recv(context).map(|notice| notice.map(|bytes| Ok(Frame::data(bytes))))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn heard(events: &mut Events) -> Vec<String> {
        std::iter::from_fn(|| events.0.try_recv().ok())
            .map(|b| String::from_utf8(b.to_vec()).unwrap())
            .collect()
    }

    #[test]
    fn who_comes_late_hears_the_last_notice() {
        let hub = Hub::default();
        let mut early = hub.listen();
        hub.tell("1");
        hub.tell("2");
        let mut late = hub.listen();
        hub.tell("3");
        assert_eq!(heard(&mut early), [":\n\n", "data: 1\n\n", "data: 2\n\n", "data: 3\n\n"]);
        assert_eq!(heard(&mut late), ["data: 2\n\n", "data: 3\n\n"]);
    }

    #[test]
    fn who_does_not_listen_costs_nothing() {
        let hub = Hub::default();
        let mut slow: Vec<Events> = (0..3 * MOST).map(|_| hub.listen()).collect();
        for n in 0..3 * BEHIND {
            hub.tell(&n.to_string());
        }
        assert_eq!(hub.listening.lock().unwrap().pages.len(), 0);
        assert!(slow.iter_mut().all(|events| heard(events).len() <= BEHIND));
        drop(hub.listen());
        hub.knock();
        assert_eq!(hub.listening.lock().unwrap().pages.len(), 0);
    }
}
