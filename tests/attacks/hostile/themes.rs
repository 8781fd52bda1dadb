//! Broken and endless themes: one problem with its place, and a site made with the built-in theme.

use super::{Row, hold_all, write};

/// What follows each fault.
const INSTEAD: &str = "; until this is fixed, the site is made with the built-in theme linen";

fn theme(file: &'static str, text: &'static str) -> impl Fn(&std::path::Path) {
    move |journal| {
        write(journal, "journal.yaml", "title: Hostile\ntheme: mine\n");
        write(journal, &format!("themes/mine/{file}"), text);
    }
}

/// A row in which a page's template is broken.
fn broken(name: &'static str, text: &'static str, place: &'static str, answer: &'static str) -> Row {
    Row::bad(name, theme("search.html", text), &[place, answer, INSTEAD]).shows("search.html", "<h1>Search")
}

pub(super) fn rows() -> Vec<Row> {
    [faulty(), endless(), unread()].into_iter().flatten().collect()
}

/// Templates with a fault that the template engine finds.
fn faulty() -> Vec<Row> {
    let file = "themes/mine/search.html: error: ";
    vec![
        broken(
            "a template that is cut off",
            "{% if x %}",
            "themes/mine/search.html:1:11: ",
            "unexpected end",
        ),
        broken(
            "a template with an open tag",
            "{{ frame.title ",
            "themes/mine/search.html:1:",
            "unexpected end",
        ),
        broken(
            "a template that asks for what is not there",
            "\n{{ search.nothing.at.all }}",
            "themes/mine/search.html:2:11: ",
            "field `nothing` is not defined (there are index, pages)",
        ),
        broken(
            "a template that calls what is not there",
            "{{ nothing() }}",
            "themes/mine/search.html:1:4: ",
            "unknown function `nothing`",
        ),
        broken("a template that extends itself", "{% extends \"search.html\" %}", file, "in a circle"),
        broken("a template that includes itself", "{% include \"search.html\" %}", file, "in a circle"),
        Row::bad(
            "templates that include each other",
            |j| {
                theme("search.html", "{% include \"a.html\" %}")(j);
                write(j, "themes/mine/a.html", "{% include \"b.html\" %}");
                write(j, "themes/mine/b.html", "{% include \"a.html\" %}");
            },
            &[
                "themes/mine/a.html: error: ",
                "include each other in a circle: a.html > b.html > a.html",
                INSTEAD,
            ],
        ),
        broken(
            "a template that goes on from nothing",
            "{% extends \"base.html\" %}",
            file,
            "extends `base.html`, which does not exist",
        ),
        broken(
            "a template without a policy",
            "<p>{{ frame.title }}</p>",
            file,
            "leaves out the Content-Security-Policy",
        ),
        broken(
            "components that call each other",
            "{% component a() %}{{ <b/> }}{% endcomponent a %}{% component b() %}{{ <a/> }}{% endcomponent b %}{{ <a/> }}",
            file,
            "maximum render recursion depth for components exceeded",
        ),
        broken(
            "a range of all numbers",
            "{% for a in range(end=9000000000000) %}x{% endfor %}",
            "themes/mine/search.html:1:13: ",
            "exceeds the limit of 100000",
        ),
    ]
}

/// Templates without bounds in time or memory.
fn endless() -> Vec<Row> {
    let file = "themes/mine/search.html: error: ";
    let memory = "takes more than 512 MB of memory";
    let time = "runs for more than 5 seconds";
    vec![
        broken(
            "a template that writes without end",
            concat!(
                "{% for a in range(end=90000) %}{% for b in range(end=90000) %}",
                "01234567890123456789012345678901234567890123456789012345678901234567890123456789",
                "01234567890123456789012345678901234567890123456789012345678901234567890123456789",
                "{% endfor %}{% endfor %}"
            ),
            file,
            "writes a page of more than 128 MB",
        ),
        broken(
            "a template that loops without end",
            "{% for a in range(end=90000) %}{% for b in range(end=90000) %}{% set c = b %}{% endfor %}{% endfor %}",
            file,
            time,
        ),
        broken(
            "a template that doubles a text",
            "{% set s = \"0123456789\" %}{% for a in range(end=90) %}{% set_global s = s ~ s %}{% endfor %}",
            file,
            memory,
        ),
        broken(
            "a template that replaces by a long text",
            concat!(
                "{% set_global s = \"0123456789\" %}{% for a in range(end=13) %}{% set_global s = s ~ s %}{% endfor %}",
                "{{ s | replace(from=\"1\", to=s) | replace(from=\"1\", to=s) | length }}"
            ),
            file,
            memory,
        ),
        broken(
            "a list in a list without end",
            "{% set s = [1] %}{% for a in range(end=99999) %}{% set_global s = [s] %}{% endfor %}{{ s }}",
            file,
            "nests too deeply",
        ),
        broken(
            "components that call each other twice",
            concat!(
                "{% component a(n) %}{% if n > 0 %}{{ <b n={n - 1} /> }}{{ <b n={n - 1} /> }}{% endif %}{% endcomponent a %}",
                "{% component b(n) %}{% for i in range(end=90) %}{{ <a n={n} /> }}{% endfor %}{% endcomponent b %}{{ <a n={9} /> }}"
            ),
            file,
            time,
        ),
        Row::bad(
            "a frame that runs away",
            theme("frame.html", "{% for a in range(end=90000) %}{% for b in range(end=90000) %}{% endfor %}{% endfor %}{% block main %}{% endblock %}{% block foot %}{% endblock %}{% block sheet %}{% endblock %}"),
            &["themes/mine/frame.html: error: ", time, INSTEAD],
        )
        .shows("builds/good.html", "<h1>A good watch"),
    ]
}

/// Themes that cannot be read.
fn unread() -> Vec<Row> {
    vec![
        Row::bad(
            "a theme that is not there",
            |j| write(j, "journal.yaml", "title: Hostile\ntheme: linnen\n"),
            &["journal.yaml:2:8: ", "there is no theme `linnen` (did you mean `linen`?)", INSTEAD],
        ),
        Row::bad(
            "a theme that leads out",
            |j| write(j, "journal.yaml", "title: Hostile\ntheme: ../../etc\n"),
            &["journal.yaml:2:8: ", "is not the name of a theme", INSTEAD],
        ),
        Row::bad(
            "a theme that is a link",
            |j| {
                write(j, "journal.yaml", "title: Hostile\ntheme: mine\n");
                std::fs::create_dir(j.join("themes")).unwrap();
                std::os::unix::fs::symlink("/etc", j.join("themes/mine")).unwrap();
            },
            &["journal.yaml:2:8: ", "themes/mine is a link", INSTEAD],
        ),
        Row::bad(
            "a template that is no text",
            |j| {
                write(j, "journal.yaml", "title: Hostile\ntheme: mine\n");
                write(j, "themes/mine/search.html", [0xff, 0xfe, 0]);
            },
            &["themes/mine/search.html: error: is not UTF-8 text", INSTEAD],
        ),
        Row::bad(
            "a style that is no text",
            |j| write(j, "themes/linen/style.css", [0xff, 0xfe, 0]),
            &["themes/linen/style.css: error: is not UTF-8 text", INSTEAD],
        ),
        Row::bad(
            "a picture that is too large",
            |j| {
                write(j, "themes/linen/icon.svg", "");
                let file =
                    std::fs::File::options().write(true).open(j.join("themes/linen/icon.svg")).unwrap();
                file.set_len(1 << 30).unwrap();
            },
            &["themes/linen/icon.svg: error: is larger than 16 MB", INSTEAD],
        ),
    ]
}

#[test]
fn themes() {
    hold_all(&rows());
}
