//! What keeps a template of one's own from going on for ever: loops look at the clock, what is set is
//! weighed, and components may not go round in a circle.

use std::cell::Cell;
use std::collections::{BTreeMap, BTreeSet};
use std::time::{Duration, Instant};

use tera::{Kwargs, State, Tera, TeraResult, Value};

/// The function that every round of a loop calls.
const IN_TIME: &str = "in_time";

/// The function that is called for whatever was set.
const IN_SIZE: &str = "in_size";

/// A value that weighs more grew in a loop that went astray: no text that pages show comes near it.
const HEAVIEST: usize = 4 << 20;

/// Lists in lists, so deep: each is a call in a call.
const DEEPEST: usize = 64;

thread_local! {
    static UNTIL: Cell<Option<Instant>> = const { Cell::new(None) };
}

/// From now on, templates of this thread may run for so long.
pub(super) fn allow(time: Duration) {
    UNTIL.set(Instant::now().checked_add(time));
}

/// Makes the functions known that [`Guarded`] templates call.
pub(super) fn register(tera: &mut Tera) {
    tera.register_function(IN_TIME, in_time);
    tera.register_function(IN_SIZE, in_size);
}

/// Writes nothing, and ends the page when its time is over.
fn in_time(_: Kwargs, _: &State<'_>) -> TeraResult<String> {
    match UNTIL.get() {
        Some(until) if until < Instant::now() => Err(tera::Error::message("it goes on for too long")),
        _ => Ok(String::new()),
    }
}

/// Writes nothing, and ends the page when a value is too much to go on with.
#[expect(clippy::needless_pass_by_value, reason = "tera calls it so")]
fn in_size(told: Kwargs, _: &State<'_>) -> TeraResult<String> {
    let value = told.get::<&Value>("of")?;
    let mut left = HEAVIEST;
    if value.is_some_and(|value| !fits(value, &mut left, DEEPEST)) {
        let most = HEAVIEST / 1024 / 1024;
        return Err(tera::Error::message(format!("what is set here holds more than {most} MB")));
    }
    Ok(String::new())
}

/// Whether a value weighs no more than is `left`, all that is written twice counted twice.
fn fits(value: &Value, left: &mut usize, depth: usize) -> bool {
    let text = value.as_str().map_or(0, str::len);
    let Some(rest) = left.checked_sub(text + size_of::<Value>()) else { return false };
    *left = rest;
    let Some(depth) = depth.checked_sub(1) else { return false };
    value.as_array().is_none_or(|list| list.iter().all(|value| fits(value, left, depth)))
        && value.as_map().is_none_or(|map| map.values().all(|value| fits(value, left, depth)))
}

/// A template with a look at the clock at the beginning of each round of its loops, and one at the size
/// of whatever it sets.
#[derive(Clone, Debug)]
pub(super) struct Guarded {
    /// As the person wrote it.
    written: String,
    /// As tera is given it. Lines stay lines.
    pub(super) text: String,
    put: Vec<Put>,
}

/// A piece that the person did not write.
#[derive(Clone, Copy, Debug)]
struct Put {
    /// Where it stands in what tera is given.
    start: usize,
    end: usize,
    /// Where the tag that it belongs to begins in what the person wrote.
    tag: usize,
}

impl Guarded {
    pub(super) fn new(written: &str) -> Guarded {
        let mut text = String::with_capacity(written.len() + 512);
        let mut put = Vec::new();
        let mut setting = Vec::new();
        let mut done = 0;
        while let Some(tag) = next_tag(&written[done..]) {
            let (start, end) = (done + tag.at, done + tag.at + tag.text.len());
            text.push_str(&written[done..end]);
            done = end;
            let call = match tag.word() {
                "for" => Some(format!("{IN_TIME}()")),
                "set" | "set_global" => {
                    let (name, rest) = tag.set();
                    let call = format!("{IN_SIZE}(of={name})");
                    if rest.starts_with('=') {
                        Some(call)
                    } else {
                        setting.push(call);
                        None
                    }
                }
                "endset" => setting.pop(),
                _ => None,
            };
            if let Some(call) = call {
                // A tag that eats the space behind it goes on eating it.
                let close = if tag.text.ends_with("-%}") { "-}}" } else { "}}" };
                let at = text.len();
                text.push_str(&format!("{{{{ {call} {close}"));
                put.push(Put { start: at, end: text.len(), tag: start });
            }
        }
        text.push_str(&written[done..]);
        Guarded { written: written.to_owned(), text, put }
    }

    /// Line and column in what the person wrote, both from 1, of those that tera tells.
    pub(super) fn place(&self, line: usize, column: usize) -> (u32, u32) {
        let before = self.text.split_inclusive('\n').take(line.saturating_sub(1));
        let start: usize = before.map(str::len).sum();
        let rest = self.text.get(start..).unwrap_or_default();
        let at = start + rest.char_indices().nth(column.saturating_sub(1)).map_or(rest.len(), |(at, _)| at);
        let passed: usize = self.put.iter().filter(|put| put.end <= at).map(|put| put.end - put.start).sum();
        let within = self.put.iter().find(|put| (put.start..put.end).contains(&at));
        line_and_column(&self.written, within.map_or(at - passed, |put| put.tag))
    }

    /// The components and blocks that it defines, each with the line and column of its tag.
    pub(super) fn defines(&self) -> impl Iterator<Item = (String, (u32, u32))> {
        let mut done = 0;
        std::iter::from_fn(move || {
            loop {
                let tag = next_tag(&self.written[done..])?;
                let at = done + tag.at;
                done = at + tag.text.len();
                if matches!(tag.word(), "component" | "block") {
                    return Some((name(tag.rest()), line_and_column(&self.written, at)));
                }
            }
        })
    }
}

/// The template that one goes on from; `None` where it stands for itself.
pub(super) fn parent(template: &str) -> Option<&str> {
    let tag = next_tag(template).filter(|tag| tag.word() == "extends")?;
    Some(tag.rest().trim_matches(['"', '\'', '`']))
}

/// Both from 1, of the byte `at` of a text; the column counts characters.
fn line_and_column(text: &str, at: usize) -> (u32, u32) {
    let before = text.get(..at).unwrap_or(text);
    let line = before.rsplit('\n').next().unwrap_or_default();
    (before.matches('\n').count() as u32 + 1, line.chars().count() as u32 + 1)
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
                "component" => inside = Some(name(tag.rest())),
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

    /// What stands behind the first word.
    fn rest(&self) -> &'a str {
        self.inner().split_once(char::is_whitespace).map_or("", |(_, rest)| rest.trim_start())
    }

    /// The name that is set, and what stands behind it.
    fn set(&self) -> (String, &'a str) {
        let name = name(self.rest());
        let rest = self.rest().get(name.len()..).unwrap_or_default();
        (name, rest.trim_start())
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
        let end = at + 2 + closed(text.get(at + 2..)?, close)?;
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

/// How far it is to the end of what closes a tag; what stands in quotes closes none.
fn closed(text: &str, close: &str) -> Option<usize> {
    let quotes = close != "#}";
    let mut quote = None;
    let mut escaped = false;
    for (at, c) in text.char_indices() {
        match quote {
            _ if escaped => escaped = false,
            Some(_) if c == '\\' => escaped = true,
            Some(open) if c == open => quote = None,
            Some(_) => {}
            None if quotes && matches!(c, '"' | '\'' | '`') => quote = Some(c),
            None if text[at..].starts_with(close) => return Some(at + close.len()),
            None => {}
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn guarded(template: &str) -> String {
        Guarded::new(template).text
    }

    #[test]
    fn every_loop_looks_at_the_clock() {
        assert_eq!(
            guarded("a{% for x in y %}{{ x }}{% endfor %}\n{%- for a in b -%} c{% endfor %}"),
            "a{% for x in y %}{{ in_time() }}{{ x }}{% endfor %}\n{%- for a in b -%}{{ in_time() -}} c{% endfor %}"
        );
        let kept = "{# {% for x in y %} #}{% raw %}{% for x in y %}{% endraw %}{ {% if fork %}{% endif %}\
                    {{ \"{% for x in y %}\" }}";
        assert_eq!(guarded(kept), kept);
    }

    #[test]
    fn whatever_is_set_is_weighed() {
        assert_eq!(
            guarded(
                "{% set a = 1 -%} {% set_global b=\"%}\" %}{% set c | upper %}{% set d %}x{% endset %}{% endset %}"
            ),
            "{% set a = 1 -%}{{ in_size(of=a) -}} {% set_global b=\"%}\" %}{{ in_size(of=b) }}{% set c | upper %}\
             {% set d %}x{% endset %}{{ in_size(of=d) }}{% endset %}{{ in_size(of=c) }}"
        );
    }

    #[test]
    fn what_grows_in_a_loop_is_stopped_where_it_is_set() {
        let growing = [
            "{% set s = \"0123456789\" %}{% for a in range(end=90) %}{% set_global s = s ~ s %}{% endfor %}",
            "{% set s = [1] %}{% for a in range(end=90) %}{% set_global s = [s, s] %}{% endfor %}",
            "{% set s = 1 %}{% for a in range(end=90000) %}{% set_global s = [s] %}{% endfor %}",
            "{% set s = 1 %}{% for a in range(end=90) %}{% set_global s = {\"a\": s, \"b\": s} %}{% endfor %}",
            "{% set s = \"0123456789\" %}{% for a in range(end=90) %}{% set_global s %}{{ s }}{{ s }}{% endset %}{% endfor %}",
        ];
        for template in growing {
            let mut tera = Tera::new();
            register(&mut tera);
            tera.add_raw_template("a", &guarded(template)).unwrap();
            let error = tera.render("a", &tera::Context::new()).unwrap_err().to_string();
            assert!(error.contains("what is set here holds more than 4 MB"), "{template}: {error}");
        }
        let mut tera = Tera::new();
        register(&mut tera);
        let modest = "{% set_global void = nowhere?.at %}{% set a = [1, \"two\"] %}{% set b = a | join(sep=\" \") %}{{ b }}";
        tera.add_raw_template("a", &guarded(modest)).unwrap();
        let context = tera::context! { nowhere => &Option::<u8>::None };
        assert_eq!(tera.render("a", &context).unwrap(), "1 two");
    }

    #[test]
    fn places_are_those_that_the_person_wrote() {
        let guarded = Guarded::new("é{% for x in y %}{{ z }}{% endfor %}\n{% set a = 1 %} {{ z }}\n");
        let place = |needle: &str| {
            let at = guarded.text.find(needle).unwrap();
            let (line, column) = line_and_column(&guarded.text, at);
            guarded.place(line as usize, column as usize)
        };
        assert_eq!([place("{% for"), place("in_time"), place("{{ z }}{%")], [(1, 2), (1, 2), (1, 18)]);
        assert_eq!([place("in_size"), place(" {{ z }}\n")], [(2, 1), (2, 16)]);
        assert_eq!(guarded.place(9, 9), (3, 1));
    }

    #[test]
    fn a_template_names_its_parent() {
        assert_eq!(parent("{#- mine -#} {% extends \"linen/build.html\" %}"), Some("linen/build.html"));
        assert_eq!(parent("{% block a %}{% endblock %}"), None);
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
