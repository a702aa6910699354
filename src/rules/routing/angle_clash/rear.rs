//! The connector against the room behind its device.

use std::collections::BTreeSet;

use crate::citation::Citation;
use crate::finding::{Finding, Place};
use crate::graph::Receiver;
use crate::model::cords::{Angle, Cord, CordType};
use crate::model::text::CouplerRef;
use crate::model::value::{Id, Named, Spanned};
use crate::quantity::{Length, Quantity};
use crate::rules::Draft;
use crate::rules::routing::stock::{as_written, chosen_at, is_above, names};
use crate::survey::{Survey, place};
use crate::tables::bodies;

use super::RULE;

/// A connector at its inlet.
struct Joint<'a> {
    cord: Id<Cord>,
    leg: Option<u32>,
    kind: &'a Named<CordType>,
    connector: Option<&'a Spanned<CouplerRef>>,
    inlet: String,
    clearance: &'a Spanned<Length>,
}

pub(super) fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    let mut unsaid = BTreeSet::new();
    for (cord, _) in survey.model.cords.iter() {
        for end in survey.graph.links.cord_ends(cord) {
            let Some(joint) = joint(survey, cord, end.leg, end.at) else {
                continue;
            };
            let given = joint
                .kind
                .stand_out
                .get()
                .and_then(|ends| ends.connector.given());
            match given {
                Some(out) if is_above(out.value, joint.clearance.value) => {
                    findings.push(no_room(survey, &joint, out));
                }
                Some(_) => {}
                None if !unsaid.contains(&joint.kind.name.span) => {
                    let open = not_known(&joint);
                    if open.is_some() {
                        unsaid.insert(joint.kind.name.span);
                    }
                    findings.extend(open);
                }
                None => {}
            }
        }
    }
}

/// The joint of a cord's end, where the room behind the device is given.
fn joint<'a>(
    survey: &Survey<'a>,
    cord: Id<Cord>,
    leg: Option<u32>,
    end: Receiver,
) -> Option<Joint<'a>> {
    let Receiver::Inlet(number) = end else {
        return None;
    };
    let link = &survey.graph.links.inlets[number as usize];
    let model = survey.graph.device_model(survey.model, link.device)?;
    let clearance = model.rear_clearance.given()?;
    let kind = &survey.model.cord_types[survey.graph.links.cord_types[cord.index()]?];
    let connector = match leg {
        Some(leg) => kind.legs.items().get(leg as usize)?.connector.given(),
        None => kind.connector.given(),
    };
    let inlet = survey.inlet_name(link).to_string();
    Some(Joint {
        cord,
        leg,
        kind,
        connector,
        inlet,
        clearance,
    })
}

impl Joint<'_> {
    fn angle(&self) -> Option<Angle> {
        self.kind.angle.get()?.connector.copied()
    }

    /// `a straight C13`, for the middle of a sentence.
    fn describe(&self) -> String {
        let coupler = self
            .connector
            .map_or("connector", |connector| connector.value.name.as_str());
        match self.angle() {
            Some(Angle::Straight) => format!("straight {coupler}"),
            Some(_) => format!("angled {coupler}"),
            None => coupler.to_owned(),
        }
    }

    fn clearance_place(&self) -> Place {
        let note = format!(
            "{} free behind inlet {}",
            self.clearance.value.show(),
            self.inlet
        );
        place(self.clearance.span, note)
    }
}

fn geometry() -> Citation {
    Citation::common_practice("sizes as given in the definitions")
}

fn no_room(survey: &Survey<'_>, joint: &Joint<'_>, out: &Spanned<Length>) -> Finding {
    let (what, name) = names(survey, joint.cord, joint.leg);
    let (stands, free) = as_written(out.value, joint.clearance.value);
    let end = joint.describe();
    let headline = format!(
        "the {end} of {what} stands out {stands} where {free} are free: what closes behind presses on it, bends the cord hard and works it loose"
    );
    let advice = match joint.angle() {
        Some(Angle::Straight) | None => {
            "Take a cord with an angled connector that fits into the free depth."
        }
        Some(_) => "Take a cord whose connector stands out less, or make room behind the device.",
    };
    let name_of_kind = &joint.kind.name.value;
    Draft::new(
        &RULE,
        headline,
        chosen_at(survey, joint.cord),
        format!("type {name_of_kind}"),
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
    .advice(advice)
    .about([name])
    .kind("rear")
    .finish()
}

/// The size is not given. If even the longest usual one has room, nothing is said; memory alone
/// condemns nothing either.
fn not_known(joint: &Joint<'_>) -> Option<Finding> {
    let is_angled = joint.angle().is_some_and(|angle| angle != Angle::Straight);
    let connector = joint.connector?;
    let usual = bodies::usual(&connector.value.name, is_angled);
    if usual
        .as_ref()
        .is_some_and(|usual| !is_above(usual.most, joint.clearance.value))
    {
        return None;
    }
    let name = &joint.kind.name.value;
    let headline = format!(
        "whether the {} of cord type {name} has room behind inlet {} cannot be said: how far it stands out is missing",
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
    let draft = Draft::new(&RULE, headline, connector.span, "its stand-out is missing", basis)
        .open()
        .below([joint.clearance_place()])
        .working(working)
        .advice("Measure from the back of the device to the outside of the bend, and write it as `stand-out: {connector: …}`.")
        .about([name.clone()])
        .kind("rear");
    Some(draft.finish())
}
