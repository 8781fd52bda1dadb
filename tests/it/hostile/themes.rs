//! Themes of one's own that are broken or never end: told by the template's name, and the site that
//! stands stays as it is, because no page of it could be made.

use super::{Row, hold_all, write};

fn theme(file: &'static str, text: &'static str) -> impl Fn(&std::path::Path) {
    move |journal| {
        write(journal, "journal.yaml", "title: Hostile\ntheme: mine\n");
        write(journal, &format!("themes/mine/{file}"), text);
    }
}

pub(super) fn rows() -> Vec<Row> {
    let refused =
        |name, text, answer| Row::refused(name, theme("search.html", text), &["search.html", answer]);
    vec![
        refused("a template that is cut off", "{% if x %}", ""),
        refused("a template with an open tag", "{{ frame.title ", ""),
        refused(
            "a template that asks for what is not there",
            "{{ search.nothing.at.all }}",
            "cannot show search.html",
        ),
        refused("a template that calls what is not there", "{{ nothing() }}", ""),
        refused("a template that extends itself", "{% extends \"search.html\" %}", ""),
        refused("a template that includes itself", "{% include \"search.html\" %}", ""),
        refused(
            "a template without a policy",
            "<p>{{ frame.title }}</p>",
            "leaves out the Content-Security-Policy",
        ),
        refused(
            "a template that writes without end",
            "{% for a in range(end=90000) %}{% for b in range(end=90000) %}0123456789{% endfor %}{% endfor %}",
            "at search.html",
        ),
        refused(
            "a template that loops without end",
            "{% for a in range(end=90000) %}{% for b in range(end=90000) %}{% set c = b %}{% endfor %}{% endfor %}",
            "runs for more than 5 seconds at search.html",
        ),
        Row::refused(
            "components that call each other",
            theme(
                "search.html",
                "{% component a() %}{{ <b/> }}{% endcomponent a %}{% component b() %}{{ <a/> }}{% endcomponent b %}",
            ),
            &["call each other for ever: a > b > a"],
        ),
        refused("a range of all numbers", "{% for a in range(end=9000000000000) %}x{% endfor %}", ""),
        Row::refused(
            "a theme that is not there",
            |j| write(j, "journal.yaml", "title: Hostile\ntheme: slate\n"),
            &["journal.yaml:2:8: there is no theme `slate`"],
        ),
        Row::refused(
            "a theme that leads out",
            |j| write(j, "journal.yaml", "title: Hostile\ntheme: ../../etc\n"),
            &["journal.yaml:2:8", "is no name of a theme"],
        ),
        Row::refused(
            "a template that is no text",
            |j| {
                write(j, "journal.yaml", "title: Hostile\ntheme: mine\n");
                write(j, "themes/mine/search.html", [0xff, 0xfe, 0]);
            },
            &["themes/mine/search.html is not UTF-8 text"],
        ),
    ]
}

#[test]
fn themes() {
    hold_all(&rows());
}
