//! What many rules ask of a site, worked out when the first of them asks.

use std::sync::OnceLock;

use crate::model::Model;

use super::Survey;
use super::capacities::{Capacities, capacities};
use super::kinds::Kinds;

/// What many rules ask of a site, once it has been asked.
#[derive(Debug, Default)]
pub struct Shared {
    capacities: OnceLock<Capacities>,
    kinds: OnceLock<Kinds>,
}

impl Shared {
    /// For a site of which every cord is judged by itself, however many are alike. What is found is
    /// the same, as tests show that hold the two against each other.
    pub fn each_cord_by_itself(model: &Model) -> Self {
        Self {
            kinds: Kinds::each_its_own(model.cords.iter().len()).into(),
            ..Self::default()
        }
    }

    pub(super) fn capacities(&self, survey: &Survey<'_>) -> &Capacities {
        self.capacities.get_or_init(|| capacities(survey))
    }

    pub(super) fn kinds(&self, survey: &Survey<'_>) -> &Kinds {
        self.kinds.get_or_init(|| Kinds::of(survey))
    }
}
