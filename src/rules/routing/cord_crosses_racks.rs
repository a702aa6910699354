//! `cord-crosses-racks`: does a cord leave the rack it is fed in?

use std::collections::BTreeSet;

use crate::analysis::{Analysis, absence, field_or_name, place};
use crate::citation::Citation;
use crate::finding::{Fact, Finding, Place};
use crate::graph::{Carrier, CordFeed, Receiver};
use crate::model::cords::Cord;
use crate::model::devices::Device;
use crate::model::pdus::Pdu;
use crate::model::places::Rack;
use crate::model::value::{Field, Id, Name, Spanned};
use crate::rules::{Draft, rule};

use super::places::names;

rule!(
    "cord-crosses-racks",
    Routing,
    Warning,
    "A cord from one rack to another: whoever moves or isolates one rack pulls or kills the other's load."
);

/// Something that stands in a rack.
struct Standing<'a> {
    /// `PDU ph-1-a`.
    what: &'static str,
    name: &'a Spanned<Name>,
    field: &'a Field<Name>,
    rack: Option<Id<Rack>>,
}

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    // Without racks there is nothing to cross.
    if analysis.model.racks.is_empty() {
        return;
    }
    let mut unsaid = BTreeSet::new();
    for (cord, _) in analysis.model.cords.iter() {
        let Some(upper) = feed(analysis, cord) else {
            continue;
        };
        for end in analysis.graph.links.cord_ends(cord) {
            let Some(lower) = receiver(analysis, end.at) else {
                continue;
            };
            match (upper.rack, lower.rack) {
                (Some(from), Some(to)) if from != to => {
                    findings.push(crosses(
                        analysis,
                        (cord, end.leg),
                        &upper,
                        &lower,
                        [from, to],
                    ));
                }
                (Some(_), Some(_)) => {}
                _ => {
                    let lacking = [&upper, &lower]
                        .into_iter()
                        .filter(|thing| thing.rack.is_none());
                    findings.extend(
                        lacking
                            .filter(|thing| unsaid.insert(thing.name.span))
                            .map(no_rack),
                    );
                }
            }
        }
    }
}

fn feed<'a>(analysis: &Analysis<'a>, cord: Id<Cord>) -> Option<Standing<'a>> {
    match analysis.graph.links.line_feed(cord)? {
        CordFeed::Outlet(outlet) => standing(analysis, outlet.on),
        CordFeed::Receptacle(_) | CordFeed::Cord(_) => None,
    }
}

fn receiver<'a>(analysis: &Analysis<'a>, end: Receiver) -> Option<Standing<'a>> {
    match end {
        Receiver::Inlet(number) => {
            let device = analysis.graph.links.inlets[number as usize].device;
            standing(analysis, Carrier::Device(device))
        }
        Receiver::Pdu(pdu) => standing(analysis, Carrier::Pdu(pdu)),
        // The last cord of a line is judged by what the first one is plugged into.
        Receiver::Cord(_) | Receiver::Unknown => None,
    }
}

/// A strip, or a device unless it stands outside racks.
fn standing<'a>(analysis: &Analysis<'a>, thing: Carrier) -> Option<Standing<'a>> {
    let rack = analysis.rack_of_carrier(thing);
    match thing {
        Carrier::Device(device) => {
            if analysis.stands_outside_racks(device) {
                return None;
            }
            let item = &analysis.model.devices[device];
            Some(Standing {
                what: "device",
                name: &item.name,
                field: &item.rack,
                rack,
            })
        }
        Carrier::Pdu(pdu) => {
            let item = &analysis.model.pdus[pdu];
            Some(Standing {
                what: "PDU",
                name: &item.name,
                field: &item.rack,
                rack,
            })
        }
    }
}

impl Standing<'_> {
    fn fact(&self) -> Fact {
        match self.what {
            "PDU" => Fact::at::<Pdu, _>(self.name, "rack", Some(self.field)),
            _ => Fact::at::<Device, _>(self.name, "rack", Some(self.field)),
        }
    }

    fn place(&self, rack: &str) -> Place {
        let note = format!("{} {} is in rack {rack}", self.what, self.name.value);
        place(field_or_name(self.field, self.name), note)
    }
}

fn crosses(
    analysis: &Analysis<'_>,
    (cord, leg): (Id<Cord>, Option<u32>),
    upper: &Standing<'_>,
    lower: &Standing<'_>,
    racks: [Id<Rack>; 2],
) -> Finding {
    let (what, name) = names(analysis, cord, leg);
    let [from, to] = racks.map(|rack| analysis.model.racks[rack].name.value.as_str());
    let headline = format!(
        "{what} runs from rack {from} to rack {to}: whoever moves or isolates {from} pulls or kills the load in {to}"
    );
    let item = &analysis.model.cords[cord];
    let at = field_or_name(&item.from, &item.name);
    Draft::new(&RULE, headline, at, format!("{what} begins in rack {from}"), basis())
        .above([upper.place(from)])
        .below([lower.place(to)])
        .working(["its length is not judged: the definitions do not say how the two racks stand to each other".into()])
        .advice(format!("Feed {} {} from a PDU of rack {to}.", lower.what, lower.name.value))
        .about([name])
        .finish()
}

fn no_rack(thing: &Standing<'_>) -> Finding {
    let owner = format!("{} {}", thing.what, thing.name.value);
    let how = absence(thing.field);
    let headline =
        format!("do the cords at {owner} stay in one rack? Wanted: its rack, which {how}");
    Draft::new(
        &RULE,
        headline,
        field_or_name(thing.field, thing.name),
        format!("not decided: its rack {how}"),
        basis(),
    )
    .wants([thing.fact()])
    .about([thing.name.value.clone()])
    .advice(format!("Write the rack that {owner} stands in."))
    .finish()
}

fn basis() -> Citation {
    Citation::common_practice("power cords stay in the rack that they feed")
}
