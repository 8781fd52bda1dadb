//! Themes: templates, styles, scripts and fonts, embedded in the binary and overridden file by file.
//!
//! A theme's files are looked up in this order: those of the journal's `themes/<name>/`, those of
//! the built-in theme of that name, those of linen. A journal's own template can extend a built-in one by
//! its full name: `{% extends "linen/build.html" %}`.
//!
//! A theme is used whole or not at all: on any fault, in a file or at a page, the whole site is made with the
//! built-in theme of that name, or linen. Built-in templates are rendered in this process. A theme with
//! templates of its own is rendered in child processes, under limits.

mod assets;
mod built_in;
mod child;
mod fault;
mod folder;
mod frames;
mod serve;
mod templates;

use std::collections::BTreeMap;
use std::path::Path;

use serde::Serialize;

use crate::problem::Problem;
use crate::text::Place;

use built_in::Files;
use child::Children;
use templates::{Sources, Templates, is_template};

pub use assets::Asset;
pub use built_in::{DEFAULT, NAMES};
pub use child::ARGUMENTS;
pub use fault::ThemeFault;
pub use serve::serve;

/// A theme, ready to render.
pub struct Theme {
    name: String,
    renderer: Renderer,
    /// By the name that the theme's files use, as `style.css` or `scripts/lightbox.js`.
    assets: BTreeMap<String, Asset>,
    /// Of all its files.
    pub(super) digest: String,
    problem: Option<Problem>,
}

/// What renders pages.
enum Renderer {
    /// The built-in templates, in this process.
    Here(Box<Templates>),
    /// Templates of the theme's own, in children.
    Children(Box<Children>),
}

impl Theme {
    /// The built-in theme `name`, or else linen.
    pub fn built_in(name: &str) -> anyhow::Result<Theme> {
        Theme::over(name, Files::new(), None)
    }

    /// The theme `name` with the files in the journal's `themes/<name>/`; `named` is where the journal names it.
    /// On a fault in these files, the built-in theme with a [`Theme::problem`]. `program` renders templates in
    /// them, started with [`ARGUMENTS`], and defaults to this program.
    pub fn read(journal: &Path, name: &str, named: &Place, program: Option<&Path>) -> anyhow::Result<Theme> {
        let own = folder::read(journal, name, named).map_err(anyhow::Error::from);
        match own.and_then(|own| Theme::over(name, own, program)) {
            Ok(theme) => Ok(theme),
            Err(error) => Theme::instead_of(name, &error.downcast()?),
        }
    }

    /// The built-in theme to use in place of this one, which has a fault.
    pub fn instead(&self, fault: ThemeFault) -> anyhow::Result<Theme> {
        let died = match &self.renderer {
            Renderer::Here(_) => None,
            // Whether it came before or after the fault depends on threads: it wins in both cases.
            Renderer::Children(children) => children.died.get().cloned(),
        };
        Theme::instead_of(&self.name, &died.unwrap_or(fault))
    }

    fn instead_of(name: &str, fault: &ThemeFault) -> anyhow::Result<Theme> {
        let problem = fault.problem(built_in::below(name)[0]);
        Ok(Theme { problem: Some(problem), ..Theme::built_in(name)? })
    }

    /// The theme with these files of its own. An error is a [`ThemeFault`], or the machine's.
    fn over(name: &str, own: Files, program: Option<&Path>) -> anyhow::Result<Theme> {
        let unread = own.iter().find(|(path, bytes)| is_text(path) && std::str::from_utf8(bytes).is_err());
        if let Some((path, _)) = unread {
            let shown = format!("themes/{name}/{path}");
            return Err(ThemeFault::of_file(shown, "is not UTF-8 text: save it as UTF-8").into());
        }
        let mut hasher = blake3::Hasher::new();
        let mut hash = |theme: &str, files: &Files| {
            for (path, bytes) in files {
                hasher.update(format!("{theme}/{path} {}\n", bytes.len()).as_bytes()).update(bytes);
            }
        };
        hash("", &own);
        NAMES.iter().for_each(|theme| hash(theme, &built_in::files(theme)));
        // The order of the layers counts, too.
        hasher.update(built_in::below(name).join(" ").as_bytes());
        let digest = hasher.finalize().to_hex().to_string();

        let text = |bytes: &Vec<u8>| String::from_utf8_lossy(bytes).into_owned();
        let templates = own.iter().filter(|(path, _)| is_template(path));
        let templates = templates.map(|(path, bytes)| (path.clone(), text(bytes))).collect();
        let mut layers = vec![own];
        layers.extend(built_in::below(name).into_iter().map(built_in::files));
        let sources = Sources::new(name, templates)?;
        // The unit tests have no program to start.
        let renderer = if sources.own.is_empty() || cfg!(test) {
            Renderer::Here(Box::new(Templates::new(sources)?))
        } else {
            Renderer::Children(Box::new(Children::start(program, name, sources)?))
        };
        let assets = assets::of(&layers.iter().collect::<Vec<_>>())?;
        Ok(Theme { name: name.to_owned(), renderer, assets, digest, problem: None })
    }

    /// Why the journal's theme is not used; `None` if it is.
    pub fn problem(&self) -> Option<&Problem> {
        self.problem.as_ref()
    }

    /// Renders a page. An error is a [`ThemeFault`], or the machine's.
    pub(super) fn render(&self, template: &str, shown: &impl Serialize) -> anyhow::Result<String> {
        match &self.renderer {
            Renderer::Here(templates) => {
                Ok(templates.render(template, &tera::Context::from_serialize(shown)?)?)
            }
            Renderer::Children(children) => children.render(template, shown),
        }
    }

    /// A fault at a page of `template`.
    pub(super) fn fault_at(&self, template: &str, what: &str) -> ThemeFault {
        let sources = match &self.renderer {
            Renderer::Here(templates) => &templates.sources,
            Renderer::Children(children) => &children.sources,
        };
        sources.fault_at(template, what.to_owned())
    }

    /// The published path of one of the theme's files, as `style.css`, `icon.svg` or
    /// `scripts/search.js`; `None` where the theme has no such file.
    #[must_use]
    pub fn asset(&self, name: &str) -> Option<&str> {
        self.assets.get(name).map(|asset| asset.path.as_str())
    }

    /// The published paths of the theme's type faces.
    pub fn faces(&self) -> impl Iterator<Item = &str> {
        self.assets.iter().filter(|(name, _)| name.ends_with(".woff2")).map(|(_, asset)| asset.path.as_str())
    }

    /// All files that the pages refer to.
    pub fn assets(&self) -> impl Iterator<Item = &Asset> {
        self.assets.values()
    }
}

fn is_text(path: &str) -> bool {
    is_template(path) || [".css", ".js"].iter().any(|end| path.ends_with(end))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pages::context::SearchPage;

    #[test]
    fn built_in_themes_load() {
        for name in NAMES {
            let theme = Theme::built_in(name).unwrap();
            assert!(theme.asset("style.css").unwrap().starts_with("assets/style-"), "{name}");
        }
    }

    fn own(files: &[(&str, &str)]) -> Files {
        files.iter().map(|(path, text)| ((*path).to_owned(), text.as_bytes().to_vec())).collect()
    }

    /// What is wrong with a theme of these files over linen.
    fn fault(files: &[(&str, &str)]) -> String {
        Theme::over("mine", own(files), None).err().map(|fault| fault.to_string()).unwrap_or_default()
    }

    #[test]
    fn a_fault_in_a_template_has_its_place() {
        type Case<'a> = (&'a [(&'a str, &'a str)], &'a str);
        let cases: &[Case<'_>] = &[
            (&[("search.html", "a\n {% if x")], "themes/mine/search.html:2:9: unexpected end of input"),
            (
                &[("search.html", "{% extends \"search.html\" %}")],
                "themes/mine/search.html: templates extend each other in a circle: search.html > search.html",
            ),
            (
                &[("bin.html", "{% include \"piece.html\" %}"), ("piece.html", "{{ ")],
                "themes/mine/piece.html:1:3: unexpected end of input",
            ),
            (
                &[("bin.html", "{% for x in y %}{{ x | loud }}{% endfor %}")],
                "themes/mine/bin.html:1:24: unknown filter `loud`",
            ),
            (&[("check.html", "{{ <loud/> }}")], "themes/mine/check.html:1:4: unknown component `loud`"),
            // The built-in pages need its blocks.
            (
                &[("frame.html", "<p>nothing</p>"), ("more.css", "p {}")],
                "themes/mine/frame.html: the built-in templates do not work with it: block `main` is not defined \
                 in any parent template",
            ),
        ];
        for (files, words) in cases {
            assert_eq!(fault(files), *words);
        }
    }

    #[test]
    fn a_fault_at_a_page_has_its_place() {
        type Case<'a> = (&'a [(&'a str, &'a str)], &'a str);
        let cases: &[Case<'_>] = &[
            (
                &[("search.html", "a {{ search.idnex }}")],
                "themes/mine/search.html:1:13: field `idnex` is not defined (did you mean `index`?)",
            ),
            (
                &[
                    ("search.html", "{% extends \"base.html\" %}"),
                    ("base.html", "é{% for a in [1] %}{{ b }}{% endfor %}"),
                ],
                "themes/mine/base.html:1:23: variable `b` is not defined (there are frame, search)",
            ),
            // A built-in component fails on its argument: the place is that of the call.
            (
                &[("search.html", "{{ <verdict v={search} /> }}")],
                "themes/mine/search.html:1:4: field `word` is not defined (there are index, pages)",
            ),
        ];
        let shown = BTreeMap::from([("frame", Default::default()), ("search", SearchPage::default())]);
        for (files, words) in cases {
            let theme = Theme::over("mine", own(files), None).unwrap();
            assert_eq!(theme.render("search.html", &shown).unwrap_err().to_string(), *words);
        }
    }

    #[test]
    fn a_fault_without_a_line_names_the_nearest_own_template() {
        let extends = |name: &str| format!("{{% extends \"{name}\" %}}");
        let frame =
            "{% block main %}{% endblock %}{% block foot %}{% endblock %}{% block sheet %}{% endblock %}";
        let files = [("build.html", &*extends("linen/build.html")), ("frame.html", frame)];
        let theme = Theme::over("mine", own(&files), None).unwrap();
        let place = |template: &str| theme.fault_at(template, "fails").to_string();
        assert_eq!(place("build.html"), "themes/mine/build.html: fails");
        assert_eq!(place("search.html"), "themes/mine/frame.html: fails");
        let theme = Theme::over("mine", own(&[("piece.html", "a")]), None).unwrap();
        assert_eq!(theme.fault_at("search.html", "fails").to_string(), "themes/mine: fails");
    }

    #[test]
    fn themes_that_look_different_have_different_digests() {
        let [linen, anthracite] = NAMES.map(|name| Theme::built_in(name).unwrap().digest);
        let styled = Theme::over("mine", own(&[("more.css", "p {}")]), None).unwrap().digest;
        assert!(linen != anthracite && linen != styled && anthracite != styled);
        assert_eq!(Theme::built_in("mine").unwrap().digest, linen);
    }

    #[test]
    fn an_own_file_extends_the_built_in_one() {
        let search = "{% extends \"linen/search.html\" %}{% block foot %}mine{% endblock %}";
        let files = own(&[("search.html", search), ("more.css", "h1 { color: red; }")]);
        let theme = Theme::over(DEFAULT, files, None).unwrap();
        let style = theme.assets().find(|asset| asset.path.contains("style")).unwrap();
        assert!(std::str::from_utf8(&style.bytes).unwrap().ends_with("h1{color:red}"));
    }

    #[test]
    fn style_script_and_fonts_stay_under_their_budget() {
        for name in NAMES {
            let theme = Theme::built_in(name).unwrap();
            let sum: usize = theme.assets().map(|asset| asset.bytes.len()).sum();
            assert!(sum < 90 * 1024, "{name}: {sum} bytes");
        }
    }
}
