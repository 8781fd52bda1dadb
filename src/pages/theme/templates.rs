//! The templates of a theme, its own over the built-in ones, and the places of their faults.

use std::collections::BTreeMap;

use tera::Tera;

use crate::text::Place;

use super::built_in;
use super::fault::{self, ThemeFault};

/// A larger page comes from a runaway loop: a gallery of ten thousand builds has 40 MB.
const LARGEST: usize = 128 << 20;

/// The texts of a theme's templates.
pub(super) struct Sources {
    /// The theme's folder in the journal, as `themes/mine`.
    folder: String,
    /// The theme's own, by their paths in its folder.
    pub(super) own: BTreeMap<String, String>,
    /// By their full names, as `linen/build.html`.
    built_in: BTreeMap<String, String>,
    /// What makes a full name of a short one, in the order to try.
    prefixes: Vec<String>,
}

/// Templates ready to render.
pub(super) struct Templates {
    pub(super) sources: Sources,
    tera: Tera,
}

impl Sources {
    /// Those of the theme `name` with templates of its own.
    pub(super) fn new(name: &str, own: BTreeMap<String, String>) -> anyhow::Result<Sources> {
        let mut texts = BTreeMap::new();
        // Any theme can extend the templates of all built-in ones by their full names.
        for theme in built_in::NAMES {
            for (path, bytes) in built_in::files(theme).into_iter().filter(|(path, _)| is_template(path)) {
                texts.insert(format!("{theme}/{path}"), String::from_utf8(bytes)?);
            }
        }
        let prefixes = built_in::below(name).into_iter().map(|theme| format!("{theme}/")).collect();
        Ok(Sources { folder: format!("themes/{name}"), own, built_in: texts, prefixes })
    }

    /// A fault without a known line, at a page of `template`. Its place is the first of the theme's own
    /// templates along what that one extends, or else the theme.
    pub(super) fn fault_at(&self, template: &str, what: String) -> ThemeFault {
        let mut name = template;
        // A longer chain is a circle.
        for _ in 0..=self.own.len() + self.built_in.len() {
            if self.own.contains_key(name) {
                return self.fault_in(name, None, what);
            }
            let prefixed = || self.prefixes.iter().find_map(|it| self.built_in.get(&format!("{it}{name}")));
            let text = self.built_in.get(name).or_else(prefixed);
            match text.and_then(|text| parent(text)) {
                Some(parent) => name = parent,
                None => break,
            }
        }
        ThemeFault { place: Place::file(&self.folder), what }
    }

    fn fault_in(&self, own: &str, place: Option<(u32, u32)>, what: String) -> ThemeFault {
        let (line, column) = place.unwrap_or_default();
        ThemeFault { place: Place { file: format!("{}/{own}", self.folder).into(), line, column }, what }
    }

    /// The fault in an error of tera's, with a place in one of the theme's own templates.
    fn fault_of(&self, error: &tera::Error, template: Option<&str>) -> ThemeFault {
        let mut reports = fault::reports(error);
        let own = reports.iter().find_map(|report| {
            let at = report.at.iter().find(|(name, _)| self.own.contains_key(name))?;
            Some((report, at))
        });
        if let Some((report, (name, place))) = own {
            return self.fault_in(name, *place, report.what.clone());
        }
        let report = reports.swap_remove(0);
        match (report.at.first(), template) {
            (_, Some(template)) => self.fault_at(template, report.what),
            // A built-in template misses something that one of the theme's own replaced.
            (Some((name, _)), None) => {
                self.fault_at(name, format!("the built-in templates do not work with it: {}", report.what))
            }
            (None, None) => ThemeFault { place: Place::file(&self.folder), what: report.what },
        }
    }
}

impl Templates {
    /// Parses them.
    pub(super) fn new(sources: Sources) -> Result<Templates, ThemeFault> {
        let mut tera = Tera::new();
        tera.autoescape_on(vec![".html", ".xml", ".svg"]);
        let all = sources.own.iter().chain(&sources.built_in);
        let added = tera.set_fallback_prefixes(sources.prefixes.iter().cloned());
        match added.and_then(|()| tera.add_raw_templates(all)) {
            Ok(()) => Ok(Templates { sources, tera }),
            Err(error) => Err(sources.fault_of(&error, None)),
        }
    }

    /// Renders a page.
    pub(super) fn render(&self, template: &str, shown: &tera::Context) -> Result<String, ThemeFault> {
        let mut page = Page(Vec::new());
        let rendered = self.tera.render_to(template, shown, &mut page);
        if page.0.len() > LARGEST {
            let what = format!("writes a page of more than {} MB: look for nested loops", LARGEST >> 20);
            return Err(self.sources.fault_at(template, what));
        }
        rendered.map_err(|error| self.sources.fault_of(&error, Some(template)))?;
        String::from_utf8(page.0)
            .map_err(|_| self.sources.fault_at(template, "writes what is not UTF-8 text".to_owned()))
    }
}

/// Collects a page up to a size.
struct Page(Vec<u8>);

impl std::io::Write for Page {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.0.extend_from_slice(bytes);
        if self.0.len() > LARGEST {
            return Err(std::io::ErrorKind::FileTooLarge.into());
        }
        Ok(bytes.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

/// Whether a file of a theme is a template.
pub(super) fn is_template(path: &str) -> bool {
    [".html", ".xml"].iter().any(|end| path.ends_with(end))
}

/// The template that one extends.
fn parent(template: &str) -> Option<&str> {
    let tags = template.split("{%").skip(1).map(|tag| tag.trim_start_matches('-').trim_start());
    let name = tags.into_iter().find_map(|tag| tag.strip_prefix("extends"))?.trim_start();
    let quote = name.chars().next()?;
    name[quote.len_utf8()..].split(quote).next()
}
