//! What the checks and the drawings say of one build.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::draw;
use crate::fit::inspect::Report;
use crate::journal::{Build, Slot};
use crate::ledger::{Ledger, Unit};

use super::context::{Section, Timing};
use super::source::Source;
use super::{drawings, findings, timing};

/// A build after its checks, with what pages need of them.
#[derive(Debug, Clone, Default)]
pub(super) struct Checked {
    /// The findings and headline figures; `None` where the build could not be checked.
    pub(super) report: Option<Arc<Report>>,
    /// The headline figures.
    pub(super) headline: draw::Headline,
    /// The section through the watch.
    pub(super) section: Option<Section>,
    /// The plan.
    pub(super) plan: Option<Section>,
    /// The watch in outline, for the line-up.
    pub(super) outline: Option<draw::Outline>,
    /// The watch from the front, for where there is no photo; empty where too little is known.
    pub(super) front: String,
    /// The timing charts.
    pub(super) timing: Option<Timing>,
    /// The rate in words, as "Rate +3.7 s/d, mean of six positions".
    pub(super) rate: Option<String>,
    /// Dimensions that checks want and nobody measured: by slot, by path, the range that they must
    /// lie in (empty where none is known).
    pub(super) wanted: BTreeMap<String, BTreeMap<String, String>>,
    /// How high the hands are seated, by slot.
    pub(super) seats: BTreeMap<String, String>,
}

impl Checked {
    /// What the pages of many builds need of each: its report, its outline and its front.
    pub(super) fn brief(source: &Source<'_>, build: &Build, report: Option<&Arc<Report>>) -> Checked {
        let mut out = Checked::default();
        if let Some(report) = report {
            out.tell(report);
            (out.outline, out.front) = drawings::brief(source, build, report);
        }
        out
    }

    /// Puts together what a build's own pages need of its report.
    pub(super) fn of(source: &Source<'_>, build: &Build, report: Option<&Arc<Report>>) -> Checked {
        let readings = crate::fit::records::readings(build);
        let movement = Ledger::occupant(build, Slot::Movement);
        let movement = movement.and_then(|id| source.ledger.units.get(&id));
        let lift = movement.and_then(|unit| lift_angle(source, unit));
        let mut out = Checked {
            rate: timing::rate(&readings, lift),
            timing: timing::timing(build, &readings, lift),
            ..Checked::default()
        };
        if let Some(report) = report {
            out.tell(report);
            let drawn = drawings::drawings(source, build, report);
            out.section = drawn.section;
            out.plan = drawn.plan;
            out.outline = drawn.outline;
            out.front = drawn.front;
            out.seats = drawings::seats(source, build);
        }
        out
    }

    fn tell(&mut self, report: &Arc<Report>) {
        let told = report.headline;
        self.headline = draw::Headline {
            diameter: told.diameter,
            lug_to_lug: told.lug_to_lug,
            lug_width: told.lug_width,
            thickness: told.thickness,
            // Said only where the crystal stands over the rim.
            without_crystal: told
                .thickness_without_crystal
                .filter(|bare| told.thickness.is_some_and(|thick| thick - bare > 0.005)),
        };
        self.wanted = findings::wanted(&report.findings);
        self.report = Some(Arc::clone(report));
    }
}

/// The movement's own lift angle, degrees, by which amplitudes are put right.
pub(super) fn lift_angle(source: &Source<'_>, unit: &Unit) -> Option<f64> {
    let sheet = unit.came.text("calibre").and_then(|calibre| source.journal.sheets.get(calibre));
    let own = unit.came.size("lift_angle");
    own.or_else(|| sheet?.spec.size("lift_angle")).map(|angle| angle.value.value)
}
