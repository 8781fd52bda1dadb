//! Themes of one's own that are broken or never end: told with the place, and the built-in template is taken
//! meanwhile, so that all is published.

use super::{Row, hold_all, write};

fn theme(file: &'static str, text: &'static str) -> impl Fn(&std::path::Path) {
    move |journal| {
        write(journal, "journal.yaml", "title: Hostile\ntheme: mine\n");
        // What is good of the theme is still to be seen.
        write(journal, "themes/mine/more.css", "main { margin: 11px; }\n");
        write(journal, &format!("themes/mine/{file}"), text);
    }
}

/// A row in which a page's template is broken: the built-in one makes the page.
fn broken(name: &'static str, text: &'static str, place: &'static str, answer: &'static str) -> Row {
    let taken = "until it is mended, ";
    Row::bad(name, theme("search.html", text), &[place, answer, taken]).shows("search.html", "<h1>Search")
}

pub(super) fn rows() -> Vec<Row> {
    let file = "themes/mine/search.html: error: ";
    vec![
        broken("a template that is cut off", "{% if x %}", "themes/mine/search.html:1:11: ", "unexpected end"),
        broken("a template with an open tag", "{{ frame.title ", "themes/mine/search.html:1:", "unexpected end"),
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
        broken(
            "a template that goes on from nothing",
            "{% extends \"base.html\" %}",
            file,
            "extends `base.html`, which is not there",
        ),
        broken(
            "a template without a policy",
            "<p>{{ frame.title }}</p>",
            file,
            "leaves out the Content-Security-Policy",
        ),
        broken(
            "a template that writes without end",
            concat!(
                "{% for a in range(end=90000) %}{% for b in range(end=90000) %}",
                "01234567890123456789012345678901234567890123456789012345678901234567890123456789",
                "01234567890123456789012345678901234567890123456789012345678901234567890123456789",
                "{% endfor %}{% endfor %}"
            ),
            file,
            "writes more than 32 MB",
        ),
        broken(
            "a template that loops without end",
            "{% for a in range(end=90000) %}{% for b in range(end=90000) %}{% set c = b %}{% endfor %}{% endfor %}",
            "themes/mine/search.html:1:",
            "runs for more than 5 seconds",
        ),
        broken(
            "a template that doubles a text",
            "{% set s = \"0123456789\" %}{% for a in range(end=90) %}{% set_global s = s ~ s %}{% endfor %}",
            "themes/mine/search.html:1:55: ",
            "what is set here holds more than 4 MB",
        ),
        broken(
            "components that call each other",
            "{% component a() %}{{ <b/> }}{% endcomponent a %}{% component b() %}{{ <a/> }}{% endcomponent b %}",
            "themes/mine/search.html:1:1: ",
            "call each other for ever: a > b > a",
        ),
        broken(
            "a range of all numbers",
            "{% for a in range(end=9000000000000) %}x{% endfor %}",
            "themes/mine/search.html:1:13: ",
            "exceeds the limit of 100000",
        ),
        Row::bad(
            "a frame that runs away",
            theme("frame.html", "{% for a in range(end=90000) %}{% for b in range(end=90000) %}{% endfor %}{% endfor %}{% block main %}{% endblock %}{% block foot %}{% endblock %}{% block sheet %}{% endblock %}"),
            &["themes/mine/frame.html:1:", "all pages of build.html are made with the built-in templates"],
        )
        .shows("builds/good.html", "<h1>A good watch"),
        Row::bad(
            "a theme that is not there",
            |j| write(j, "journal.yaml", "title: Hostile\ntheme: linnen\n"),
            &["journal.yaml:2:8: ", "there is no theme `linnen` (did you mean `linen`?)", "linen is taken"],
        ),
        Row::bad(
            "a theme that leads out",
            |j| write(j, "journal.yaml", "title: Hostile\ntheme: ../../etc\n"),
            &["journal.yaml:2:8: ", "is no name of a theme", "linen is taken"],
        ),
        Row::bad(
            "a theme that is a link",
            |j| {
                write(j, "journal.yaml", "title: Hostile\ntheme: mine\n");
                std::fs::create_dir(j.join("themes")).unwrap();
                std::os::unix::fs::symlink("/etc", j.join("themes/mine")).unwrap();
            },
            &["journal.yaml:2:8: ", "themes/mine is a link", "linen is taken"],
        ),
        Row::bad(
            "a template that is no text",
            |j| {
                write(j, "journal.yaml", "title: Hostile\ntheme: mine\n");
                write(j, "themes/mine/search.html", [0xff, 0xfe, 0]);
            },
            &["themes/mine/search.html: error: is not UTF-8 text", "the built-in search.html is taken"],
        ),
        Row::bad(
            "a style that is no text",
            |j| write(j, "themes/linen/style.css", [0xff, 0xfe, 0]),
            &["themes/linen/style.css: error: is not UTF-8 text", "the built-in style.css is taken"],
        ),
        Row::bad(
            "a picture that is too large",
            |j| {
                write(j, "themes/linen/icon.svg", "");
                let file = std::fs::File::options().write(true).open(j.join("themes/linen/icon.svg")).unwrap();
                file.set_len(1 << 30).unwrap();
            },
            &["themes/linen/icon.svg: error: is larger than 16 MB", "the built-in icon.svg is taken"],
        ),
    ]
}

#[test]
fn themes() {
    hold_all(&rows());
}
