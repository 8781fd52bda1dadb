//! What the drawings' own tests ask of every drawing.

use crate::draw::lettering::Style;

/// Parses the drawing and looks for what must never be in one.
pub(crate) fn well_formed(svg: &str) {
    let document = match roxmltree::Document::parse(svg) {
        Ok(document) => document,
        Err(fault) => panic!("{fault} in {svg}"),
    };
    let mut ids = Vec::new();
    for node in document.descendants().filter(roxmltree::Node::is_element) {
        for attribute in node.attributes() {
            assert_ne!(attribute.name(), "style", "the policy of the pages forbids it");
            assert!(!attribute.name().starts_with("on"));
            if attribute.name() == "id" {
                ids.push(attribute.value());
            }
            if ["d", "x", "y", "cx", "cy", "r", "width", "height", "viewBox"].contains(&attribute.name()) {
                let value = attribute.value();
                assert!(!value.contains("NaN") && !value.contains("inf"), "{value}");
            }
        }
    }
    let count = ids.len();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), count, "ids are unique");
}

/// Where a text stands: left, top, right, bottom.
#[derive(Clone, Debug)]
pub(crate) struct TextBox {
    pub(crate) text: String,
    pub(crate) corners: (f64, f64, f64, f64),
}

/// The boxes of all texts of a drawing, computed from the document itself.
pub(crate) fn text_boxes(svg: &str) -> Vec<TextBox> {
    let document = roxmltree::Document::parse(svg).unwrap();
    let mut boxes = Vec::new();
    for node in document.descendants().filter(|n| n.has_tag_name("text")) {
        let number = |name: &str| node.attribute(name).unwrap_or("0").parse::<f64>().unwrap();
        let classes: Vec<&str> = node.attribute("class").unwrap_or("").split(' ').collect();
        let style = if classes.contains(&"big") {
            Style::Overall
        } else if classes.contains(&"b") {
            Style::Figure
        } else if classes.contains(&"q") {
            Style::Name
        } else {
            Style::Plain
        };
        let text = node.text().unwrap_or("").to_owned();
        let (x, y, width) = (number("x"), number("y"), style.width(&text));
        let left = match node.attribute("text-anchor") {
            Some("middle") => -width / 2.0,
            Some("end") => -width,
            _ => 0.0,
        };
        let (up, down) = (style.size() * 0.74, style.size() * 0.2);
        let corners = if node.attribute("transform").is_some_and(|t| t.starts_with("rotate(-90")) {
            (x - up, y + left, x + down, y + left + width)
        } else {
            (x + left, y - up, x + left + width, y + down)
        };
        boxes.push(TextBox { text, corners });
    }
    boxes
}

/// No text over another, and none outside the drawing.
pub(crate) fn texts_apart(svg: &str) {
    let boxes = text_boxes(svg);
    let document = roxmltree::Document::parse(svg).unwrap();
    let size: Vec<f64> = document
        .root_element()
        .attribute("viewBox")
        .unwrap()
        .split(' ')
        .map(|v| v.parse().unwrap())
        .collect();
    for (i, a) in boxes.iter().enumerate() {
        let (l, t, r, b) = a.corners;
        assert!(
            l >= -1.0 && t >= -1.0 && r <= size[2] + 1.0 && b <= size[3] + 1.0,
            "{a:?} outside {size:?} in {svg}"
        );
        for other in &boxes[i + 1..] {
            let (l2, t2, r2, b2) = other.corners;
            let (wide, high) = (r.min(r2) - l.max(l2), b.min(b2) - t.max(t2));
            assert!(wide <= 0.5 || high <= 0.5, "{a:?} over {other:?} in {svg}");
        }
    }
}
