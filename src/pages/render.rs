//! From what templates may see to the bytes of a page.

use std::io::{self, Write};
use std::sync::{Arc, mpsc};
use std::thread;
use std::time::{Duration, Instant};

use anyhow::Context as _;
use serde::Serialize;

use super::context::Frame;
use super::guard;
use super::theme::Theme;

/// What a page may load and run: only what lies beside it, nothing inline, nothing from elsewhere.
pub const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; \
                          font-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none'";

/// A page larger than this is a loop that went astray.
const LARGEST: usize = 32 * 1024 * 1024;

/// A template that runs for longer than this does not end.
const LONGEST: Duration = Duration::from_secs(if cfg!(test) { 2 } else { 5 });

/// What a file of the site is, which decides when it is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum FileKind {
    /// Named by its content: may be added at any time before the pages.
    Asset,
    /// Data with a fixed name that pages load by script.
    Data,
    /// A page.
    Page,
}

/// A file of the site.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SiteFile {
    /// Its path in the site, with `/`.
    pub path: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
    /// What it is.
    pub kind: FileKind,
}

/// Renders one page: `template` sees `frame` and, under the name `name`, `shown`.
pub fn page<T: Serialize>(
    theme: &Theme,
    template: &str,
    path: &str,
    frame: &Frame,
    name: &'static str,
    shown: &T,
) -> anyhow::Result<SiteFile> {
    let mut context = tera::Context::new();
    context.insert("frame", frame);
    context.insert(name, shown);
    let bytes = rendered(theme, template, context, path)?;
    let html = String::from_utf8(bytes).with_context(|| format!("{path} is not UTF-8 text"))?;
    anyhow::ensure!(
        html.contains(POLICY),
        "the template {template} leaves out the Content-Security-Policy: write {{{{ frame.policy_html | safe }}}} \
         in a meta element, as linen/frame.html does"
    );
    Ok(SiteFile {
        path: path.to_owned(),
        bytes: without_end_tags(&slim(&html)).into_bytes(),
        kind: FileKind::Page,
    })
}

/// What a template writes, in a thread of its own: a loop looks at the clock and so does what is
/// written; what does neither, such as a comprehension in a comprehension, is waited for no longer.
fn rendered(theme: &Theme, template: &str, context: tera::Context, path: &str) -> anyhow::Result<Vec<u8>> {
    let (done, waiting) = mpsc::channel();
    let (tera, name) = (Arc::clone(&theme.tera), template.to_owned());
    let work = move || {
        guard::allow(LONGEST);
        let mut out = Bounded { bytes: Vec::new(), begun: Instant::now(), writes: 0, stopped: None };
        let rendered = tera.render_to(&name, &context, &mut out);
        if rendered.is_err() && out.stopped.is_none() && out.begun.elapsed() > LONGEST {
            out.stopped = Some(too_long());
        }
        // Nobody waits any more where it took too long.
        let _ = done.send((rendered, out));
    };
    thread::Builder::new().name("template".to_owned()).spawn(work).context("cannot start a thread")?;
    let (rendered, out) = match waiting.recv_timeout(LONGEST * 2) {
        Ok(made) => made,
        Err(mpsc::RecvTimeoutError::Timeout) => {
            anyhow::bail!("the template {template} {} at {path}", too_long())
        }
        Err(mpsc::RecvTimeoutError::Disconnected) => {
            anyhow::bail!("the template {template} cannot be worked out at {path}")
        }
    };
    if let Some(why) = out.stopped {
        anyhow::bail!("the template {template} {why} at {path}");
    }
    rendered.with_context(|| format!("the template {template} cannot show {path}"))?;
    Ok(out.bytes)
}

fn too_long() -> String {
    format!("runs for more than {} seconds", LONGEST.as_secs())
}

/// A page without the indentation and blank lines that templates leave; text that is written as it
/// stands (`pre`, `textarea`, `script`) is kept.
fn slim(html: &str) -> String {
    let mut out = String::with_capacity(html.len());
    let mut kept: Option<&str> = None;
    for line in html.split('\n') {
        let shown = if kept.is_some() { line } else { line.trim_end().trim_start() };
        if kept.is_none() && shown.is_empty() {
            continue;
        }
        out.push_str(shown);
        out.push('\n');
        for end in ["pre", "textarea", "script"] {
            let opens = line.rfind(&format!("<{end}"));
            let closes = line.rfind(&format!("</{end}>"));
            match kept {
                None if opens > closes => kept = Some(end),
                Some(open) if open == end && closes.is_some() && closes > opens => kept = None,
                _ => {}
            }
        }
    }
    out
}

/// A page without the end tags of table cells, rows and list items that HTML lets out, because the
/// next cell, row or item (or the end of the whole) ends them.
fn without_end_tags(html: &str) -> String {
    let followers: [(&str, &[&str]); 5] = [
        ("</td>", &["<td", "<th", "</tr>"]),
        ("</th>", &["<td", "<th", "</tr>"]),
        ("</tr>", &["<tr", "</tbody>", "</thead>", "</tfoot>"]),
        ("</li>", &["<li", "</ul>", "</ol>"]),
        ("</dd>", &["<dt", "</dl>"]),
    ];
    let mut out = String::with_capacity(html.len());
    let mut rest = html;
    while let Some(at) = rest.find("</") {
        let (before, tag) = rest.split_at(at);
        out.push_str(before);
        let known = followers.iter().find(|(name, _)| tag.starts_with(name));
        let ended = known.filter(|(name, next)| {
            let after = tag[name.len()..].trim_start();
            // `<th` also begins `<thead`, which is never inside a row.
            next.iter().any(|next| after.starts_with(next))
        });
        let (kept, length) = match ended {
            Some((name, _)) => ("", name.len()),
            None => ("</", 2),
        };
        out.push_str(kept);
        rest = &tag[length..];
    }
    out.push_str(rest);
    out
}

/// Takes what a template writes until it is too much or takes too long.
struct Bounded {
    bytes: Vec<u8>,
    begun: Instant,
    /// Looking at the clock costs more than most of them.
    writes: u64,
    stopped: Option<String>,
}

impl Write for Bounded {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.writes += 1;
        if self.bytes.len() + bytes.len() > LARGEST {
            self.stopped = Some(format!("writes more than {} MB", LARGEST / 1024 / 1024));
        } else if self.writes.is_multiple_of(64) && self.begun.elapsed() > LONGEST {
            self.stopped = Some(too_long());
        }
        if self.stopped.is_some() {
            return Err(io::Error::other("stopped"));
        }
        self.bytes.extend_from_slice(bytes);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::super::context::SearchPage;
    use super::*;

    fn frame() -> Frame {
        Frame { policy_html: POLICY.to_owned(), language: "en".to_owned(), ..Frame::default() }
    }

    fn with(template: &str) -> anyhow::Result<SiteFile> {
        let own = BTreeMap::from([("search.html".to_owned(), template.as_bytes().to_vec())]);
        let theme = Theme::new("linen", own).unwrap();
        page(&theme, "search.html", "search.html", &frame(), "search", &SearchPage::default())
    }

    #[test]
    fn a_page_without_a_policy_is_refused() {
        let error = with("<p>hello</p>").unwrap_err().to_string();
        assert!(error.contains("leaves out the Content-Security-Policy"), "{error}");
    }

    #[test]
    fn a_template_that_does_not_end_is_stopped_by_name() {
        let endless =
            "{% for a in range(end=9000) %}{% for b in range(end=9000) %}0123456789{% endfor %}{% endfor %}";
        let error = with(endless).unwrap_err().to_string();
        assert!(error.starts_with("the template search.html "), "{error}");
    }

    #[test]
    fn a_loop_that_writes_nothing_is_stopped_by_name() {
        let silent = "{% for a in range(end=90000) %}{% for b in range(end=90000) %}{% set c = b %}{% endfor %}{% endfor %}";
        let error = with(silent).unwrap_err().to_string();
        assert_eq!(error, "the template search.html runs for more than 2 seconds at search.html");
    }

    #[test]
    fn a_fault_in_a_template_names_the_template_and_the_page() {
        let error = format!("{:#}", with("{{ search.nothing }}").unwrap_err());
        assert!(error.starts_with("the template search.html cannot show search.html"), "{error}");
    }

    #[test]
    fn a_title_cannot_act() {
        let theme = Theme::new("linen", BTreeMap::new()).unwrap();
        let attack = "\"><script>alert('1')</script>";
        let frame = Frame {
            title: attack.to_owned(),
            journal: attack.to_owned(),
            description: attack.to_owned(),
            language: attack.to_owned(),
            ..frame()
        };
        let page =
            page(&theme, "search.html", "search.html", &frame, "search", &SearchPage::default()).unwrap();
        let html = String::from_utf8(page.bytes).unwrap();
        assert!(!html.contains("<script>"), "{html}");
        assert!(html.contains("&lt;script&gt;"), "{html}");
    }

    #[test]
    fn end_tags_that_html_lets_out_go() {
        assert_eq!(
            without_end_tags(
                "<tr><td>a</td><td>b</td></tr>\n<tr><td>c</td></tr></tbody></table><ul><li>x</li>y</ul>"
            ),
            "<tr><td>a<td>b\n<tr><td>c</tbody></table><ul><li>x</li>y</ul>"
        );
    }

    #[test]
    fn blank_lines_go_and_written_text_stays() {
        assert_eq!(
            slim("<p>\n\n   a\n<pre><code>b\n\n  c\n</code></pre>\n   d"),
            "<p>\na\n<pre><code>b\n\n  c\n</code></pre>\nd\n"
        );
        assert_eq!(slim("<pre>a</pre>\n  b"), "<pre>a</pre>\nb\n");
    }
}
