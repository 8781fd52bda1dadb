//! How far the photos are, in one line of a terminal that is written over; nothing elsewhere.

use std::io::{IsTerminal as _, Write as _};
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

use crate::photos::Progress;

/// What is done sooner shows no line.
const PATIENCE: Duration = Duration::from_millis(300);

/// The line is written at most this often.
const PACE: Duration = Duration::from_millis(100);

/// Takes back what stands in the line.
const CLEAR: &str = "\r\x1b[K";

/// A line on the terminal that standard error is; `None` in a pipe, a file or a plain terminal.
pub(super) struct Meter(Option<Mutex<LineState>>);

struct LineState {
    begun: Instant,
    /// When the line was last written.
    written: Option<Instant>,
}

impl Meter {
    pub(super) fn new() -> Meter {
        let dumb = std::env::var_os("TERM").is_none_or(|term| term == "dumb");
        let shown = std::io::stderr().is_terminal() && !dumb;
        Meter(shown.then(|| Mutex::new(LineState { begun: Instant::now(), written: None })))
    }

    /// Clears the line, where there is one.
    pub(super) fn end(&self) {
        let Some(state) = &self.0 else { return };
        if state.lock().unwrap_or_else(PoisonError::into_inner).written.take().is_some() {
            show(CLEAR);
        }
    }
}

impl Progress for Meter {
    fn photos(&self, done: usize, total: usize, made: usize) {
        let Some(state) = &self.0 else { return };
        let mut state = state.lock().unwrap_or_else(PoisonError::into_inner);
        let since = state.written.unwrap_or(state.begun).elapsed();
        let due = if state.written.is_some() { PACE } else { PATIENCE };
        if made == 0 || since < due {
            return;
        }
        state.written = Some(Instant::now());
        show(&format!("{CLEAR}{}", line(done, total, state.begun.elapsed())));
    }
}

/// A terminal that takes nothing is no reason to stop.
fn show(text: &str) {
    let mut terminal = std::io::stderr();
    let _ = terminal.write_all(text.as_bytes()).and_then(|()| terminal.flush());
}

/// What is done and left, and how long that takes if the rest is like what was.
fn line(done: usize, total: usize, since: Duration) -> String {
    let left = total.saturating_sub(done);
    let seconds = since.as_secs_f64() * left as f64 / done.max(1) as f64;
    let time = match seconds.ceil() as u64 {
        seconds @ 0..=99 => format!("{seconds} s"),
        seconds => format!("{} min", seconds.div_ceil(60)),
    };
    format!("photos: {done} of {total} done, {left} left, about {time}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_line_says_what_is_done_and_left() {
        let line = |done, total, seconds| super::line(done, total, Duration::from_secs(seconds));
        assert_eq!(line(10, 40, 5), "photos: 10 of 40 done, 30 left, about 15 s");
        assert_eq!(line(40, 40, 5), "photos: 40 of 40 done, 0 left, about 0 s");
        assert_eq!(line(1, 1000, 2), "photos: 1 of 1000 done, 999 left, about 34 min");
        assert_eq!(line(0, 10, 2), "photos: 0 of 10 done, 10 left, about 20 s");
    }
}
