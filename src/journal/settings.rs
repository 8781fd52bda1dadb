//! journal.yaml: what the whole journal goes by.

use serde::Serialize;

use crate::measure::{Dimension, Origin, Quantity, Tolerances};
use crate::text::{FileId, Located};

use super::fields::{Field, FieldShape};
use super::reader::Reader;
use super::yaml::{self, Node, Value};

/// The newest form of journal that this program reads.
pub const FORMAT: f64 = 1.0;

/// What journal.yaml says, with everything that it may leave out filled in.
#[derive(Clone, Debug, Serialize)]
pub struct Settings {
    /// The journal's title.
    pub title: String,
    /// Whose it is.
    pub author: Option<String>,
    /// A sentence or two about it.
    pub about: Option<String>,
    /// Where the site will stand, without a slash at its end; only for feed, sitemap and sharing.
    pub address: Option<String>,
    /// The currency of prices.
    pub currency: Option<String>,
    /// The theme's name.
    pub theme: Located<String>,
    /// The language of the pages' text.
    pub language: String,
    /// The wearer's wrist, its circumference in mm.
    pub wrist: Option<Located<Dimension>>,
    /// The tolerances of sizes written without one.
    pub tolerances: Tolerances,
    /// Bands by check, read by the checks' own table.
    pub bands: Option<Node>,
    /// What the pages show.
    pub show: Show,
    /// Whether raw HTML in Markdown is passed on.
    pub raw_html: bool,
}

/// What the pages show beyond builds and parts.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize)]
pub struct Show {
    /// Prices and sums spent.
    pub prices: bool,
    /// Serial numbers.
    pub serials: bool,
    /// The bin.
    pub bin: bool,
    /// The audit.
    pub audit: bool,
}

/// The fields of journal.yaml.
pub const SETTINGS: &[Field] = &[
    Field { name: "title", shape: FieldShape::Text, doc: "the journal's title" },
    Field { name: "format", shape: FieldShape::Size(Quantity::Number), doc: "1" },
    Field { name: "author", shape: FieldShape::Text, doc: "whose it is" },
    Field { name: "about", shape: FieldShape::Text, doc: "a sentence or two about it" },
    Field {
        name: "address",
        shape: FieldShape::Text,
        doc: "where the site will stand, for feed, sitemap and sharing",
    },
    Field { name: "currency", shape: FieldShape::Text, doc: "of prices" },
    Field { name: "theme", shape: FieldShape::Text, doc: "linen, anthracite, or a folder in themes/" },
    Field { name: "language", shape: FieldShape::Text, doc: "of the texts, such as en" },
    Field { name: "wrist", shape: FieldShape::Size(Quantity::Length), doc: "its circumference" },
    Field {
        name: "tolerances",
        shape: FieldShape::Raw("tolerances by origin"),
        doc: "of sizes written without one",
    },
    Field { name: "bands", shape: FieldShape::Raw("bands by check"), doc: "where you judge otherwise" },
    Field { name: "show", shape: FieldShape::Group(SHOW), doc: "what the pages show" },
    Field { name: "raw_html", shape: FieldShape::Flag, doc: "whether HTML in Markdown is passed on; no" },
];

const SHOW: &[Field] = &[
    Field { name: "prices", shape: FieldShape::Flag, doc: "prices and sums; no" },
    Field { name: "serials", shape: FieldShape::Flag, doc: "serial numbers; no" },
    Field { name: "bin", shape: FieldShape::Flag, doc: "the parts bin; yes" },
    Field { name: "audit", shape: FieldShape::Flag, doc: "the audit; no" },
];

impl Default for Settings {
    fn default() -> Self {
        let nowhere = FileId::default().start();
        Self {
            title: "A build journal".into(),
            author: None,
            about: None,
            address: None,
            currency: None,
            theme: Located::new("linen".into(), nowhere),
            language: "en".into(),
            wrist: None,
            tolerances: Tolerances::default(),
            bands: None,
            show: Show { prices: false, serials: false, bin: true, audit: false },
            raw_html: false,
        }
    }
}

/// Reads journal.yaml; what cannot be read keeps its default.
pub fn read(reader: &mut Reader<'_>, file: FileId) -> Settings {
    let mut settings = Settings::default();
    settings.theme.span = file.start();
    let text = reader.files.text(file).to_owned();
    let node = match yaml::parse(reader.files, file, 0, &text) {
        Ok(node) => node,
        Err(problem) => {
            reader.problems.push(problem);
            return settings;
        }
    };
    let spec = reader.spec(&node, "journal.yaml", &[SETTINGS], Origin::Measured);
    let owned = |path: &str| spec.text(path).map(str::to_owned);
    match owned("title") {
        Some(title) => settings.title = title,
        None => reader
            .error(file.start(), "journal.yaml has no title: add `title: ` and what your journal is called"),
    }
    if let Some(format) = spec.size("format").filter(|format| format.value.value > FORMAT) {
        let message = format!(
            "this journal has format {}, and this program reads up to {FORMAT}: use a newer Endshake",
            format.value.value
        );
        reader.error(format.span, message);
    }
    settings.author = owned("author");
    settings.about = owned("about");
    settings.currency = owned("currency");
    settings.wrist = spec.size("wrist");
    settings.bands = spec.raw("bands").cloned();
    settings.language = owned("language").unwrap_or(settings.language);
    if let Some(theme) = owned("theme") {
        settings.theme.value = theme;
        settings.theme.span = spec.span("theme").unwrap_or(settings.theme.span);
    }
    if let (Some(address), Some(span)) = (owned("address"), spec.span("address")) {
        if address.starts_with("https://") || address.starts_with("http://") {
            settings.address = Some(address.trim_end_matches('/').to_owned());
        } else {
            reader.error(
                span,
                format!("`address` is a web address that begins with https://, not `{address}`"),
            );
        }
    }
    let show = &mut settings.show;
    for (path, shown) in [
        ("show.prices", &mut show.prices),
        ("show.serials", &mut show.serials),
        ("show.bin", &mut show.bin),
        ("show.audit", &mut show.audit),
    ] {
        *shown = spec.flag(path).unwrap_or(*shown);
    }
    settings.raw_html = spec.flag("raw_html").unwrap_or(false);
    if let Some(node) = spec.raw("tolerances") {
        read_tolerances(reader, node, &mut settings.tolerances);
    }
    settings
}

/// `measured: 0.03`, or `measured: { lengths: [0.02, 0.02, 0.02, 0.03], angles: 0.25 }`.
fn read_tolerances(reader: &mut Reader<'_>, node: &Node, tolerances: &mut Tolerances) {
    let Some(entries) = reader.map(node, "`tolerances`") else { return };
    for (key, node) in entries.into_iter().map(|entry| (&entry.0, &entry.1)) {
        let Some(origin) = Origin::of(&key.text) else {
            let near = crate::problem::did_you_mean(&key.text, Origin::ALL.map(Origin::word));
            reader.error(key.span, format!("`{}` is not a way to know a size{near}", key.text));
            continue;
        };
        let parts: Vec<(&str, &Node)> = match &node.value {
            Value::Map(entries) => entries.iter().map(|(key, node)| (key.text.as_str(), node)).collect(),
            _ => vec![("lengths", node)],
        };
        for (part, node) in parts {
            let figures: Vec<&Node> = match &node.value {
                Value::List(list) => list.iter().collect(),
                _ => vec![node],
            };
            let mut read = |node: &Node| {
                reader
                    .size(&format!("tolerances.{}", key.text), Quantity::Number, node, origin)
                    .map(|size| size.value)
            };
            let figures: Vec<f64> = figures.into_iter().filter_map(&mut read).collect();
            let row = tolerances.row_mut(origin);
            match (part, &figures[..]) {
                ("lengths", [one]) => row.lengths = [*one; 4],
                ("lengths", [a, b, c, d]) => row.lengths = [*a, *b, *c, *d],
                ("angles", [one]) => row.angles = *one,
                _ => {
                    reader.error(
                        node.span,
                        format!("the tolerances of `{}` are `lengths:` (one figure, or four by size) and `angles:`", key.text),
                    );
                    continue;
                }
            }
            tolerances.row_mut(origin).source = "journal.yaml".into();
        }
    }
}
