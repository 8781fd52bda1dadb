//! Reads a JSON array of Markdown texts on standard input and writes the array of their HTML, as the
//! pages have it but with raw HTML, headings at their own levels and links as they are: for the
//! examples of the CommonMark specification (tests/outside/commonmark.mjs).

use std::io::{self, Read, Write};

use endshake::pages::context::Picture;
use endshake::pages::markdown::{Resolve, Settings, render_commonmark};

/// Takes every address as it is written.
struct AsWritten;

impl Resolve for AsWritten {
    fn link(&self, target: &str) -> Option<String> {
        Some(target.to_owned())
    }

    fn photo(&self, target: &str) -> Option<Picture> {
        Some(Picture { src: target.to_owned(), ..Picture::default() })
    }
}

fn main() -> io::Result<()> {
    let mut text = String::new();
    io::stdin().read_to_string(&mut text)?;
    let texts: Vec<String> = serde_json::from_str(&text)?;
    let settings = Settings { top_heading: 1, anchors: None, raw_html: true };
    let html: Vec<String> =
        texts.iter().map(|text| render_commonmark(text, &settings, &AsWritten).html).collect();
    let mut out = io::stdout().lock();
    serde_json::to_writer(&mut out, &html)?;
    out.flush()
}
