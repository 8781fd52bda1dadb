//! Whole sites of journals whose files are changed: whatever the texts say, every page is one that
//! nothing of them acts on.

use endshake::journal::folder::Folder;

use super::journals::{WORDS, base, told, with};
use super::{Target, fuzz};
use crate::sites::{Look, made};

const MARKUP: [&str; 14] = [
    "\"><script>alert(1)</script>",
    "' onload='alert(1)",
    "\" onmouseover=\"alert(1)",
    "</title><script>",
    "</script>",
    "]]>",
    "<!--",
    "--><img src=x onerror=x>",
    "javascript:alert(1)",
    "{{ 1 }}",
    "{% raw %}",
    "\\\"",
    "\u{2028}",
    "&quot;",
];

#[test]
fn pages() {
    let folder: Folder = base("lantern");
    // One file of each sort: pages take their time.
    let changed =
        ["build.md", "turned-down.md", "regulated.md", "journal.yaml", "dials.yaml", "movements.yaml"];
    let changed: Vec<&(String, String)> =
        folder.texts.iter().filter(|(path, _)| changed.iter().any(|end| path.ends_with(end))).collect();
    let corpus: Vec<Vec<u8>> = changed
        .iter()
        .enumerate()
        .map(|(at, (_, text))| [&[b'a' + u8::try_from(at).unwrap()], text.as_bytes()].concat())
        .collect();
    let words = [&WORDS[..], &MARKUP[..]].concat();
    let attempt = |input: &[u8]| {
        let (head, text) = input.split_at(input.len().min(1));
        let at = usize::from(head.first().copied().unwrap_or(b'a').wrapping_sub(b'a')) % corpus.len();
        let text = String::from_utf8_lossy(text).replace('\0', "");
        let changed = with(&folder, &changed[at].0, &text);
        let known: Vec<String> = changed.texts.iter().map(|(path, _)| path.clone()).collect();
        let site = made(changed, &Look::default());
        let faults = site.faults(&|address| address.starts_with("http") || address.starts_with("mailto:"));
        assert!(faults.is_empty(), "{faults:#?}");
        told(&site.journal, &known, &site.problems)
    };
    fuzz(&Target { name: "sites", corpus: corpus.clone(), words: &words, executions: 8, attempt: &attempt });
}
