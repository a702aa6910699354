//! `angle-clash`: is there room behind a device for the connector, and beside an outlet for the cord
//! that leaves its plug at an angle?

mod neighbour;
mod rear;

use crate::analysis::Analysis;
use crate::finding::Finding;
use crate::rules::rule;

rule!(
    "angle-clash",
    Routing,
    Warning,
    "An end with no room: a door or the next plug presses on it, bends the cord hard and works it loose."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    rear::check(analysis, findings);
    neighbour::check(analysis, findings);
}
