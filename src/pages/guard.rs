//! What keeps a template of one's own from going on for ever: loops look at the clock, and components
//! may not go round in a circle.

use std::cell::Cell;
use std::collections::{BTreeMap, BTreeSet};
use std::time::{Duration, Instant};

use tera::{Kwargs, State, TeraResult};

/// The function that every round of a loop calls.
pub(super) const IN_TIME: &str = "in_time";

thread_local! {
    static UNTIL: Cell<Option<Instant>> = const { Cell::new(None) };
}

/// From now on, templates of this thread may run for so long.
pub(super) fn allow(time: Duration) {
    UNTIL.set(Instant::now().checked_add(time));
}

/// Writes nothing, and ends the page when its time is over.
pub(super) fn in_time(_: Kwargs, _: &State<'_>) -> TeraResult<String> {
    match UNTIL.get() {
        Some(until) if until < Instant::now() => Err(tera::Error::message("it goes on for too long")),
        _ => Ok(String::new()),
    }
}

/// The template with a look at the clock at the beginning of each round of its loops. Lines stay lines,
/// so that places in messages hold.
pub(super) fn guarded(template: &str) -> String {
    let mut out = String::with_capacity(template.len() + 512);
    let mut rest = template;
    while let Some(tag) = next_tag(rest) {
        let end = tag.at + tag.text.len();
        out.push_str(&rest[..end]);
        rest = &rest[end..];
        if tag.word() == "for" {
            // A tag that eats the space behind it goes on eating it.
            let close = if tag.text.ends_with("-%}") { "-}}" } else { "}}" };
            out.push_str(&format!("{{{{ {IN_TIME}() {close}"));
        }
    }
    out.push_str(rest);
    out
}

/// The names of components that call each other in a circle, the first one again at the end; `None`
/// where there is no such circle. Tera itself finds templates that include each other so.
pub(super) fn circle<'a>(templates: impl Iterator<Item = &'a str>) -> Option<Vec<String>> {
    let mut calls: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for template in templates {
        let (mut rest, mut inside) = (template, None);
        while let Some(tag) = next_tag(rest) {
            rest = &rest[tag.at + tag.text.len()..];
            match tag.word() {
                "component" => inside = tag.inner().split_whitespace().nth(1).map(name),
                "endcomponent" => inside = None,
                _ => {
                    if let (Some(from), Some(call)) = (&inside, tag.inner().strip_prefix('<')) {
                        calls.entry(from.clone()).or_default().insert(name(call));
                    }
                }
            }
        }
    }
    let mut done = BTreeSet::new();
    calls.keys().find_map(|first| walk(first, &calls, &mut Vec::new(), &mut done))
}

fn walk(
    at: &str,
    calls: &BTreeMap<String, BTreeSet<String>>,
    way: &mut Vec<String>,
    done: &mut BTreeSet<String>,
) -> Option<Vec<String>> {
    if let Some(start) = way.iter().position(|known| known == at) {
        let mut circle = way.split_off(start);
        circle.push(at.to_owned());
        return Some(circle);
    }
    if !done.insert(at.to_owned()) {
        return None;
    }
    way.push(at.to_owned());
    let found = calls.get(at).into_iter().flatten().find_map(|next| walk(next, calls, way, done));
    way.pop();
    found
}

fn name(text: &str) -> String {
    text.chars().take_while(|c| c.is_alphanumeric() || matches!(c, '_' | '.')).collect()
}

/// A tag of a template, `{% ... %}` or `{{ ... }}`.
struct Tag<'a> {
    at: usize,
    text: &'a str,
}

impl<'a> Tag<'a> {
    fn inner(&self) -> &'a str {
        let inner = self.text.get(2..self.text.len() - 2).unwrap_or_default();
        inner.trim_start_matches('-').trim_end_matches('-').trim()
    }

    /// The first word of a tag that is an instruction; empty for one that writes.
    fn word(&self) -> &'a str {
        if self.text.starts_with("{%") { self.inner().split_whitespace().next().unwrap_or("") } else { "" }
    }
}

/// The next tag that means something: not in a comment, not in what is to be written as it stands.
fn next_tag(text: &str) -> Option<Tag<'_>> {
    let mut from = 0;
    loop {
        let at = from + text.get(from..)?.find('{')?;
        let close = match text.as_bytes().get(at + 1) {
            Some(b'%') => "%}",
            Some(b'{') => "}}",
            Some(b'#') => "#}",
            _ => {
                from = at + 1;
                continue;
            }
        };
        let end = at + text.get(at..)?.find(close)? + 2;
        let tag = Tag { at, text: text.get(at..end)? };
        if close == "#}" {
            from = end;
        } else if tag.word() == "raw" {
            let rest = text.get(end..)?;
            from = end + rest.find("endraw")?;
        } else {
            return Some(tag);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_loop_looks_at_the_clock() {
        assert_eq!(
            guarded("a{% for x in y %}{{ x }}{% endfor %}\n{%- for a in b -%} c{% endfor %}"),
            "a{% for x in y %}{{ in_time() }}{{ x }}{% endfor %}\n{%- for a in b -%}{{ in_time() -}} c{% endfor %}"
        );
        let kept = "{# {% for x in y %} #}{% raw %}{% for x in y %}{% endraw %}{ {% if fork %}{% endif %}";
        assert_eq!(guarded(kept), kept);
    }

    #[test]
    fn components_that_call_each_other_in_a_circle_are_found() {
        let one = "{% component a(x) %}{{ <b x={x} /> }}{% endcomponent a %}";
        let two =
            "{% component b(x) -%}{% if x %}{{ <c/> }}{% endif %}{%- endcomponent b %}{{ <a x={1} /> }}";
        let three = "{% component c() %}{{ <a x={1} /> }}{% endcomponent c %}";
        assert_eq!(circle([one, two].into_iter()), None);
        assert_eq!(circle([one, two, three].into_iter()).unwrap(), ["a", "b", "c", "a"]);
    }
}
