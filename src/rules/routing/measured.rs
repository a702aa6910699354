//! A cord or leg measured along its way, and the finding that its length is wrong.

use crate::citation::Citation;
use crate::graph::Receiver;
use crate::model::cords::Cord;
use crate::model::value::Id;
use crate::quantity::Length;
use crate::rules::{Draft, Rule};
use crate::survey::{Lacks, Route, Survey};

use super::places::{chosen_at, device, missing_length, names, strip, type_length};
use super::stock::route_model;

/// A cord or leg whose way and length are known.
#[derive(Clone, Copy)]
pub(super) struct Measured {
    pub cord: Id<Cord>,
    /// Of a splitter, the leg.
    pub leg: Option<u32>,
    /// The inlet that it goes to.
    pub end: Receiver,
    pub route: Route,
    /// From plug to connector.
    pub length: Length,
}

impl Measured {
    /// `cord W-1`, `leg a of cord W-1`.
    pub fn describe(&self, survey: &Survey<'_>) -> String {
        names(survey, self.cord, self.leg).0
    }

    /// That its length is wrong, placed where the length is chosen, with the sum that its way makes.
    pub fn wrong_length(
        &self,
        survey: &Survey<'_>,
        rule: &Rule,
        headline: String,
        basis: Citation,
    ) -> Draft {
        let (what, name) = names(survey, self.cord, self.leg);
        let at = chosen_at(survey, self.cord);
        let note = format!("{what}: {}", survey.on_tape(self.length));
        Draft::new(rule, headline, at, note, basis)
            .also([route_model()])
            .above(strip(survey, self.cord))
            .below(type_length(survey, self.cord))
            .below(device(survey, self.end))
            .working(self.route.working())
            .about([name])
    }
}

/// Measures a cord or leg along its way. `None` where there is no way to measure; else what it is, or
/// what is missing for it.
pub(super) fn measure(
    survey: &Survey<'_>,
    cord: Id<Cord>,
    leg: Option<u32>,
    end: Receiver,
) -> Option<Result<Measured, Lacks>> {
    let route = match survey.route(cord, end)? {
        Ok(route) => route,
        Err(lacks) => return Some(Err(lacks)),
    };
    let Some(length) = survey.length_of(cord, leg) else {
        return Some(Err([Some(missing_length(survey, cord, leg)), None]));
    };
    Some(Ok(Measured {
        cord,
        leg,
        end,
        route,
        length,
    }))
}
