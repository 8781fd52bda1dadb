//! HTML read by the rules that browsers read it by, for what may stand on a page.

use html5ever::tendril::TendrilSink as _;
use html5ever::{ParseOpts, parse_document};
use markup5ever_rcdom::{Handle, NodeData, RcDom};

/// A page in the order of its elements.
pub(crate) struct Page {
    pub(crate) elements: Vec<Element>,
    /// All its text, that of scripts and styles apart.
    pub(crate) text: String,
}

/// One element.
#[derive(Debug)]
pub(crate) struct Element {
    pub(crate) name: String,
    pub(crate) attributes: Vec<(String, String)>,
    /// The text directly in it.
    pub(crate) text: String,
    /// Where it stands: the number of the element that holds it.
    parent: Option<usize>,
    parent_name: String,
}

impl Element {
    pub(crate) fn attribute(&self, name: &str) -> Option<&str> {
        self.attributes.iter().find(|(known, _)| known == name).map(|(_, value)| value.as_str())
    }

    /// The shape of it: its name, its attributes' names, and what it stands in.
    pub(crate) fn way(&self) -> String {
        let names: Vec<&str> = self.attributes.iter().map(|(name, _)| name.as_str()).collect();
        format!("{}>{} {}", self.parent_name, self.name, names.join(" "))
    }
}

impl Page {
    /// Whether the element of one id stands right behind that of the other, in the same one.
    pub(crate) fn stands_after(&self, first: &str, second: &str) -> bool {
        let of = |id: &str| -> Vec<&Element> {
            self.elements.iter().filter(|element| element.attribute("id") == Some(id)).collect()
        };
        match (&of(first)[..], &of(second)[..]) {
            ([first], [second]) => first.parent == second.parent && second.parent_name == "body",
            _ => false,
        }
    }
}

/// Reads a page.
pub(crate) fn read(html: &str) -> Page {
    let dom = parse_document(RcDom::default(), ParseOpts::default()).one(html);
    let mut page = Page { elements: Vec::new(), text: String::new() };
    let mut waiting: Vec<(Handle, Option<usize>)> = vec![(dom.document.clone(), None)];
    while let Some((node, mut within)) = waiting.pop() {
        match &node.data {
            NodeData::Element { name, attrs, template_contents, .. } => {
                let attributes = attrs.borrow();
                let attributes = attributes.iter().map(|one| {
                    let prefix =
                        one.name.prefix.as_ref().map_or(String::new(), |prefix| format!("{prefix}:"));
                    (format!("{prefix}{}", one.name.local), one.value.to_string())
                });
                let parent_name = within.map_or(String::new(), |at| page.elements[at].name.clone());
                page.elements.push(Element {
                    name: name.local.to_string(),
                    attributes: attributes.collect(),
                    text: String::new(),
                    parent: within,
                    parent_name,
                });
                within = Some(page.elements.len() - 1);
                if let Some(inner) = template_contents.borrow().as_ref() {
                    waiting.push((inner.clone(), within));
                }
            }
            NodeData::Text { contents } => {
                if let Some(at) = within {
                    let element = &mut page.elements[at];
                    element.text.push_str(&contents.borrow());
                    if !["script", "style"].contains(&element.name.as_str()) {
                        page.text.push_str(&contents.borrow());
                    }
                }
            }
            _ => {}
        }
        // Behind each other in the order of the page.
        waiting.extend(node.children.borrow().iter().rev().map(|child| (child.clone(), within)));
    }
    page
}

/// What acts on a page or asks another host, although no theme of ours does; `links` says which
/// addresses of other hosts a person may have written.
pub(crate) fn faults(page: &Page, links: &dyn Fn(&str) -> bool) -> Vec<String> {
    const NEVER: [&str; 11] = [
        "iframe",
        "object",
        "embed",
        "applet",
        "base",
        "frame",
        "style",
        "portal",
        "foreignobject",
        "animate",
        "set",
    ];
    const ADDRESSES: [&str; 12] = [
        "href",
        "src",
        "srcset",
        "xlink:href",
        "action",
        "formaction",
        "poster",
        "data",
        "background",
        "ping",
        "cite",
        "longdesc",
    ];
    let mut out = Vec::new();
    for element in &page.elements {
        let mut fault = |what: String| out.push(format!("<{}> {what}", element.name));
        if NEVER.contains(&element.name.to_ascii_lowercase().as_str()) {
            fault("stands there".to_owned());
        }
        if element.name == "script" {
            match (element.attribute("src"), element.attribute("type")) {
                (Some(_), None) if element.text.trim().is_empty() => {}
                (None, Some("application/ld+json")) => {
                    if let Err(error) = serde_json::from_str::<serde_json::Value>(&element.text) {
                        fault(format!("is no JSON: {error}"));
                    }
                }
                _ => fault(format!("of its own: {}", element.text)),
            }
        }
        if element.name == "meta"
            && element.attribute("http-equiv").is_some_and(|it| it.eq_ignore_ascii_case("refresh"))
        {
            fault("leads away".to_owned());
        }
        for (name, value) in &element.attributes {
            if name.to_ascii_lowercase().starts_with("on") || name == "style" || name == "srcdoc" {
                fault(format!("has {name}={value:?}"));
            }
            // A drawing of sizes that no watch has is still made of figures.
            let drawn = [
                "d",
                "x",
                "y",
                "x1",
                "x2",
                "y1",
                "y2",
                "cx",
                "cy",
                "r",
                "rx",
                "ry",
                "points",
                "transform",
                "viewBox",
                "viewbox",
            ];
            if drawn.contains(&name.as_str()) && (value.contains("NaN") || value.contains("inf")) {
                fault(format!("is drawn at {name}={value:?}"));
            }
            if !ADDRESSES.contains(&name.as_str()) {
                continue;
            }
            let each: Vec<&str> = if name == "srcset" {
                value.split(',').filter_map(|one| one.split_whitespace().next()).collect()
            } else {
                vec![value.as_str()]
            };
            for address in each {
                let own = is_own(address) || (name == "src" && address.starts_with("data:image/png;base64,"));
                let out = ["a", "link"].contains(&element.name.as_str()) && name == "href" && links(address);
                if !own && !out {
                    fault(format!("asks {name}={address:?}"));
                }
            }
        }
    }
    out
}

/// Whether an address leads to the same site, as a browser takes it.
fn is_own(address: &str) -> bool {
    let bare: String = address.chars().filter(|c| !matches!(c, '\t' | '\n' | '\r')).collect();
    let bare = bare.trim_start_matches(|c: char| c <= ' ');
    let scheme = bare.split(['/', '?', '#', '\\']).next().unwrap_or_default().contains(':');
    !scheme && !bare.starts_with("//") && !bare.starts_with('\\') && !bare.starts_with("/\\")
}
