//! The words of a connector without room behind it.

use crate::analysis::{Analysis, place};
use crate::citation::Citation;
use crate::finding::{FactState, Finding, Measure};
use crate::model::cords::Angle;
use crate::model::text::CouplerRef;
use crate::model::value::Spanned;
use crate::quantity::{Length, Quantity};
use crate::rules::Draft;
use crate::rules::routing::angle_clash::RULE;
use crate::rules::routing::places::names;
use crate::rules::routing::stock::{as_written, is_above};
use crate::tables::bodies::{self, StandOutRange};

use super::Joint;

fn geometry() -> Citation {
    Citation::common_practice("sizes as given in the definitions")
}

pub(super) fn no_room(
    analysis: &Analysis<'_>,
    joint: &Joint<'_>,
    out: &Spanned<Length>,
) -> Finding {
    let (what, name) = names(analysis, joint.cord, joint.leg);
    let (stands, free) = as_written(out.value, joint.clearance.value);
    let end = joint.describe();
    let headline = format!(
        "the {end} of {what} stands out {stands} where {free} are free: what closes behind presses on it, bends the cord hard and works it loose"
    );
    let advice = match joint.angle() {
        Some(Angle::Straight) | None => {
            "Use a cord with an angled connector that fits into the free depth."
        }
        Some(_) => "Use a cord whose connector stands out less, or make room behind the device.",
    };
    let name_of_kind = &joint.kind.name.value;
    Draft::new(
        &RULE,
        headline,
        analysis.cord_choice(joint.cord),
        format!("cord type {name_of_kind}"),
        geometry(),
    )
    .below([
        place(out.span, format!("the connector stands out {stands}")),
        joint.clearance_place(),
    ])
    .working([format!(
        "{stands} − {free} = {} too much",
        (out.value - joint.clearance.value).show()
    )])
    .measured(Measure::above(out.value, joint.clearance.value))
    .advice(advice)
    .about([name])
    .kind("rear")
    .finish()
}

fn usual(joint: &Joint<'_>, connector: &Spanned<CouplerRef>) -> Option<StandOutRange> {
    let is_angled = joint.angle().is_some_and(|angle| angle != Angle::Straight);
    bodies::usual(&connector.value.name, is_angled)
}

/// Whether a connector of unknown size may lack room. If even the longest usual one has room,
/// nothing is said, unless another size is written and cannot be read; memory alone condemns nothing either.
pub(super) fn may_lack_room(joint: &Joint<'_>, connector: &Spanned<CouplerRef>) -> bool {
    joint.stand_out_fact().state == FactState::Unreadable
        || usual(joint, connector).is_none_or(|usual| is_above(usual.most, joint.clearance.value))
}

/// The size is not given.
pub(super) fn not_known(joint: &Joint<'_>, connector: &Spanned<CouplerRef>) -> Draft {
    let usual = usual(joint, connector);
    let name = &joint.kind.name.value;
    let headline = format!(
        "has the {} of cord type {name} room behind inlet {}? Missing: how far it stands out (measure it)",
        joint.describe(),
        joint.inlet
    );
    let working = usual.as_ref().map(|usual| {
        let (least, most) = (usual.least.show(), usual.most.show());
        format!(
            "a {} usually stands out {least} to {most}; {} are free",
            joint.describe(),
            joint.clearance.value.show()
        )
    });
    let basis = usual.map_or_else(geometry, |usual| usual.citation);
    Draft::new(&RULE, headline, connector.span, "not decided: its stand-out is missing", basis)
        .wants([joint.stand_out_fact()])
        .below([joint.clearance_place()])
        .working(working)
        .advice("Measure from the back of the device to the outside of the bend, and write it as `stand-out: {connector: …}`.")
        .about([name.clone()])
        .kind("rear")
}
