//! A cord or leg measured along its way, and the finding that its length is wrong.

use crate::analysis::{Analysis, Lacks, Route};
use crate::citation::Citation;
use crate::graph::Receiver;
use crate::model::cords::Cord;
use crate::model::value::Id;
use crate::quantity::Length;
use crate::rules::{Draft, Rule};

use super::places::{chosen_at, device, line_name, missing_length, names, near_end, type_length};
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
    /// From outlet to inlet: of the cord, and of those that it hangs on.
    pub length: Length,
}

impl Measured {
    /// `cord W-1`, `leg a of cord W-1`, `the line of cords W-1 and W-2`.
    pub fn describe(&self, analysis: &Analysis<'_>) -> String {
        line_name(analysis, (self.cord, self.leg))
    }

    /// Whether it hangs on another cord.
    pub fn is_line(&self, analysis: &Analysis<'_>) -> bool {
        analysis.graph.links.joint_above(self.cord).is_some()
    }

    /// That its length is wrong, placed where the length is chosen, with the sum that its way makes.
    pub fn wrong_length(
        &self,
        analysis: &Analysis<'_>,
        rule: &Rule,
        headline: String,
        basis: Citation,
    ) -> Draft {
        let (_, name) = names(analysis, self.cord, self.leg);
        let what = self.describe(analysis);
        let at = chosen_at(analysis, self.cord);
        let note = format!("{what}: {}", analysis.on_tape(self.length));
        Draft::new(rule, headline, at, note, basis)
            .also([route_model()])
            .above(near_end(analysis, self.cord))
            .below(type_length(analysis, self.cord))
            .below(device(analysis, self.end))
            .working(self.route.working())
            .about([name])
    }
}

/// Measures a cord or leg along its way. `None` where there is no way to measure; else what it is, or
/// what is missing for it.
pub(super) fn measure(
    analysis: &Analysis<'_>,
    cord: Id<Cord>,
    leg: Option<u32>,
    end: Receiver,
) -> Option<Result<Measured, Lacks>> {
    let route = match analysis.route(cord, end)? {
        Ok(route) => route,
        Err(lacks) => return Some(Err(lacks)),
    };
    let Some(length) = analysis.line_length((cord, leg)) else {
        return Some(Err([Some(missing_length(analysis, cord, leg)), None]));
    };
    Some(Ok(Measured {
        cord,
        leg,
        end,
        route,
        length,
    }))
}
