//! The connector against the room behind its device.

mod told;

use crate::analysis::{Analysis, place};
use crate::finding::{Fact, Finding, Place};
use crate::graph::Receiver;
use crate::model::cords::{Angle, Cord, CordLeg, CordType};
use crate::model::text::CouplerRef;
use crate::model::value::{Field, Id, Named, Spanned};
use crate::quantity::{Length, Quantity};
use crate::rules::illegible::Illegible;
use crate::rules::routing::angle_clash::RULE;
use crate::rules::routing::stock::is_above;
use crate::rules::told_once::ToldOnce;

use told::{may_lack_room, no_room, not_known};

/// A connector at its inlet.
struct Joint<'a> {
    cord: Id<Cord>,
    leg: Option<u32>,
    kind: &'a Named<CordType>,
    of_leg: Option<&'a Named<CordLeg>>,
    connector: Option<&'a Spanned<CouplerRef>>,
    inlet: String,
    clearance: &'a Spanned<Length>,
}

impl Joint<'_> {
    /// How far its connector stands out, as a fact.
    fn stand_out_fact(&self) -> Fact {
        if let Some(leg) = self.of_leg.filter(|leg| !leg.stand_out.is_absent()) {
            let fact = Fact::of(self.kind, "legs.stand-out", Some(&leg.stand_out));
            return fact.within(leg.name.value.clone());
        }
        match &self.kind.stand_out {
            Field::Unreadable(at) => Fact::unreadable(self.kind, "stand-out", *at),
            own => {
                let connector = own.known().map(|ends| &ends.connector);
                Fact::of(self.kind, "stand-out.connector", connector)
            }
        }
    }
}

pub(super) fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let (mut unsaid, mut illegible) = (ToldOnce::default(), Illegible::default());
    for (cord, _) in analysis.model.cords.iter() {
        for end in analysis.graph.links.cord_ends(cord) {
            let joint = match joint(analysis, cord, end.leg, end.at) {
                Some(Ok(joint)) => joint,
                Some(Err(fact)) => {
                    let model = &fact.owner;
                    let question = || format!("have connectors room behind device model {model}");
                    let told = illegible.ask(&RULE, &fact, question);
                    told.suffered_by([analysis.model.cords[cord].name.value.clone()]);
                    continue;
                }
                None => continue,
            };
            match joint.stand_out() {
                Some(out) if is_above(out.value, joint.clearance.value) => {
                    findings.push(no_room(analysis, &joint, out));
                }
                Some(_) => {}
                None => {
                    if let Some(connector) = joint.connector
                        && may_lack_room(&joint, connector)
                    {
                        let kind = joint.kind.name.span;
                        let told = unsaid.tell(kind, || not_known(&joint, connector));
                        told.suffered_by([analysis.model.cords[cord].name.value.clone()]);
                    }
                }
            }
        }
    }
    findings.extend(unsaid.findings());
    findings.extend(illegible.findings());
}

/// The joint of a cord's end, where the room behind the device is given.
fn joint<'a>(
    analysis: &Analysis<'a>,
    cord: Id<Cord>,
    leg: Option<u32>,
    end: Receiver,
) -> Option<Result<Joint<'a>, Fact>> {
    let Receiver::Inlet(number) = end else {
        return None;
    };
    let link = &analysis.graph.links.inlets[number as usize];
    let model = analysis.graph.links.device_models[link.device.index()]?;
    let model = &analysis.model.device_models[model];
    let clearance = match model.rear_clearance.written() {
        Ok(clearance) => clearance?,
        Err(at) => return Some(Err(Fact::unreadable(model, "rear-clearance", at))),
    };
    let kind = &analysis.model.cord_types[analysis.graph.links.cord_types[cord.index()]?];
    let of_leg = match leg {
        Some(leg) => Some(kind.leg(leg)?),
        None => None,
    };
    let connector = kind.connector_of(of_leg.map(|leg| &leg.item)).given();
    let inlet = analysis.inlet_name(link).to_string();
    Some(Ok(Joint {
        cord,
        leg,
        kind,
        of_leg,
        connector,
        inlet,
        clearance,
    }))
}

impl Joint<'_> {
    /// How far its connector stands out: its leg's, or else the cord's.
    fn stand_out(&self) -> Option<&Spanned<Length>> {
        let leg = self.of_leg.map(|leg| &leg.item);
        self.kind.stand_out_of(leg)?.given()
    }

    fn angle(&self) -> Option<Angle> {
        let leg = self.of_leg.map(|leg| &leg.item);
        let angle = self.kind.connector_angle(leg).ok()??;
        Some(angle.value)
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
