//! Input that nobody writes on purpose: texts and files changed at random, thousands of times.
//!
//! It runs on the stable toolchain and needs no instrumentation. What guides it is what the code
//! under test says: an input that is answered in a way not seen before (another message, another
//! shape of page) joins the corpus, which begins with the example's own files.
//!
//! The tests run a fixed number of executions, the same each time. By hand, for as long as wanted:
//!
//! ```text
//! ENDSHAKE_FUZZ_SECONDS=600 ENDSHAKE_FUZZ_SEED=2 cargo test --test attacks fuzz:: -- --test-threads=1 --nocapture
//! ```

mod figures;
mod journals;
mod markdown;
mod mutate;
mod photos;
mod sites;
mod tables;

use std::collections::BTreeSet;
use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use mutate::mutated;

use crate::dice::Dice;

/// Inputs that may join the corpus.
const MOST_KEPT: usize = 4000;

/// Something to be tried with bytes.
pub(crate) struct Target<'a> {
    /// What it is called in messages.
    pub(crate) name: &'a str,
    /// What is changed.
    pub(crate) corpus: Vec<Vec<u8>>,
    /// What is put in.
    pub(crate) words: &'a [&'a str],
    /// Executions where no time was asked for.
    pub(crate) executions: u64,
    /// Tries an input and says how it was answered; panics where a promise is broken.
    pub(crate) attempt: &'a dyn Fn(&[u8]) -> Vec<String>,
}

/// Tries a target; fails with every input that broke it, each kept in a file.
#[expect(clippy::print_stdout, clippy::print_stderr, reason = "figures and finds for who runs it by hand")]
pub(crate) fn fuzz(target: &Target<'_>) {
    let asked = |name: &str| std::env::var(name).ok().and_then(|text| text.parse::<u64>().ok());
    let seconds = asked("ENDSHAKE_FUZZ_SECONDS").map(Duration::from_secs);
    let mut dice = Dice(asked("ENDSHAKE_FUZZ_SEED").unwrap_or(1));
    let mut corpus = target.corpus.clone();
    assert!(!corpus.is_empty(), "{} has nothing to begin with", target.name);
    let (mut seen, mut found): (BTreeSet<String>, BTreeSet<String>) = Default::default();
    let (begun, mut slowest, mut count) = (Instant::now(), Duration::ZERO, 0u64);
    loop {
        let over = seconds.map_or(count >= target.executions, |seconds| begun.elapsed() >= seconds);
        if over && count >= corpus.len().min(target.corpus.len()) as u64 {
            break;
        }
        // The corpus itself comes first, as it is.
        let input = match target.corpus.get(usize::try_from(count).unwrap()) {
            Some(input) => input.clone(),
            None => mutated(&corpus, target.words, &mut dice),
        };
        count += 1;
        let started = Instant::now();
        match catch_unwind(AssertUnwindSafe(|| (target.attempt)(&input))) {
            Ok(answers) => {
                let new = answers.into_iter().filter(|answer| seen.insert(answer.clone())).count();
                if new > 0 && corpus.len() < MOST_KEPT {
                    corpus.push(input.clone());
                }
            }
            Err(panic) => {
                let told = panic.downcast_ref::<String>().cloned();
                let told = told.or_else(|| panic.downcast_ref::<&str>().map(|text| (*text).to_owned()));
                let told: String = told.unwrap_or_default().chars().take(400).collect();
                if found.insert(skeleton(&told)) {
                    let place = kept(target.name, &input);
                    eprintln!("{}: {told}\n  by the input in {}", target.name, place.display());
                }
            }
        }
        if started.elapsed() > slowest {
            slowest = started.elapsed();
            if slowest > Duration::from_secs(2) {
                eprintln!("{}: {slowest:?} by {}", target.name, kept(target.name, &input).display());
            }
        }
    }
    println!(
        "{}: {count} executions in {:.0} s, {} kinds of answer, a corpus of {} that began with {}, slowest {:.0} ms",
        target.name,
        begun.elapsed().as_secs_f64(),
        seen.len(),
        corpus.len(),
        target.corpus.len(),
        slowest.as_secs_f64() * 1e3,
    );
    assert!(found.is_empty(), "{}: {found:#?}", target.name);
}

/// A message without what the input put into it: from the first quotation to the last, and figures.
pub(crate) fn skeleton(message: &str) -> String {
    let begin = message.find('`').unwrap_or(message.len());
    let end = message.rfind('`').unwrap_or(message.len()).max(begin);
    let words = message[..begin].chars().chain(message[end..].chars());
    words.filter(|c| !c.is_ascii_digit()).take(160).collect()
}

fn kept(name: &str, input: &[u8]) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("fuzz");
    fs::create_dir_all(&folder).unwrap();
    let mut hash = 0xcbf2_9ce4_8422_2325_u64;
    for byte in input {
        hash = (hash ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3);
    }
    let place = folder.join(format!("{name}-{hash:016x}"));
    fs::write(&place, input).unwrap();
    place
}

/// The example's files whose path ends so, path and text.
pub(crate) fn example(ending: &str) -> Vec<(String, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("content-example");
    let mut out = Vec::new();
    for entry in walkdir::WalkDir::new(&root).sort_by_file_name() {
        let entry = entry.unwrap();
        let path = entry.path().strip_prefix(&root).unwrap().to_str().unwrap().to_owned();
        if entry.file_type().is_file() && path.ends_with(ending) && !path.starts_with("site") {
            out.push((path, fs::read_to_string(entry.path()).unwrap()));
        }
    }
    assert!(!out.is_empty(), "the example has no {ending}");
    out
}
