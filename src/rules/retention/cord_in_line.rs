//! `cord-in-line`: is a cord plugged into another cord?

mod joint;

use crate::analysis::{Analysis, field_or_name};
use crate::citation::{Citation, Confidence};
use crate::finding::{Finding, Level};
use crate::rules::{Draft, rule};
use crate::tables::Practice;

use super::{held_in_vibration, shaking};
use joint::Joint;

rule!(
    "cord-in-line",
    Retention,
    Warning up to Error,
    "A cord plugged into a cord: the joint hangs behind the rack, is pulled by both, and works loose, heats and arcs unseen."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    for (cord, _) in analysis.model.cords.iter() {
        if let Some(joint) = Joint::above(analysis, cord) {
            findings.push(finding(analysis, &joint));
        }
    }
}

/// A joint is a warning, and a listed adapter worth a note; each is graver where it is not the only one on the way
/// from the outlet, and an error where it is shaken and nothing holds it.
fn level(joint: &Joint<'_>) -> Level {
    match (joint.is_loose_and_shaken(), joint.is_adapted, joint.number) {
        (true, ..) => Level::Error,
        (false, true, 1) => Level::Note,
        (false, true, _) | (false, false, 1) => Level::Warning,
        (false, false, _) => Level::Error,
    }
}

fn finding(analysis: &Analysis<'_>, joint: &Joint<'_>) -> Finding {
    let item = &analysis.model.cords[joint.lower];
    let (lower, upper) = (joint.lower_name(analysis), joint.upper_name(analysis));
    let headline = format!("{lower} is plugged into {upper}{}", danger(joint));
    let note = format!("{lower} begins at {upper}");
    let at = field_or_name(&item.from, &item.name);
    let (basis, others) = basis(analysis, joint);
    let own = analysis.graph.cord(joint.lower);
    let names =
        [joint.lower, joint.upper.0].map(|cord| analysis.model.cords[cord].name.value.clone());
    Draft::new(&RULE, headline, at, note, basis)
        .also(others)
        .level(level(joint))
        .above(own.map_or_else(Vec::new, |id| analysis.hops_above(id)))
        .below(joint.zone_place())
        .below(analysis.ends_of(joint.lower))
        .working(joint.working(analysis))
        .about(names)
        .advice(joint.advice(analysis))
        .finish()
}

fn danger(joint: &Joint<'_>) -> String {
    if joint.is_loose_and_shaken() {
        let why = joint
            .shaken()
            .map_or_else(String::new, |(zone, how)| shaking(zone, how));
        return format!(
            ", nothing holds the joint, and {why}: it works loose, arcs, and drops what it feeds"
        );
    }
    match (joint.number, joint.is_adapted) {
        (1, true) => ": one more contact that heats, and that a pull may open".to_owned(),
        (1, false) => {
            ": the joint hangs free and is pulled by both, so that it may work loose, heat and arc unseen"
                .to_owned()
        }
        (number, _) => format!(
            ", and that one hangs on a cord as well: {number} joints hang in a row, and one that heats or comes apart is hard to find"
        ),
    }
}

fn basis(analysis: &Analysis<'_>, joint: &Joint<'_>) -> (Citation, Vec<Citation>) {
    let habit = Citation::common_practice("one cord from outlet to inlet, without a joint between");
    let mut others = Vec::new();
    if analysis.practice() == Some(Practice::Nec) && !joint.is_adapted {
        others.push(Citation::new(
            "International Fire Code",
            "605.5 (extension cords are no substitute for permanent wiring)",
            "2009, and 2012; numbered anew since",
            Confidence::TwoCopies,
        ));
    }
    match joint.is_loose_and_shaken() {
        true => {
            others.insert(0, habit);
            (held_in_vibration(), others)
        }
        false => (habit, others),
    }
}
