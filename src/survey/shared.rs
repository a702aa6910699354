//! What many rules ask of a site, worked out when the first of them asks.

use std::sync::OnceLock;

use super::Survey;
use super::capacities::{Capacities, capacities};
use super::colour::Colours;
use super::lengths::Lengths;
use super::order::Order;
use super::users::Users;

/// What many rules ask of a site, once it has been asked.
#[derive(Debug, Default)]
pub struct Shared {
    capacities: OnceLock<Capacities>,
    colours: OnceLock<Colours>,
    lengths: OnceLock<Lengths>,
    order: OnceLock<Order>,
    users: OnceLock<Users>,
}

impl Shared {
    pub(super) fn capacities(&self, survey: &Survey<'_>) -> &Capacities {
        self.capacities.get_or_init(|| capacities(survey))
    }

    pub(super) fn colours(&self, survey: &Survey<'_>) -> &Colours {
        self.colours.get_or_init(|| Colours::of(survey))
    }

    pub(super) fn lengths(&self, survey: &Survey<'_>) -> &Lengths {
        self.lengths.get_or_init(|| Lengths::of(survey))
    }

    pub(super) fn order(&self, survey: &Survey<'_>) -> &Order {
        self.order.get_or_init(|| Order::of(survey))
    }

    pub(super) fn users(&self, survey: &Survey<'_>) -> &Users {
        self.users
            .get_or_init(|| Users::of(survey.model, survey.graph))
    }
}
