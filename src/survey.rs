//! The site as the rules see it: model, graph and flows together, and the questions that many rules
//! ask. Names of things, their surroundings, and where to point.

mod capacities;
mod capacity;
mod case;
mod kinds;
mod limit;
mod links;
mod load;
mod naming;
mod places;
mod route;
mod shared;
mod users;

use crate::date::Date;
use crate::flow::Flows;
use crate::graph::Graph;
use crate::model::Model;
use crate::tables::Practice;

pub use capacity::{Conductors, Rating};
pub use case::Surroundings;
pub use kinds::ByKind;
pub use limit::Limit;
pub use links::{Link, LinkKind};
pub use load::{LoadGap, exceeds};
pub use places::{absence, field_or_name, place};
pub use route::{Allowance, Lack, Lacks, Route};
pub use shared::Shared;
pub use users::TypeOrModel;

/// Everything a rule may look at. Immutable; rules run over it in parallel.
#[derive(Clone, Copy, Debug)]
pub struct Survey<'a> {
    /// The definitions.
    pub model: &'a Model,
    /// The power graph.
    pub graph: &'a Graph,
    /// Currents and voltages.
    pub flows: &'a Flows,
    /// What many rules ask, worked out once.
    pub shared: &'a Shared,
    /// The day on which is judged.
    pub today: Date,
}

impl Survey<'_> {
    /// Works out what many rules ask, before they are run side by side.
    pub fn prepare(&self) {
        self.shared.prepare(self);
    }

    /// The practice that binds; `None` if the site does not say, which is a finding of its own.
    pub fn practice(&self) -> Option<Practice> {
        self.model.site.practice.copied()
    }
}
