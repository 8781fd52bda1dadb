//! Findings as pages show them: what wants a second look first, each with its numbers and its place.

use std::collections::BTreeMap;

use crate::draw::{self, Range, ToleranceBar};
use crate::fit::finding::Finding;
use crate::fit::inspect::{Report, range_words};
use crate::fit::places::Places;
use crate::fit::sentence::Names;
use crate::fit::verdict::{Band, Verdict};
use crate::journal::{Build, Slot};
use crate::ledger::Ledger;
use crate::measure::figure;

use super::addresses::way;
use super::context::{self, Advice, AsCame, Count, DimensionUsed, FindingGroup, FindingView, Link, Missing};
use super::markup::slug;
use super::source::Source;
use super::words;

/// The length in px of the bar for a share of the whole.
const SHARE: f64 = 46.0;

/// The longest formula, in characters, that is shown in the names of its dimensions.
const FORMULA: usize = 150;

/// How many findings of a verdict are named in the counts.
const NAMED: usize = 3;

/// A build's findings in the order of the checks, for the page at `page`; figures, which have no
/// verdict, are left out.
pub(super) fn views(
    source: &Source<'_>,
    build: &Build,
    report: Option<&Report>,
    page: &str,
) -> Vec<FindingView> {
    let findings = report.into_iter().flat_map(|report| &report.findings);
    let written = Places::of(source.journal, source.ledger, build);
    findings.filter_map(|finding| view(source, build, &written, finding, page)).collect()
}

/// The anchor of a finding on its build's page.
pub(super) fn anchor(finding: &Finding) -> String {
    format!("f-{}", slug(&finding.key()))
}

/// The verdict for a template.
pub(super) fn verdict(verdict: Verdict, accepted: bool) -> context::Verdict {
    context::Verdict { word: verdict.word().to_owned(), attention: verdict != Verdict::Clear && !accepted }
}

fn view(
    source: &Source<'_>,
    build: &Build,
    written: &Places<'_>,
    finding: &Finding,
    page: &str,
) -> Option<FindingView> {
    let judged = finding.verdict?;
    let decimals = decimals(finding);
    let drawn = bar(finding, judged);
    let (mini_svg, bar_svg) =
        drawn.map_or_else(Default::default, |drawn| (draw::row_bar(&drawn), draw::tolerance_bar(&drawn)));
    let range = |low: f64, high: f64| format!("{} to {}", rounded(low, decimals), rounded(high, decimals));
    // Nominal sizes have no tolerance, and then there is no spread to tell of.
    let spread = finding.worst().filter(|worst| worst.high - worst.low > 1e-6);
    let advised = finding.advised.as_ref();
    Some(FindingView {
        id: anchor(finding),
        check: finding.check.id.to_owned(),
        check_href: source
            .addresses
            .checks
            .get(finding.check.id)
            .map(|path| way(page, path))
            .unwrap_or_default(),
        about: finding.about.clone(),
        title: words::capital(&finding.title),
        verdict: verdict(judged, finding.accepted.is_some()),
        accepted: finding.accepted.clone().unwrap_or_default(),
        figure: finding.result.as_ref().map(|result| rounded(result.nominal, decimals)).unwrap_or_default(),
        unit: if finding.result.is_some() { finding.unit.to_owned() } else { String::new() },
        instead: match judged {
            Verdict::Unmeasured => "not known",
            Verdict::Fouls => "does not hold",
            _ => "holds",
        }
        .to_owned(),
        mini_svg,
        bar_svg,
        formula: formula(finding),
        numbers: finding.numbers(),
        worst: spread.map(|worst| range(worst.low, worst.high)).unwrap_or_default(),
        likely: spread.and(finding.likely()).map(|likely| range(likely.low, likely.high)).unwrap_or_default(),
        band: advised.filter(|a| !open(a.band)).map(|a| band(a.band)).unwrap_or_default(),
        contact: advised.filter(|a| !open(a.contact)).map(|a| outside(a.contact)).unwrap_or_default(),
        reasons: [finding.text.named(source)]
            .iter()
            .filter(|text| !text.is_empty())
            .map(|text| sentence(text))
            .collect(),
        dimensions: finding
            .dimensions()
            .into_iter()
            .map(|(used, share)| {
                let size = words::size(&used.size);
                DimensionUsed {
                    name: used.name.to_string(),
                    value: size.value,
                    tolerance: size.tolerance,
                    origin: used.size.origin.word().to_owned(),
                    share: whole(share * 100.0),
                    share_px: if share < 0.1 { 0 } else { whole(share * SHARE) },
                }
            })
            .collect(),
        missing: finding
            .missing
            .iter()
            .map(|missing| Missing {
                name: missing.name.clone(),
                what: what(&missing.name),
                range: missing.range.map(|(low, high)| range_words(low, high)).unwrap_or_default(),
            })
            .collect(),
        advice: finding.advice.iter().map(|told| advice(source, build, told)).collect(),
        as_came: finding.as_came.map(|came| AsCame { verdict: verdict(came, true), figure: String::new() }),
        places: places(source, build, written, finding, page),
    })
}

/// The formula of a finding as it was worked out for this watch, in the names of its dimensions; where
/// it has many branches or is a rule, the check's own in words.
fn formula(finding: &Finding) -> String {
    let own = finding.formula.as_ref().map(crate::fit::expr::Expr::symbols);
    own.filter(|own| own.chars().count() <= FORMULA).unwrap_or_else(|| finding.check.formula.replace('`', ""))
}

/// Advice in sentences, the part called by its slot in this build.
fn advice(source: &Source<'_>, build: &Build, told: &crate::fit::finding::Advice) -> Advice {
    let text = told.text.named(&BySlot { source, build });
    let (lead, rest) = text.split_once("; ").unwrap_or((&text, ""));
    let said = |text: &str| if text.is_empty() { String::new() } else { sentence(text) };
    Advice { lead: said(lead), text: said(rest), caution: said(&told.caution) }
}

/// Names the parts of a build by their slots in it.
struct BySlot<'a, 's> {
    source: &'a Source<'s>,
    build: &'a Build,
}

impl Names for BySlot<'_, '_> {
    fn part(&self, id: &str) -> String {
        let here =
            Slot::ALL.into_iter().find(|slot| Ledger::occupant(self.build, *slot).as_deref() == Some(id));
        // A part that is to be added is called by its slot already.
        let slot = here.or_else(|| Slot::of(id));
        slot.map_or_else(|| Names::part(self.source, id), |slot| format!("the {}", slot.words()))
    }

    fn build(&self, slug: &str) -> String {
        Names::build(self.source, slug)
    }
}

/// The bar of a measure; `None` where there is no band to stand against.
fn bar(finding: &Finding, judged: Verdict) -> Option<ToleranceBar> {
    let advised = finding.advised.as_ref().filter(|advised| !open(advised.band))?;
    let range = |band: Band| Range { low: band.low, high: band.high };
    let result = finding.result.as_ref();
    let aim = finding.missing.first().and_then(|missing| {
        let (low, high) = missing.range?;
        Some(format!("{} {}", missing.name, range_words(low, high)))
    });
    Some(ToleranceBar {
        title: finding.title.clone(),
        unit: finding.unit.to_owned(),
        decimals: decimals(finding),
        verdict: judged,
        nominal: result.map(|result| result.nominal),
        worst: finding.worst().map(|worst| (worst.low, worst.high)),
        likely: finding.likely().map(|likely| (likely.low, likely.high)),
        band: range(advised.band),
        contact: range(advised.contact),
        aim,
    })
}

/// The small bar of a finding; empty where there is nothing to draw.
pub(super) fn mini(finding: &Finding) -> String {
    let drawn = finding.verdict.and_then(|judged| bar(finding, judged));
    drawn.map(|drawn| draw::row_bar(&drawn)).unwrap_or_default()
}

/// Entries and files in which the figures were written: links for entries, words for the rest.
fn places(
    source: &Source<'_>,
    build: &Build,
    written: &Places<'_>,
    finding: &Finding,
    page: &str,
) -> Vec<Link> {
    let mut out: Vec<Link> = Vec::new();
    let folder = format!("builds/{}/", build.slug);
    for (used, _) in finding.dimensions() {
        let place = written.of_dimension(&used.name);
        let link = match place.file.strip_prefix(&folder).and_then(|name| name.strip_suffix(".md")) {
            Some("build") => None,
            Some(name) => source.entry_link(page, &build.slug, name),
            None => None,
        };
        if let Some(link) = link.filter(|link| !out.contains(link)) {
            out.push(link);
        }
    }
    out
}

/// Findings under their headings.
pub(super) fn groups(findings: Vec<FindingView>) -> Vec<FindingGroup> {
    let mut look: Vec<FindingView> = Vec::new();
    let mut accepted: Vec<FindingView> = Vec::new();
    let mut clear: Vec<(String, Vec<FindingView>)> = Vec::new();
    for finding in findings {
        if finding.verdict.attention {
            look.push(finding);
        } else if !finding.accepted.is_empty() {
            accepted.push(finding);
        } else {
            let title = crate::fit::checks::of(&finding.check).map_or("", |check| check.group.title());
            match clear.iter_mut().find(|(known, _)| known == title) {
                Some((_, group)) => group.push(finding),
                None => clear.push((title.to_owned(), vec![finding])),
            }
        }
    }
    look.sort_by_key(|finding| trouble(&finding.verdict.word));
    let mut out = Vec::new();
    let mut push = |title: &str, attention: bool, findings: Vec<FindingView>| {
        if !findings.is_empty() {
            out.push(FindingGroup { title: title.to_owned(), attention, findings });
        }
    };
    push("Needs attention", true, look);
    push("Known and accepted", false, accepted);
    for (title, findings) in clear {
        push(&title, false, findings);
    }
    out
}

fn trouble(word: &str) -> usize {
    ["fouls", "tight", "unmeasured", "clear"].iter().position(|known| *known == word).unwrap_or(4)
}

/// How many findings of each verdict there are, trouble named.
pub(super) fn counts(findings: &[FindingView]) -> Vec<Count> {
    let mut out: Vec<Count> = Vec::new();
    let mut sorted: Vec<&FindingView> = findings.iter().collect();
    sorted.sort_by_key(|finding| {
        let clear = finding.verdict.word == "clear";
        (!clear, !finding.accepted.is_empty(), trouble(&finding.verdict.word))
    });
    for finding in sorted {
        let accepted = !finding.accepted.is_empty();
        let same = |count: &Count| count.verdict == finding.verdict && count.accepted == accepted;
        let at = out.iter().position(same).unwrap_or_else(|| {
            out.push(Count { verdict: finding.verdict.clone(), accepted, ..Count::default() });
            out.len() - 1
        });
        let Some(count) = out.get_mut(at) else { continue };
        count.count += 1;
        if finding.verdict.word == "clear" {
            continue;
        }
        if count.about.len() < NAMED {
            let figure =
                if finding.figure.is_empty() { String::new() } else { format!(", {}", finding.figure) };
            let text = format!("{}{figure}", lower(&finding.title));
            count.about.push(Link { text, href: format!("#{}", finding.id) });
        } else {
            count.more += 1;
        }
    }
    out
}

fn lower(title: &str) -> String {
    let mut chars = title.chars();
    chars.next().map_or_else(String::new, |first| first.to_lowercase().chain(chars).collect())
}

/// How many findings of each verdict, in the order of [`counts`], without what they are about.
pub(super) fn tally(report: Option<&Report>) -> Vec<Count> {
    let findings = report.into_iter().flat_map(|report| &report.findings);
    let mut sorted: Vec<(Verdict, bool)> = findings
        .filter_map(|finding| {
            Some((finding.verdict?, finding.accepted.as_ref().is_some_and(|why| !why.is_empty())))
        })
        .collect();
    sorted.sort_by_key(|(judged, accepted)| (*judged != Verdict::Clear, *accepted, trouble(judged.word())));
    let mut out: Vec<Count> = Vec::new();
    for (judged, accepted) in sorted {
        let verdict = verdict(judged, accepted);
        match out.iter_mut().find(|count| count.verdict == verdict && count.accepted == accepted) {
            Some(count) => count.count += 1,
            None => out.push(Count { verdict, accepted, count: 1, ..Count::default() }),
        }
    }
    out
}

/// How near a finding's worst case comes to an end of its band, mm; below zero where it lies beyond.
pub(super) fn room(finding: &Finding) -> Option<f64> {
    let (worst, advised) = (finding.worst()?, finding.advised.as_ref()?);
    let below = advised.band.low.map(|low| worst.low - low);
    let above = advised.band.high.map(|high| high - worst.high);
    below.into_iter().chain(above).reduce(f64::min)
}

/// Dimensions that a build's checks want, by slot and path, with the range where one is known.
pub(super) fn wanted(findings: &[Finding]) -> BTreeMap<String, BTreeMap<String, String>> {
    let mut out: BTreeMap<String, BTreeMap<String, String>> = BTreeMap::new();
    for missing in findings.iter().flat_map(|finding| &finding.missing) {
        let Some((slot, path)) = missing.name.split_once('.') else { continue };
        let range = missing.range.map(|(low, high)| range_words(low, high)).unwrap_or_default();
        let known = out.entry(slot.to_owned()).or_default().entry(path.to_owned()).or_default();
        if known.is_empty() {
            *known = range;
        }
    }
    out
}

/// What a dimension is, in the words of the table of kinds.
pub(super) fn what(name: &str) -> String {
    let Some((slot, path)) = name.split_once('.') else { return String::new() };
    let Some(slot) = Slot::of(slot) else { return String::new() };
    let field = crate::journal::Kind::of(slot.kind()).and_then(|kind| kind.field(path));
    field.map(|field| format!("{}: {}", slot.words(), field.doc)).unwrap_or_default()
}

fn open(band: Band) -> bool {
    band.low.is_none() && band.high.is_none()
}

/// A band in words: "0.03 to 0.30", "at least 0.20".
pub(super) fn band(band: Band) -> String {
    match (band.low, band.high) {
        (Some(low), Some(high)) if low == high => format!("exactly {}", figure(low)),
        (Some(low), Some(high)) => format!("{} to {}", figure(low), figure(high)),
        (low, high) => range_words(low, high),
    }
}

/// Where it fouls, in words: "below 0.05", "below 0.00 or above 0.06".
pub(super) fn outside(band: Band) -> String {
    match (band.low, band.high) {
        (Some(low), Some(high)) if low == high => format!("anything but {}", figure(low)),
        (Some(low), Some(high)) => format!("below {} or above {}", figure(low), figure(high)),
        (Some(low), None) => format!("below {}", figure(low)),
        (None, Some(high)) => format!("above {}", figure(high)),
        (None, None) => String::new(),
    }
}

/// How many decimals a finding's figures have: two for lengths; three for ratios and where the band is
/// narrower than a tenth, as for a bore on its post; one for what no bench reads finer, angles, rates and
/// beat errors.
pub(super) fn decimals(finding: &Finding) -> usize {
    let narrow =
        |band: Band| band.low.zip(band.high).is_some_and(|(low, high)| 0.0 < high - low && high - low < 0.1);
    let advised = finding.advised.as_ref().is_some_and(|advised| narrow(advised.band));
    match finding.unit {
        "deg" | "s/d" | "ms" => 1,
        _ if advised || finding.unit.is_empty() => 3,
        _ => 2,
    }
}

fn rounded(value: f64, decimals: usize) -> String {
    let text = format!("{:.*}", decimals, value.abs());
    let zero = text.bytes().all(|byte| byte == b'0' || byte == b'.');
    if value < 0.0 && !zero { format!("−{text}") } else { text }
}

fn whole(value: f64) -> u32 {
    if value > 0.0 { value.round() as u32 } else { 0 }
}

/// A message as a sentence.
pub(super) fn sentence(text: &str) -> String {
    // A text that begins with an id keeps it as it is written.
    let text =
        if text.starts_with('`') { text.replace('`', "") } else { words::capital(&text.replace('`', "")) };
    if text.ends_with(['.', '!', '?']) { text } else { format!("{text}.") }
}
