//! What many rules ask of a site, worked out when the first of them asks.

use std::sync::OnceLock;

use super::Analysis;
use super::capacities::{Capacities, capacities};
use super::colour::Colours;
use super::halves::OutletKinds;
use super::lengths::Lengths;
use super::order::Order;
use super::users::Users;
use crate::tables::editions::ShortTimes;

/// What many rules ask of a site, once it has been asked.
#[derive(Debug, Default)]
pub struct Shared {
    capacities: OnceLock<Capacities>,
    colours: OnceLock<Colours>,
    is_in_feet: OnceLock<bool>,
    lengths: OnceLock<Lengths>,
    order: OnceLock<Order>,
    outlet_kinds: OnceLock<OutletKinds>,
    short_times: OnceLock<Vec<ShortTimes>>,
    users: OnceLock<Users>,
}

impl Shared {
    pub(super) fn capacities(&self, analysis: &Analysis<'_>) -> &Capacities {
        self.capacities.get_or_init(|| capacities(analysis))
    }

    pub(super) fn colours(&self, analysis: &Analysis<'_>) -> &Colours {
        self.colours.get_or_init(|| Colours::of(analysis))
    }

    pub(super) fn is_in_feet(&self, of: impl FnOnce() -> bool) -> bool {
        *self.is_in_feet.get_or_init(of)
    }

    pub(super) fn lengths(&self, analysis: &Analysis<'_>) -> &Lengths {
        self.lengths.get_or_init(|| Lengths::of(analysis))
    }

    pub(super) fn order(&self, analysis: &Analysis<'_>) -> &Order {
        self.order.get_or_init(|| Order::of(analysis))
    }

    pub(super) fn outlet_kinds(&self, analysis: &Analysis<'_>) -> &OutletKinds {
        self.outlet_kinds
            .get_or_init(|| OutletKinds::of(analysis.model))
    }

    pub(super) fn short_times(&self, of: impl FnOnce() -> Vec<ShortTimes>) -> &[ShortTimes] {
        self.short_times.get_or_init(of)
    }

    pub(super) fn users(&self, analysis: &Analysis<'_>) -> &Users {
        self.users
            .get_or_init(|| Users::of(analysis.model, analysis.graph))
    }
}
