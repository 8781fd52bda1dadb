//! Texts into HTML, read again as a browser reads it: nothing of a text acts, leads astray or breaks
//! out of the element that it stands in.

use endshake::pages::context::Picture;
use endshake::pages::markdown::{Resolve, Settings, plain, render};

use super::{Target, example, fuzz, skeleton};
use crate::markup::{self, Element};

/// A journal with one entry and one photo.
struct One;

impl Resolve for One {
    fn link(&self, target: &str) -> Option<String> {
        target.ends_with(".md").then(|| "../page.html".to_owned())
    }

    fn photo(&self, target: &str) -> Option<Picture> {
        target.ends_with(".jpg").then(|| Picture {
            src: "../photos/a1-480.jpg".to_owned(),
            srcset: "../photos/a1-480.jpg 480w".to_owned(),
            full: "../photos/a1-960.jpg".to_owned(),
            width: 480,
            height: 360,
            soft: "data:image/png;base64,AAAA".to_owned(),
            ..Picture::default()
        })
    }
}

const ELEMENTS: [&str; 32] = [
    "html",
    "head",
    "body",
    "div",
    "p",
    "h1",
    "h2",
    "h3",
    "h4",
    "h5",
    "h6",
    "a",
    "img",
    "em",
    "strong",
    "code",
    "pre",
    "blockquote",
    "ul",
    "ol",
    "li",
    "hr",
    "br",
    "table",
    "thead",
    "tbody",
    "tr",
    "th",
    "td",
    "del",
    "figure",
    "figcaption",
];

const ATTRIBUTES: [(&str, &[&str]); 9] = [
    ("a", &["href", "title", "class"]),
    ("img", &["src", "srcset", "sizes", "width", "height", "alt", "loading", "class"]),
    ("ol", &["start"]),
    ("code", &["class"]),
    ("div", &["id"]),
    ("h3", &["id"]),
    ("h4", &["id"]),
    ("h5", &["id"]),
    ("h6", &["id"]),
];

const WORDS: [&str; 62] = [
    "<script>alert(1)</script>",
    "<img src=x onerror=alert(1)>",
    "<svg onload=alert(1)>",
    "</div>",
    "</p>",
    "<!--",
    "-->",
    "<![CDATA[",
    "<style>",
    "<iframe src=//x>",
    "<a href=javascript:alert(1)>x</a>",
    "[x](javascript:alert(1))",
    "[x](java\nscript:alert(1))",
    "[x](data:text/html,x)",
    "[x](//x.example)",
    "[x](\\\\x.example)",
    "[x](<a b.md>)",
    "![x](a.jpg)",
    "![x](https://x.example/a.png)",
    "[![x](a.jpg)](b.md)",
    "<javascript:alert(1)>",
    "<https://a.example>",
    "<me@a.example>",
    "[x]: javascript:alert(1)\n",
    "[x][x]",
    "](",
    "![",
    "\" onmouseover=\"alert(1)",
    "' onclick='x",
    "```html\n",
    "``` \"onclick=x\n",
    "~~~\n",
    "| a | b |\n|--|--|\n| c | d |\n",
    "# ",
    "###### ",
    "> ",
    "- ",
    "1. ",
    "99999999999. ",
    "    ",
    "\t",
    "***",
    "___",
    "**",
    "~~",
    "`",
    "``",
    "&lt;",
    "&#x3c;script&#x3e;",
    "&#0;",
    "&colon;",
    "&NewLine;",
    "\\",
    "  \n",
    "\\\n",
    "---\n",
    "===\n",
    "a.jpg",
    "b.md",
    "\u{0}",
    "\u{1}",
    "javascript&colon;alert(1)",
];

#[test]
fn texts() {
    let mut corpus: Vec<Vec<u8>> = example(".md")
        .into_iter()
        .map(|(_, text)| text.rsplit("---\n").next().unwrap().as_bytes().to_vec())
        .collect();
    corpus.extend(WORDS.iter().map(|word| word.as_bytes().to_vec()));
    let settings = Settings { top_heading: 3, anchors: Some("t-".to_owned()), raw_html: false };
    let attempt = |input: &[u8]| {
        let text = String::from_utf8_lossy(input);
        let rendered = render(&text, &settings, &One);
        let page = format!("<div id=\"box\">{}</div><div id=\"after\"></div>", rendered.html);
        let dom = markup::read(&page);
        assert!(dom.stands_after("box", "after"), "the text breaks out: {text:?}\n{}", rendered.html);
        let mut answers: Vec<String> =
            rendered.notices.iter().map(|notice| skeleton(&notice.message)).collect();
        for element in &dom.elements {
            allowed(element).unwrap_or_else(|fault| panic!("{fault} of {text:?}\n{}", rendered.html));
            answers.push(element.way());
        }
        for notice in &rendered.notices {
            assert!(text.get(notice.at.clone()).is_some(), "{notice:?} stands beside the text {text:?}");
        }
        // The same words without markup never fail, and hold no line ends.
        assert!(!plain(&text).contains('\n'));
        answers
    };
    fuzz(&Target { name: "texts", corpus, words: &WORDS, executions: 3_000, attempt: &attempt });
}

fn allowed(element: &Element) -> Result<(), String> {
    let name = element.name.as_str();
    if !ELEMENTS.contains(&name) {
        return Err(format!("an element <{name}>"));
    }
    let known = ATTRIBUTES.iter().find(|(known, _)| *known == name).map_or(&[][..], |(_, known)| known);
    for (attribute, value) in &element.attributes {
        if !known.contains(&attribute.as_str()) {
            return Err(format!("an attribute {attribute} of <{name}>"));
        }
        let good = match (name, attribute.as_str()) {
            ("a", "href") => {
                // As browsers take it: line ends and tabs inside an address are nothing.
                let bare: String = value.chars().filter(|c| !matches!(c, '\t' | '\n' | '\r')).collect();
                let bare = bare.trim_start_matches(|c: char| c <= ' ').to_ascii_lowercase();
                ["https:", "http:", "mailto:"].iter().any(|web| bare.starts_with(web))
                    || value == "../page.html"
                    || value == "../photos/a1-960.jpg"
            }
            ("img", "src") => value == "../photos/a1-480.jpg" || value == "data:image/png;base64,AAAA",
            ("img", "srcset") => value == "../photos/a1-480.jpg 480w",
            ("a" | "img", "class") => ["zoom", "soft"].contains(&value.as_str()),
            ("code", "class") => value.starts_with("language-"),
            (_, "id") => value.starts_with("t-") || value == "box" || value == "after",
            _ => true,
        };
        if !good {
            return Err(format!("{attribute}={value:?} of <{name}>"));
        }
    }
    Ok(())
}
