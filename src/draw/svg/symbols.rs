//! The symbols that a page holds once and every drawing refers to: a glyph for each verdict, the
//! hatchings, the ground of the small bars; and the block of a build's state.

use crate::fit::verdict::Verdict;
use crate::journal::BuildState;

/// The glyphs and hatchings, to stand once at the beginning of each page's body.
///
/// A sheet of its own and not hidden by `display: none`, under which patterns are not drawn
/// everywhere; the class `defs` takes it out of the flow.
pub fn symbols() -> String {
    let mut out = String::from("<svg class=\"defs\" width=\"0\" height=\"0\" aria-hidden=\"true\"><defs>");
    for verdict in VERDICTS {
        out.push_str("<symbol id=\"");
        out.push_str(symbol_id(verdict));
        out.push_str("\" viewBox=\"0 0 12 12\">");
        out.push_str(glyph_shape(verdict));
        out.push_str("</symbol>");
    }
    out.push_str(HATCHINGS);
    out.push_str(SMALL_BAR);
    out.push_str("</defs></svg>");
    out
}

/// In the order of the legend.
const VERDICTS: [Verdict; 4] = [Verdict::Clear, Verdict::Tight, Verdict::Fouls, Verdict::Unmeasured];

/// The id of a verdict's glyph among the page's symbols.
pub(crate) fn symbol_id(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Clear => "g-clear",
        Verdict::Tight => "g-tight",
        Verdict::Fouls => "g-fouls",
        Verdict::Unmeasured => "g-unmeasured",
    }
}

/// What every small bar shows alike: the band from a lower bracket on, between two, up to an upper
/// one, of one value; and the diamond.
const SMALL_BAR: &str = "<g id=\"ma\"><path class=\"mw\" d=\"M39.6 4H132v12H39.6z\"/><path class=\"me\" d=\"M42.6 3h-3v14h3\"/></g>\
<g id=\"mb\"><path class=\"mw\" d=\"M39.6 4H103v12H39.6z\"/><path class=\"me\" d=\"M42.6 3h-3v14h3M100 3h3v14h-3\"/></g>\
<g id=\"mc\"><path class=\"mw\" d=\"M0 4h103v12H0z\"/><path class=\"me\" d=\"M100 3h3v14h-3\"/></g>\
<path id=\"mx\" class=\"me\" d=\"M39.6 1v18\"/>\
<path id=\"md\" class=\"mk\" d=\"M0 5.2l4.8 4.8-4.8 4.8-4.8-4.8z\"/>";

/// A verdict's glyph beside its word in running text.
pub fn verdict_symbol(verdict: Verdict) -> String {
    format!("<svg class=\"g\" aria-hidden=\"true\"><use href=\"#{}\"/></svg>", symbol_id(verdict))
}

/// The block of a build's state, to stand before its word.
pub fn state_symbol(state: BuildState) -> String {
    let inner = match state {
        BuildState::Planned => "<path d=\"M5 1.5h24v7H5z\"/>",
        BuildState::OnTheBench => "<path d=\"M5 1.5h24v7H5z\"/><path class=\"fl\" d=\"M5 1.5h12v7H5z\"/>",
        BuildState::Finished => "<path class=\"fl\" d=\"M5 1.5h24v7H5z\"/>",
        BuildState::TakenApart => "<path d=\"M5 1.5h9v7H5zM20 1.5h9v7h-9z\"/>",
    };
    format!("<svg class=\"stg\" viewBox=\"0 0 34 10\" aria-hidden=\"true\">{inner}</svg>")
}

fn glyph_shape(verdict: Verdict) -> &'static str {
    match verdict {
        // A pin with room in its hole.
        Verdict::Clear => {
            "<circle cx=\"6\" cy=\"6\" r=\"4.9\" fill=\"none\" stroke=\"currentColor\" stroke-width=\"1.3\"/>\
             <circle cx=\"6\" cy=\"6\" r=\"1.7\" fill=\"currentColor\"/>"
        }
        // A pin that all but fills it.
        Verdict::Tight => {
            "<circle cx=\"6\" cy=\"6\" r=\"5.2\" fill=\"none\" stroke=\"currentColor\" stroke-width=\"1.1\"/>\
             <circle cx=\"6\" cy=\"6.75\" r=\"3.75\" fill=\"currentColor\"/>"
        }
        // A square peg, struck out.
        Verdict::Fouls => {
            "<path d=\"M.6.6h10.8v10.8H.6z\" fill=\"currentColor\"/>\
             <path class=\"gx\" d=\"m3 3 6 6m0-6-6 6\"/>"
        }
        // A hole, and no pin known.
        Verdict::Unmeasured => {
            "<circle cx=\"6\" cy=\"6\" r=\"4.9\" fill=\"none\" stroke=\"currentColor\" stroke-width=\"1.4\" \
             stroke-dasharray=\"2.9 2.23\" stroke-dashoffset=\"1.45\"/>"
        }
    }
}

/// At 45 degrees, neighbours leaning apart; crossed for plastic; a finer one for the hands and for
/// what fouls.
const HATCHINGS: &str = "\
<pattern id=\"h1\" width=\"5\" height=\"5\" patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(45)\"><path class=\"hp\" d=\"M0 0h5v5h-5z\"/>\
<path d=\"M0 0V5\" class=\"hl\"/></pattern>\
<pattern id=\"h2\" width=\"6.5\" height=\"6.5\" patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(-45)\"><path class=\"hp\" d=\"M0 0h6.5v6.5h-6.5z\"/>\
<path d=\"M0 0V6.5\" class=\"hl\"/></pattern>\
<pattern id=\"h3\" width=\"4\" height=\"4\" patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(45)\"><path class=\"hp\" d=\"M0 0h4v4h-4z\"/>\
<path d=\"M0 0V4M0 0H4\" class=\"hl\"/></pattern>\
<pattern id=\"h4\" width=\"4\" height=\"4\" patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(-45)\"><path class=\"hp\" d=\"M0 0h4v4h-4z\"/>\
<path d=\"M0 0V4\" class=\"hl\"/></pattern>";

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::testing::well_formed;

    #[test]
    fn every_symbol_stands_once() {
        let symbols = symbols();
        well_formed(&symbols);
        for verdict in VERDICTS {
            assert_eq!(symbols.matches(&format!("id=\"{}\"", symbol_id(verdict))).count(), 1);
            assert!(verdict_symbol(verdict).contains(&format!("#{}\"", symbol_id(verdict))));
        }
    }

    #[test]
    fn states_differ_by_shape() {
        let all = [BuildState::Planned, BuildState::OnTheBench, BuildState::Finished, BuildState::TakenApart]
            .map(state_symbol);
        for (i, a) in all.iter().enumerate() {
            well_formed(a);
            assert!(all.iter().skip(i + 1).all(|b| a != b));
        }
    }
}
