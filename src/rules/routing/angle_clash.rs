//! `angle-clash`: is there room behind a device for the connector, and beside an outlet for the cord
//! that leaves its plug at an angle?

mod neighbour;
mod rear;

use crate::finding::Finding;
use crate::rules::rule;
use crate::survey::Survey;

rule!(
    "angle-clash",
    Routing,
    Warning,
    "An end with no room: a door or the next plug presses on it, bends the cord hard and works it loose."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    rear::check(survey, findings);
    neighbour::check(survey, findings);
}
