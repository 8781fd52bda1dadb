//! The links of a page to other pages of the site, and the page without some of them.

use std::ops::Range;

/// The pages that an HTML page links to, as paths in the site; links to other hosts, to the
/// page itself and to places within it are left out.
pub(super) fn of(page: &str, html: &[u8]) -> Vec<String> {
    let mut found: Vec<String> = references(page, html).map(|(_, target)| target).collect();
    found.sort();
    found.dedup();
    found.retain(|target| target != page);
    found
}

/// The page with every link for which `away` holds taken off; its text stays. An attribute that
/// leads nowhere takes the place of `href`, so that what stands around it is read as before.
pub(super) fn without(page: &str, html: &[u8], away: impl Fn(&str) -> bool) -> Vec<u8> {
    let mut kept = Vec::with_capacity(html.len());
    let mut from = 0;
    for (attribute, target) in references(page, html) {
        if away(&target) {
            kept.extend_from_slice(&html[from..attribute.start]);
            kept.extend_from_slice(b"data-later");
            from = attribute.end;
        }
    }
    kept.extend_from_slice(&html[from..]);
    kept
}

/// Every `href` inside a tag: where the attribute stands, and the path in the site it leads to.
fn references<'a>(page: &'a str, html: &'a [u8]) -> impl Iterator<Item = (Range<usize>, String)> + 'a {
    let mut at = 0;
    let mut in_tag = false;
    std::iter::from_fn(move || {
        while at < html.len() {
            if !in_tag {
                at = next_tag(html, at)?;
                in_tag = true;
            }
            let Some(attribute) = next_attribute(html, &mut at) else {
                in_tag = false;
                continue;
            };
            let name = &html[attribute.name.clone()];
            if (name.eq_ignore_ascii_case(b"href") || name.eq_ignore_ascii_case(b"xlink:href"))
                && let Some(target) = resolve(page, &html[attribute.value.clone()])
            {
                return Some((attribute.whole, target));
            }
        }
        None
    })
}

struct Attribute {
    whole: Range<usize>,
    name: Range<usize>,
    value: Range<usize>,
}

/// Where the attributes of the next tag begin; comments, scripts and styles are passed over.
fn next_tag(html: &[u8], mut at: usize) -> Option<usize> {
    loop {
        at += html.get(at..)?.iter().position(|b| *b == b'<')? + 1;
        let rest = &html[at..];
        if rest.starts_with(b"!--") {
            at += find(rest, b"-->")? + 3;
            continue;
        }
        if !rest.first().is_some_and(u8::is_ascii_alphabetic) {
            continue;
        }
        let name = rest.iter().take_while(|b| !b.is_ascii_whitespace() && **b != b'>' && **b != b'/').count();
        let raw = [&b"script"[..], b"style"].into_iter().find(|raw| rest[..name].eq_ignore_ascii_case(raw));
        match raw {
            Some(raw) => at += find(rest, &[b"</", raw].concat())?,
            None => return Some(at + name),
        }
    }
}

/// The next attribute of the tag that `at` stands in; `None` once the tag has ended.
fn next_attribute(html: &[u8], at: &mut usize) -> Option<Attribute> {
    let skip = |at: &mut usize, test: fn(u8) -> bool| {
        while html.get(*at).is_some_and(|b| test(*b)) {
            *at += 1;
        }
    };
    skip(at, |b| b.is_ascii_whitespace() || b == b'/');
    if html.get(*at).is_none_or(|b| *b == b'>') {
        return None;
    }
    let name = *at;
    *at += 1;
    skip(at, |b| !b.is_ascii_whitespace() && !matches!(b, b'=' | b'>' | b'/'));
    let name = name..*at;
    let mut value = *at..*at;
    let mut look = *at;
    skip(&mut look, |b| b.is_ascii_whitespace());
    if html.get(look) == Some(&b'=') {
        *at = look + 1;
        skip(at, |b| b.is_ascii_whitespace());
        match html.get(*at) {
            Some(quote @ (b'"' | b'\'')) => {
                let from = *at + 1;
                let to = html[from..].iter().position(|b| b == quote).map_or(html.len(), |n| from + n);
                value = from..to;
                *at = (to + 1).min(html.len());
            }
            _ => {
                let from = *at;
                skip(at, |b| !b.is_ascii_whitespace() && b != b'>');
                value = from..*at;
            }
        }
    }
    Some(Attribute { whole: name.start..*at, name, value })
}

/// The path in the site that a reference of `page` leads to.
fn resolve(page: &str, value: &[u8]) -> Option<String> {
    let text = unescaped(std::str::from_utf8(value).ok()?);
    let path = text.split(['#', '?']).next()?;
    let scheme = path.split('/').next().is_some_and(|first| first.contains(':'));
    if path.is_empty() || path.starts_with('/') || scheme {
        return None;
    }
    let mut parts: Vec<String> = page.split('/').map(str::to_owned).collect();
    parts.pop();
    for part in path.split('/') {
        match part {
            "" | "." => {}
            ".." => drop(parts.pop()?),
            part => parts.push(percent_decoded(part)?),
        }
    }
    if path.ends_with('/') || parts.is_empty() {
        parts.push("index.html".into());
    }
    Some(parts.join("/"))
}

/// The references that HTML writers put in attributes: the named ones of markup, and numbers.
fn unescaped(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(at) = rest.find('&') {
        plain.push_str(&rest[..at]);
        rest = &rest[at..];
        let decoded = rest.find(';').and_then(|end| Some((end, character(&rest[1..end])?)));
        match decoded {
            Some((end, c)) => {
                plain.push(c);
                rest = &rest[end + 1..];
            }
            None => {
                plain.push('&');
                rest = &rest[1..];
            }
        }
    }
    plain.push_str(rest);
    plain
}

fn character(name: &str) -> Option<char> {
    Some(match name {
        "amp" => '&',
        "lt" => '<',
        "gt" => '>',
        "quot" => '"',
        "apos" => '\'',
        _ => {
            let number = name.strip_prefix('#')?;
            let code = match number.strip_prefix(['x', 'X']) {
                Some(hex) => u32::from_str_radix(hex, 16).ok()?,
                None => number.parse().ok()?,
            };
            char::from_u32(code)?
        }
    })
}

fn percent_decoded(part: &str) -> Option<String> {
    let mut bytes = Vec::with_capacity(part.len());
    let mut rest = part.as_bytes();
    while let Some((first, after)) = rest.split_first() {
        let hex = after.get(..2).filter(|_| *first == b'%').and_then(|two| {
            let two = std::str::from_utf8(two).ok().filter(|t| t.bytes().all(|b| b.is_ascii_hexdigit()))?;
            u8::from_str_radix(two, 16).ok()
        });
        bytes.push(hex.unwrap_or(*first));
        rest = if hex.is_some() { &after[2..] } else { after };
    }
    String::from_utf8(bytes).ok()
}

fn find(within: &[u8], what: &[u8]) -> Option<usize> {
    within.windows(what.len()).position(|w| w.eq_ignore_ascii_case(what))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const PAGE: &str = r##"<!doctype html><link rel=stylesheet href=../../style.css>
<script src="../../x.js">"<a href='no.html'>"</script><!-- <a href="no.html"> -->
<a class="x" href="../../index.html">home</a> <A HREF = '../b/index.html#top' >b</A>
<a href="..&#x2F;c%20d/?q=1">c</a> <a href="#here">here</a> <a href="">self</a> <a href="index.html">self</a>
<a href="https://example.org/a/index.html">out</a> <a href="//example.org/x">out</a> <a href="mailto:a@b">m</a>
<a href="../../../../etc/passwd">far</a> <p>text href="no.html" 1 < 2</p><svg><a xlink:href="../e/"/></svg>"##;

    #[test]
    fn links_between_pages_are_found() {
        assert_eq!(
            of("builds/a/index.html", PAGE.as_bytes()),
            [
                "builds/b/index.html",
                "builds/c d/index.html",
                "builds/e/index.html",
                "index.html",
                "style.css"
            ]
        );
    }

    #[test]
    fn a_link_is_taken_off_and_its_text_stays() {
        let page = br#"<p><a class="x" href="b.html">to b</a>, <a href="c.html" id=c>to c</a></p>"#;
        let kept = without("a.html", page, |target| target == "b.html");
        assert_eq!(
            String::from_utf8(kept).unwrap(),
            r#"<p><a class="x" data-later>to b</a>, <a href="c.html" id=c>to c</a></p>"#
        );
        assert_eq!(without("a.html", page, |_| false), page);
    }

    proptest! {
        #[test]
        fn any_bytes_end_and_lose_only_what_was_asked(html in r#"(<a |href=|["'> /=]|b\.html|<!--|-->|<script|</script|&#|;|%|é|x){0,60}"#) {
            let links = of("a.html", html.as_bytes());
            prop_assert_eq!(without("a.html", html.as_bytes(), |_| false), html.as_bytes());
            let bare = without("a.html", html.as_bytes(), |target| target != "a.html");
            prop_assert!(of("a.html", &bare).is_empty(), "{:?} of {:?} keeps {:?}", bare, html, links);
        }
    }
}
