//! What cannot be decided of a breaker in its air.

use crate::analysis::Analysis;
use crate::citation::Citation;
use crate::finding::{Fact, Finding};
use crate::graph::{ElementId, ElementKind};
use crate::model::pdus::Pdu;
use crate::model::value::Id;
use crate::quantity::{Current, show_pair};
use crate::rules::Draft;
use crate::rules::circuits::missing::Undecided;
use crate::rules::illegible::Illegible;
use crate::rules::told_once::ToldOnce;
use crate::source::Span;
use crate::tables::constants;

use super::RULE;

/// Open points, each told once.
pub(super) struct Open {
    illegible: Illegible,
    airs: ToldOnce<Span>,
    loads: Undecided,
}

impl Default for Open {
    fn default() -> Self {
        Self {
            illegible: Illegible::default(),
            airs: ToldOnce::default(),
            loads: Undecided::new("may the breaker of ", " open early in hot air"),
        }
    }
}

impl Open {
    /// Something at the breaker cannot be read.
    pub fn unread(
        &mut self,
        analysis: &Analysis<'_>,
        id: ElementId,
        fact: &Fact,
    ) -> Option<Finding> {
        let question = || format!("may the breaker of {} open early", analysis.describe(id));
        let told = self.illegible.ask(&RULE, fact, question);
        if let ElementKind::Bank(pdu, _) = analysis.graph.kind(id) {
            told.suffered_by([analysis.model.pdus[pdu].name.value.clone()]);
        }
        None
    }

    /// The load is not known: what is known is below what the breaker carries.
    pub fn no_load(
        &mut self,
        analysis: &Analysis<'_>,
        id: ElementId,
        known: Option<Current>,
        carries: Current,
    ) -> Option<Finding> {
        let device = analysis.flows.unknown_below(id)?;
        let known = known.map(|known| {
            let (known, carries) = show_pair(known, carries);
            format!("the known loads alone make {known}; in its air it carries {carries}")
        });
        self.loads.add(device, id, known, basis().as_ref());
        None
    }

    /// The zone of a strip, or the site, says no temperature.
    pub fn no_air(&mut self, analysis: &Analysis<'_>, pdu: Id<Pdu>) -> Option<Finding> {
        let strip = &analysis.model.pdus[pdu].name;
        let gap = analysis.air_words(analysis.zone_of_pdu(pdu));
        let at = gap.at.unwrap_or(strip.span);
        let told = self.airs.tell(at, || {
            let headline = format!(
                "may the breakers of strips {} open early? Wanted: the temperature of the air, which {}",
                gap.whose, gap.how
            );
            let note = format!("not decided: the ambient {}", gap.how);
            let basis = basis().unwrap_or_else(|| Citation::common_practice("breakers in hot air"));
            Draft::new(&RULE, headline, at, note, basis)
                .wants(gap.fact)
                .kind("air")
                .about([gap.about])
                .advice("Write the hottest air at the strips as `ambient`, here or for the site.")
        });
        told.suffered_by([strip.value.clone()]);
        None
    }

    pub fn findings(self, analysis: &Analysis<'_>) -> impl Iterator<Item = Finding> {
        let read = self.illegible.findings().chain(self.airs.findings());
        read.chain(self.loads.findings(&RULE, analysis))
    }
}

fn basis() -> Option<Citation> {
    constants::breaker_heat().map(|slope| slope.citation)
}
