//! Inlets on supplies of their own that are fed from one and the same: told once, for whoever built the supplies
//! and not for every device.

use crate::analysis::{Analysis, place};
use crate::citation::Citation;
use crate::finding::{Finding, Level};
use crate::graph::{ElementId, ElementKind};
use crate::model::circuits::Supply;
use crate::model::devices::Device;
use crate::model::value::{Id, Name};
use crate::rules::Draft;
use crate::rules::circuits::redundancy::{FedInlet, Loss, listed};
use crate::rules::told_once::ToldOnce;

use super::RULE;

/// Sources that are shared, each with those who suffer it.
#[derive(Default)]
pub(super) struct Ahead(ToldOnce<ElementId>);

impl Ahead {
    /// Takes a device whose inlets share something, if that stands ahead of their supplies; whether it does.
    pub fn takes(
        &mut self,
        analysis: &Analysis<'_>,
        device: Id<Device>,
        (inlets, shared): (&[FedInlet], Loss<'_>),
    ) -> bool {
        let Loss::Element(source) = shared else {
            return false;
        };
        let is_below = |inlet: &FedInlet| analysis.graph.is_below(inlet.by, source);
        let ElementKind::Supply(supply) = analysis.graph.kind(source) else {
            return false;
        };
        if inlets.iter().any(is_below) {
            return false;
        }
        let told = self.0.tell(source, || draft(analysis, supply, inlets));
        told.suffered_by([analysis.model.devices[device].name.value.clone()]);
        true
    }

    /// The findings.
    pub fn findings(self) -> impl Iterator<Item = Finding> {
        self.0.findings()
    }
}

fn draft(analysis: &Analysis<'_>, source: Id<Supply>, inlets: &[FedInlet]) -> Draft {
    let model = analysis.model;
    let mut supplies: Vec<Id<Supply>> = inlets
        .iter()
        .filter_map(|inlet| analysis.graph.supply_of(inlet.by))
        .collect();
    supplies.sort_unstable();
    supplies.dedup();
    let names = listed(
        supplies
            .iter()
            .map(|at| model.supplies[*at].name.value.as_str()),
    );
    let own = &model.supplies[source];
    let headline = format!(
        "lose supply {} and supplies {names}, which are fed from it, go as well, at once or when their batteries are empty: what hangs on them stops on all its inlets",
        own.name.value
    );
    let is_all = is_all_there_is(analysis);
    let advice = match is_all {
        true => "Where the building has one source, that is how it is: write it into what you promise of the two feeds.".to_owned(),
        false => format!(
            "Feed one of them from another source, or write what really feeds each of them into its `from`; if both hang on supply {} on purpose, have it signed.",
            own.name.value
        ),
    };
    let feeding = supplies.iter().map(|at| {
        let supply = &model.supplies[*at];
        let ahead = analysis.graph.sources_of(*at);
        // Where it is written what brings it to the shared one.
        let last = ahead.take_while(|at| *at != source).last().unwrap_or(*at);
        let from = model.supplies[last].from.span();
        place(
            from.unwrap_or(supply.name.span),
            format!("feeds supply {}", supply.name.value),
        )
    });
    let mut about: Vec<Name> = vec![own.name.value.clone()];
    about.extend(
        supplies
            .iter()
            .map(|at| model.supplies[*at].name.value.clone()),
    );
    let basis = Citation::common_practice("inlets of redundant equipment on independent paths");
    Draft::new(&RULE, headline, own.name.span, "shared", basis)
        .level(if is_all { Level::Note } else { Level::Warning })
        .below(feeding)
        .about(about)
        .kind("ahead")
        .advice(advice)
}

/// Whether all supplies of the site are fed from one: nobody could part them above it.
fn is_all_there_is(analysis: &Analysis<'_>) -> bool {
    let graph = analysis.graph;
    let first = |(supply, _)| graph.first_source(supply);
    let mut firsts = analysis.model.supplies.iter().map(first);
    let one = firsts.next();
    firsts.all(|first| Some(first) == one)
}
