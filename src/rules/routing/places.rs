//! Where the lengths and ends of a cord stand in the definitions, and what they are called there.

use crate::analysis::{Analysis, Lack, field_or_name, place};
use crate::finding::{Fact, Place};
use crate::graph::{Carrier, FarEnd, Receiver};
use crate::model::cords::Cord;
use crate::model::devices::Device;
use crate::model::value::{Id, Name};
use crate::quantity::Quantity;
use crate::source::Span;

/// The name of a cord or of a leg: `cord W-1`, `leg a of cord W-1`, and the stable one.
pub(super) fn names(analysis: &Analysis<'_>, cord: Id<Cord>, leg: Option<u32>) -> (String, String) {
    let own = &analysis.model.cords[cord].name.value;
    let kind = analysis.graph.cord_type(analysis.model, cord);
    let leg = leg.and_then(|leg| kind?.leg(leg));
    match leg {
        Some(leg) => {
            let leg = &leg.name.value;
            (format!("leg {leg} of cord {own}"), format!("{own}/{leg}"))
        }
        None => (format!("cord {own}"), own.to_string()),
    }
}

/// A cord or leg, or the line of cords that it is the end of: `the line of cords W-1 and W-2`.
pub(super) fn line_name(analysis: &Analysis<'_>, end: FarEnd) -> String {
    let line = analysis.graph.links.line_above(end);
    let mut parts: Vec<String> = line
        .map(|(cord, leg)| names(analysis, cord, leg).1)
        .collect();
    parts.reverse();
    match parts.split_last() {
        Some((last, upper)) if !upper.is_empty() => {
            format!("the line of cords {} and {last}", upper.join(", "))
        }
        _ => names(analysis, end.0, end.1).0,
    }
}

/// Where the length of a cord is chosen: its own length, or its type.
pub(super) fn chosen_at(analysis: &Analysis<'_>, cord: Id<Cord>) -> Span {
    let own = analysis.model.cords[cord].length.span();
    own.unwrap_or(analysis.cord_choice(cord))
}

/// The length that is missing: of the cord itself, of its leg or of its type; of a line that of the last cord
/// without one.
pub(super) fn missing_length(analysis: &Analysis<'_>, cord: Id<Cord>, leg: Option<u32>) -> Lack {
    let mut line = analysis.graph.links.line_above((cord, leg));
    let lacking = line.find(|(cord, leg)| analysis.length_of(*cord, *leg).is_none());
    let (cord, leg) = lacking.unwrap_or((cord, leg));
    let item = &analysis.model.cords[cord];
    let Some(kind) = analysis.graph.links.cord_types[cord.index()] else {
        return Lack {
            missing: "a type that is defined",
            fact: Fact::of(item, "type", Some(&item.cord_type)),
        };
    };
    let kind = &analysis.model.cord_types[kind];
    let trunk = item.length.or_further(&kind.length);
    let of_leg = leg.and_then(|leg| kind.leg(leg));
    let (fact, missing) = match of_leg {
        Some(leg) if trunk.given().is_some() => {
            let name = leg.name.value.clone();
            (
                Fact::of(kind, "legs.length", Some(&leg.length)).within(name),
                "the length of its leg",
            )
        }
        _ if item.length.is_absent() => {
            (Fact::of(kind, "length", Some(&kind.length)), "its length")
        }
        _ => (Fact::of(item, "length", Some(&item.length)), "its length"),
    };
    Lack { missing, fact }
}

/// Where the type gives its length.
pub(super) fn type_length(analysis: &Analysis<'_>, cord: Id<Cord>) -> Option<Place> {
    let kind = analysis.graph.links.cord_types[cord.index()]?;
    let kind = &analysis.model.cord_types[kind];
    let length = kind.length.given()?;
    let note = format!("cord type {}: {}", kind.name.value, length.value.show());
    Some(place(length.span, note))
}

/// The strip or device that a cord is plugged into, with its place in the rack.
pub(super) fn near_end(analysis: &Analysis<'_>, cord: Id<Cord>) -> Option<Place> {
    let outlet = analysis.name_of_feed(analysis.graph.links.line_feed(cord)?)?;
    let pdu = match analysis.carrier_of(cord)? {
        Carrier::Pdu(pdu) => &analysis.model.pdus[pdu],
        Carrier::Device(device) => return Some(standing(analysis, device, outlet)),
    };
    let foot = pdu.mount.known().and_then(|mount| mount.foot.known());
    let note = foot.map_or_else(
        || outlet.clone(),
        |foot| format!("{outlet}; the PDU's foot is at {}", foot.show_position()),
    );
    Some(place(field_or_name(&pdu.mount, &pdu.name), note))
}

/// The device at an end, with its place in the rack.
pub(super) fn device(analysis: &Analysis<'_>, end: Receiver) -> Option<Place> {
    let Receiver::Inlet(number) = end else {
        return None;
    };
    let link = &analysis.graph.links.inlets[number as usize];
    let inlet = format!("inlet {}", analysis.inlet_name(link));
    Some(standing(analysis, link.device, inlet))
}

/// A part of a device, with the place of the device in the rack.
fn standing(analysis: &Analysis<'_>, device: Id<Device>, part: String) -> Place {
    let device = &analysis.model.devices[device];
    let at = device
        .at
        .known()
        .map_or_else(String::new, |at| format!(" at {}", at.show_position()));
    let note = format!("{part}{at}");
    place(field_or_name(&device.at, &device.name), note)
}

/// Who suffers where a thing lacks what the way of a cord to `end` depends on, if many share that
/// thing: the cord of a type or in a rack, the PDU or the device of a model.
pub(super) fn sharer<'a>(
    analysis: &Analysis<'a>,
    cord: Id<Cord>,
    end: Receiver,
    lack: &Lack,
) -> Option<&'a Name> {
    let model = analysis.model;
    match lack.fact.kind {
        "cord type" | "rack" => Some(&model.cords[cord].name.value),
        "PDU model" => Some(&analysis.name_of_carrier(analysis.carrier_of(cord)?).value),
        "device model" => {
            let links = &analysis.graph.links;
            let lacks = |device: &Id<Device>| {
                let of = links.device_models[device.index()];
                of.is_some_and(|of| model.device_models[of].name.value == lack.fact.owner)
            };
            let carrier = match analysis.carrier_of(cord) {
                Some(Carrier::Device(device)) => Some(device),
                _ => None,
            };
            let fed = match end {
                Receiver::Inlet(number) => Some(links.inlets[number as usize].device),
                _ => None,
            };
            let device = fed.filter(lacks).or(carrier.filter(lacks))?;
            Some(&model.devices[device].name.value)
        }
        _ => None,
    }
}
