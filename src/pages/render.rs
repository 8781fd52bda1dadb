//! From what templates may see to the bytes of a page.

use std::io::{self, Write};
use std::sync::{Arc, mpsc};
use std::thread;
use std::time::{Duration, Instant};

use anyhow::Context as _;
use serde::Serialize;
use tera::Tera;

use super::context::Frame;
use super::guard;
use super::theme::{Blame, Fault, Names, Templates, Theme};

/// What a page may load and run: only what lies beside it, nothing inline, nothing from elsewhere.
pub const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; \
                          font-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none'";

/// A page of a person's own template that is larger than this is a loop that went astray.
const LARGEST: usize = 32 << 20;

/// The built-in templates write as much as a journal has to show: a gallery of ten thousand builds is
/// larger than [`LARGEST`].
const LARGEST_BUILT_IN: usize = 256 << 20;

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

/// A page, and the faults for which it was not made with the theme's own templates.
pub(super) struct Rendered {
    pub(super) file: SiteFile,
    pub(super) faults: Vec<Fault>,
}

/// Renders one page: `template` sees `frame` and, under the name `name`, `shown`. What fails of the theme's
/// own templates is set aside for this page; a template that runs away is stopped for all pages of its kind.
pub(super) fn page<T: Serialize>(
    theme: &Theme,
    template: &str,
    path: &str,
    frame: &Frame,
    name: &'static str,
    shown: &T,
) -> anyhow::Result<Rendered> {
    let mut context = tera::Context::new();
    context.insert("frame", frame);
    context.insert(name, shown);
    let context = Arc::new(context);
    let templates = &theme.templates;
    let own = templates.own();
    let mut aside = if templates.stopped().contains_key(template) { own.clone() } else { Names::new() };
    let mut faults = Vec::new();
    let html = loop {
        let tera = templates.without(&aside)?;
        if aside.is_superset(&own) {
            let mut out = Bounded::new(None);
            let rendered = tera.render_to(template, &context, &mut out);
            let failed = || format!("{path} cannot be made with the built-in {template}");
            break out.page(rendered).map_err(Failed::error).with_context(failed)?;
        }
        match with_own(tera, template, &context) {
            Ok(html) => break html,
            Err(failed) => {
                let (names, fault) = failed.blame(templates, template, &aside);
                if matches!(failed, Failed::Endless(..)) {
                    templates.stop(template, fault);
                    aside.extend(own.iter().cloned());
                } else {
                    faults.push(fault);
                    aside.extend(names);
                }
            }
        }
    };
    let bytes = without_end_tags(&slim(&html)).into_bytes();
    Ok(Rendered { file: SiteFile { path: path.to_owned(), bytes, kind: FileKind::Page }, faults })
}

/// Why a template gave no page.
enum Failed {
    /// It says so itself.
    Told(tera::Error),
    /// It writes too much or for too long; with its own words for where it was.
    Endless(String, Option<tera::Error>),
    /// Anything else.
    Other(String),
}

impl Failed {
    fn blame(&self, templates: &Templates, template: &str, aside: &Names) -> Blame {
        match self {
            Failed::Told(error) => templates.blame(error, template, aside),
            Failed::Endless(what, Some(error)) => {
                let (names, fault) = templates.blame(error, template, aside);
                (names, Fault { what: what.clone(), ..fault })
            }
            Failed::Endless(what, None) | Failed::Other(what) => {
                templates.blame_outermost(template, aside, what.clone())
            }
        }
    }

    fn error(self) -> anyhow::Error {
        match self {
            Failed::Told(error) => error.into(),
            Failed::Endless(what, _) | Failed::Other(what) => anyhow::anyhow!(what),
        }
    }
}

/// What a theme's own templates write, in a thread of its own: a loop looks at the clock and so does what
/// is written; what does neither, such as a comprehension in a comprehension, is waited for no longer.
fn with_own(tera: Arc<Tera>, template: &str, context: &Arc<tera::Context>) -> Result<String, Failed> {
    let (done, waiting) = mpsc::channel();
    let (name, context) = (template.to_owned(), Arc::clone(context));
    let work = move || {
        guard::allow(LONGEST);
        let mut out = Bounded::new(Some(Instant::now()));
        let rendered = tera.render_to(&name, &context, &mut out);
        // Nobody waits any more where it took too long.
        let _ = done.send(out.page(rendered));
    };
    let thread = thread::Builder::new().name("template".to_owned()).spawn(work);
    thread.map_err(|fault| Failed::Other(format!("no thread could be had for it: {fault}")))?;
    waiting.recv_timeout(LONGEST * 2).unwrap_or_else(|ended| {
        Err(match ended {
            mpsc::RecvTimeoutError::Timeout => Failed::Endless(too_long(), None),
            mpsc::RecvTimeoutError::Disconnected => Failed::Other("cannot be worked out".to_owned()),
        })
    })
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
    /// `None` for a built-in template, which may take as long as it does: it ends.
    begun: Option<Instant>,
    /// Looking at the clock costs more than most of them.
    writes: u64,
    stopped: Option<String>,
}

impl Bounded {
    fn new(begun: Option<Instant>) -> Bounded {
        Bounded { bytes: Vec::new(), begun, writes: 0, stopped: None }
    }

    fn is_late(&self) -> bool {
        self.begun.is_some_and(|begun| begun.elapsed() > LONGEST)
    }

    /// The page that was written, if it is one.
    fn page(self, rendered: tera::TeraResult<()>) -> Result<String, Failed> {
        let is_late = self.is_late();
        if let Some(why) = self.stopped {
            return Err(Failed::Endless(why, None));
        }
        if let Err(error) = rendered {
            return Err(if is_late { Failed::Endless(too_long(), Some(error)) } else { Failed::Told(error) });
        }
        let html =
            String::from_utf8(self.bytes).map_err(|_| Failed::Other("is not UTF-8 text".to_owned()))?;
        if html.contains(POLICY) {
            return Ok(html);
        }
        Err(Failed::Other(
            "leaves out the Content-Security-Policy: write {{ frame.policy_html | safe }} in a meta element, \
             as linen/frame.html does"
                .to_owned(),
        ))
    }
}

impl Write for Bounded {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.writes += 1;
        let largest = if self.begun.is_some() { LARGEST } else { LARGEST_BUILT_IN };
        if self.bytes.len() + bytes.len() > largest {
            self.stopped = Some(format!("writes more than {} MB", largest >> 20));
        } else if self.writes.is_multiple_of(64) && self.is_late() {
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

    fn theme(files: &[(&str, &str)]) -> Theme {
        let own = files.iter().map(|(path, text)| ((*path).to_owned(), text.as_bytes().to_vec()));
        Theme::new("mine", own.collect()).unwrap()
    }

    /// The search page of a theme, and its faults.
    fn page_of(theme: &Theme) -> (String, Vec<String>) {
        let made =
            page(theme, "search.html", "search.html", &frame(), "search", &SearchPage::default()).unwrap();
        let faults = made.faults.iter().map(|fault| format!("{}: {}", fault.place, fault.what)).collect();
        (String::from_utf8(made.file.bytes).unwrap(), faults)
    }

    #[test]
    fn what_fails_while_a_page_is_made_is_set_aside_for_that_page() {
        let built_in = page_of(&theme(&[])).0;
        let whole = "{{ frame.policy_html | safe }}";
        let cases: [(&[(&str, &str)], &str); 6] = [
            (
                &[("search.html", "<p>hello</p>")],
                "themes/mine/search.html: leaves out the Content-Security-Policy: write {{ frame.policy_html | safe }} in a meta element, as linen/frame.html does",
            ),
            (
                &[("search.html", "a {{ search.idnex }}")],
                "themes/mine/search.html:1:13: field `idnex` is not defined (did you mean `index`?)",
            ),
            (
                &[("search.html", "{{ searching }}")],
                "themes/mine/search.html:1:4: variable `searching` is not defined (did you mean `search`?)",
            ),
            // Who goes on from what fails falls with it, and is not blamed.
            (
                &[
                    ("search.html", "{% extends \"base.html\" %}"),
                    ("base.html", "{% for a in [1] %}{{ b }}{% endfor %}"),
                ],
                "themes/mine/base.html:1:22: variable `b` is not defined (there are frame, search)",
            ),
            // A built-in component fails for what it is given; who gives it is to blame.
            (
                &[("search.html", "{{ <verdict v={search} /> }}")],
                "themes/mine/search.html:1:4: field `word` is not defined (there are index, pages)",
            ),
            // In what is written in a text that is set.
            (
                &[(
                    "search.html",
                    "{% set s = \"0123456789\" %}{% for a in range(end=90) %}{% set_global s = s ~ s %}{% endfor %}",
                )],
                "themes/mine/search.html:1:55: what is set here holds more than 4 MB",
            ),
        ];
        let made = cases.map(|(files, _)| page_of(&theme(files)));
        assert_eq!(
            made.each_ref().map(|(_, faults)| faults.join("\n")),
            cases.map(|(_, fault)| fault.to_owned())
        );
        assert!(made.iter().all(|(html, _)| *html == built_in));
        // What is good of the theme stays: its own frame round the built-in page.
        let framed = theme(&[
            ("search.html", "{{ nothing }}"),
            (
                "frame.html",
                &format!(
                    "{whole} mine {{% block main %}}{{% endblock %}}{{% block foot %}}{{% endblock %}}{{% block sheet %}}{{% endblock %}}"
                ),
            ),
        ]);
        let (html, faults) = page_of(&framed);
        assert!(html.contains("'none' mine") && html.contains("<h1>Search"), "{html}");
        assert_eq!(faults.len(), 1);
    }

    #[test]
    fn a_template_that_runs_away_is_stopped_for_all_its_pages() {
        let round = "{% for a in range(end=90000) %}{% for b in range(end=90000) %}";
        let ends = "{% endfor %}{% endfor %}";
        let built_in = page_of(&theme(&[])).0;
        // On a busy machine it is stopped from outside, before it can say at which line it was.
        for (what, faults) in [
            (&*"0123456789".repeat(1000), ["themes/mine/search.html: writes more than 32 MB"; 2]),
            (
                "{% set c = b %}",
                [
                    "themes/mine/search.html:1:32: runs for more than 2 seconds",
                    "themes/mine/search.html:1:1: runs for more than 2 seconds",
                ],
            ),
        ] {
            let theme = theme(&[("search.html", &format!("{round}{what}{ends}"))]);
            for _ in 0..2 {
                assert_eq!(page_of(&theme), (built_in.clone(), Vec::new()));
                let stopped = theme.templates.stopped();
                let told = &stopped["search.html"];
                let told = format!("{}: {}", told.place, told.what);
                assert!(faults.contains(&told.as_str()) && stopped.len() == 1, "{told}");
            }
        }
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
        let html = String::from_utf8(page.file.bytes).unwrap();
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
