//! Protective conductor currents, added up along the tree.
//!
//! They come from the filters in the power supplies and flow whenever an inlet is fed, whatever the
//! load: every fed inlet counts, and no loss of another path makes more of them. They are added as
//! plain numbers. Of inlets on different phases part cancels, so that the sum is the safe side.

mod lacking;
mod words;

use crate::analysis::Analysis;
use crate::graph::{CordFeed, ElementId, InletLink};
use crate::model::devices::ProtectiveClass;
use crate::model::optional::Stated;
use crate::quantity::{Current, amperes};
use crate::tables::constants;
use crate::tables::couplers::Family;

pub(super) use lacking::{Lacking, lacking};
pub(super) use words::{bound, bound_line, working};

/// What flows in the protective conductor of an element.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Sum {
    /// Of the inlets whose current is known: a lower bound.
    pub known: Current,
    /// The most it can be: where no current is given, that of equipment that needs no label for it.
    pub most: Current,
}

impl Sum {
    fn add(&mut self, other: Self) {
        self.known += other.known;
        self.most += other.most;
    }
}

/// The sums of all elements.
pub(super) struct EarthCurrents(Vec<Sum>);

impl EarthCurrents {
    /// Adds up once for the whole site.
    pub(super) fn new(analysis: &Analysis<'_>) -> Self {
        let graph = analysis.graph;
        let unlabelled = constants::equipment_earth_current().map(|limit| limit.value);
        let mut sums = vec![Sum::default(); graph.len()];
        for link in &graph.links.inlets {
            if let Some(by) = graph.feeding(link) {
                sums[by.index()].add(of_inlet(analysis, link, unlabelled));
            }
        }
        // Feeders stand before what they feed.
        for index in (0..sums.len()).rev() {
            let own = sums[index];
            if let Some(feeder) = graph.element(ElementId(index as u32)).feeder {
                sums[feeder.index()].add(own);
            }
        }
        Self(sums)
    }

    /// The sum of an element.
    pub(super) fn of(&self, id: ElementId) -> Sum {
        self.0[id.index()]
    }
}

fn of_inlet(analysis: &Analysis<'_>, link: &InletLink, unlabelled: Option<Current>) -> Sum {
    if let Some(known) = given(analysis, link) {
        return Sum { known, most: known };
    }
    // What is written and cannot be read may be any current.
    let model = analysis.graph.device_model(analysis.model, link.device);
    let is_unread = model.is_some_and(|model| model.earth_current.is_unreadable());
    let is_small = !is_unread && !has_industrial_plug(analysis, link);
    let most = unlabelled.filter(|_| is_small);
    Sum {
        known: Current::default(),
        most: most.unwrap_or(amperes(f64::INFINITY)),
    }
}

/// The current of an inlet; none flows from equipment that has no protective conductor.
fn given(analysis: &Analysis<'_>, link: &InletLink) -> Option<Current> {
    let model = analysis.graph.device_model(analysis.model, link.device)?;
    let unearthed = matches!(
        model.class.known(),
        Some(ProtectiveClass::II | ProtectiveClass::III)
    );
    let none = (unearthed && model.earth_current.is_absent()).then(Current::default);
    model.earth_current.known().copied().or(none)
}

/// Whether the inlet is fed by an industrial plug straight from a circuit: such equipment may leak more.
fn has_industrial_plug(analysis: &Analysis<'_>, link: &InletLink) -> bool {
    let Some((cord, _)) = link.fed_by else {
        return false;
    };
    let plug = analysis
        .graph
        .cord_type(analysis.model, cord)
        .and_then(|kind| kind.plug.known());
    let feed = analysis.graph.links.cord_feeds[cord.index()];
    matches!(feed, Some(CordFeed::Receptacle(_)))
        && plug.is_some_and(|plug| plug.family == Family::Iec60309)
}
