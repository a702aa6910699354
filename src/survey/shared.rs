//! What many rules ask of a site, worked out when the first of them asks.

use std::sync::OnceLock;

use crate::graph::Graph;
use crate::model::Model;

use super::Survey;
use super::capacities::{Capacities, capacities};
use super::kinds::Kinds;
use super::lengths::Lengths;
use super::order::Order;
use super::users::Users;

/// What many rules ask of a site, once it has been asked.
#[derive(Debug, Default)]
pub struct Shared {
    capacities: OnceLock<Capacities>,
    cords: OnceLock<Kinds>,
    runs: OnceLock<Kinds>,
    devices: OnceLock<Kinds>,
    lengths: OnceLock<Lengths>,
    order: OnceLock<Order>,
    users: OnceLock<Users>,
}

impl Shared {
    /// For a site of which everything is judged by itself, however much is alike. What is found is
    /// the same, as tests show that hold the two against each other.
    pub fn each_by_itself(model: &Model, graph: &Graph) -> Self {
        Self {
            capacities: OnceLock::new(),
            cords: Kinds::each_its_own(model.cords.len()).into(),
            runs: Kinds::each_its_own(graph.len()).into(),
            devices: Kinds::each_its_own(model.devices.len()).into(),
            lengths: OnceLock::new(),
            order: OnceLock::new(),
            users: OnceLock::new(),
        }
    }

    /// Works all of it out now, side by side, so that no rule has to wait for another that asked
    /// first.
    pub(super) fn prepare(&self, survey: &Survey<'_>) {
        let by_looks = || (self.cords(survey), self.devices(survey));
        // Runs are told apart by their capacities.
        rayon::join(by_looks, || self.runs(survey));
    }

    pub(super) fn capacities(&self, survey: &Survey<'_>) -> &Capacities {
        self.capacities.get_or_init(|| capacities(survey))
    }

    pub(super) fn cords(&self, survey: &Survey<'_>) -> &Kinds {
        self.cords.get_or_init(|| Kinds::of_cords(survey))
    }

    pub(super) fn devices(&self, survey: &Survey<'_>) -> &Kinds {
        self.devices.get_or_init(|| Kinds::of_devices(survey))
    }

    pub(super) fn lengths(&self, survey: &Survey<'_>) -> &Lengths {
        self.lengths.get_or_init(|| Lengths::of(survey))
    }

    pub(super) fn order(&self, survey: &Survey<'_>) -> &Order {
        self.order.get_or_init(|| Order::of(survey))
    }

    pub(super) fn runs(&self, survey: &Survey<'_>) -> &Kinds {
        self.runs.get_or_init(|| Kinds::of_runs(survey))
    }

    pub(super) fn users(&self, survey: &Survey<'_>) -> &Users {
        self.users
            .get_or_init(|| Users::of(survey.model, survey.graph))
    }
}
