//! The site as the rules see it: model, graph and flows together, and the questions that many rules
//! ask. Names of things, their environment, and where to point.

mod assumed;
mod bought;
mod capacities;
mod capacity;
mod carriers;
mod colour;
pub(crate) mod editions;
mod environment;
pub(crate) mod excess;
mod facts;
pub(crate) mod halves;
pub(crate) mod hot_air;
mod lengths;
mod limit;
mod links;
mod load;
mod load_working;
mod naming;
mod order;
mod outlets;
mod places;
mod route;
mod shared;
mod standing;
mod tape;
mod unfed;
mod users;

use crate::date::Date;
use crate::flow::Flows;
use crate::graph::Graph;
use crate::model::Model;
use crate::model::cords::CordType;
use crate::model::value::Named;
use crate::tables::Practice;
use crate::tables::words::Words;

pub use assumed::{ASSUMED, Assumed, Resting, resting};
pub use capacity::{Conductors, Jacket, Rating};
pub use colour::is_same_colour;
pub use environment::{AirWords, Environment};
pub use lengths::Offer;
pub use limit::{Kind, Limit, Limits, Missing, Part, Step};
pub use links::Link;
pub use load::{LoadGap, Powers, exceeds};
pub use places::{absence, field_or_name, place};
pub(crate) use route::usual_allowance;
pub use route::{Allowance, Lack, Lacks, Route};
pub use shared::Shared;
pub use standing::{Delivery, Held, Margin, Standing, Stands};
pub use users::TypeOrModel;

/// Everything a rule may look at. Immutable; rules run over it in parallel.
#[derive(Clone, Copy, Debug)]
pub struct Analysis<'a> {
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

impl<'a> Analysis<'a> {
    /// The cord types that advice is looked for among, for every finding anew: all that a site has, unless
    /// it has far more than any shop.
    pub fn types_on_offer(&self) -> impl Iterator<Item = &'a Named<CordType>> + use<'a> {
        const MOST: usize = 300;
        let types = self.model.cord_types.items().iter().take(MOST);
        // An adapter takes the place of no cord.
        types.filter(|kind| !kind.is_adapter())
    }

    /// The practice that binds; `None` if the site does not say, which is a finding of its own.
    pub fn practice(&self) -> Option<Practice> {
        self.model.site.practice.known().copied()
    }

    /// What things are called under that practice.
    pub fn words(&self) -> &'static Words {
        self.model.site.words()
    }
}
