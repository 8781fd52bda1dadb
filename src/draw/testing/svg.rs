//! What must hold of every drawing: well formed, its texts apart and inside.

use crate::draw::svg::Style;

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

/// A text and where it stands: left, top, right, bottom.
type TextBox = (String, (f64, f64, f64, f64));

/// The boxes of all texts of a drawing, computed from the document itself.
fn text_boxes(svg: &str) -> Vec<TextBox> {
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
        boxes.push((text, corners));
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
        let (l, t, r, b) = a.1;
        assert!(
            l >= -1.0 && t >= -1.0 && r <= size[2] + 1.0 && b <= size[3] + 1.0,
            "{a:?} outside {size:?} in {svg}"
        );
        for other in &boxes[i + 1..] {
            let (l2, t2, r2, b2) = other.1;
            let (wide, high) = (r.min(r2) - l.max(l2), b.min(b2) - t.max(t2));
            assert!(wide <= 0.5 || high <= 0.5, "{a:?} over {other:?} in {svg}");
        }
    }
}

/// The corners of every path of exactly this class, one list a path.
pub(crate) fn paths(svg: &str, class: &str) -> Vec<Vec<(f64, f64)>> {
    let document = roxmltree::Document::parse(svg).unwrap();
    document
        .descendants()
        .filter(|node| node.has_tag_name("path") && node.attribute("class") == Some(class))
        .map(|node| corners(node.attribute("d").unwrap()))
        .collect()
}

/// The absolute corners of a path of M, h, v, l and z.
fn corners(data: &str) -> Vec<(f64, f64)> {
    let mut out = Vec::new();
    let (mut at, mut start) = ((0.0, 0.0), (0.0, 0.0));
    let commands: Vec<usize> =
        data.char_indices().filter(|(_, c)| c.is_ascii_alphabetic()).map(|(i, _)| i).collect();
    for (n, begin) in commands.iter().enumerate() {
        let end = commands.get(n + 1).copied().unwrap_or(data.len());
        let text = data[begin + 1..end].replace('-', " -");
        let numbers: Vec<f64> = text.split_whitespace().map(|v| v.parse().unwrap()).collect();
        match &data[*begin..=*begin] {
            "M" => {
                at = (numbers[0], numbers[1]);
                start = at;
            }
            "l" => at = (at.0 + numbers[0], at.1 + numbers[1]),
            "h" => at.0 += numbers[0],
            "v" => at.1 += numbers[0],
            "z" => at = start,
            other => panic!("{other} in {data}"),
        }
        out.push(at);
    }
    out
}
