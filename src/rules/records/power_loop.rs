//! `power-loop`: does every strip, device and cord hang on a supply, and not on itself?

use crate::analysis::{Analysis, field_or_name, place};
use crate::citation::Citation;
use crate::finding::{Finding, Place};
use crate::graph::{Carrier, Hop, LinkFault, PduFeed};
use crate::model::circuits::Supply;
use crate::model::value::{Id, Name, Named};
use crate::rules::{Draft, rule};

rule!(
    "power-loop",
    Records,
    Error,
    "PDUs, devices or cords that feed each other in a ring: no supply feeds them, or the records hide what does and which breaker makes them safe."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    for fault in &analysis.graph.faults {
        match fault {
            LinkFault::Loop { ring } => findings.extend(finding(analysis, ring)),
            LinkFault::SourceLoop { ring } => findings.extend(of_supplies(analysis, ring)),
            _ => {}
        }
    }
}

fn finding(analysis: &Analysis<'_>, ring: &[Hop]) -> Option<Finding> {
    let carriers: Vec<Carrier> = ring.iter().filter_map(|hop| carrier(*hop)).collect();
    let carrier_name = |carrier: &Carrier| analysis.name_of_carrier(*carrier).value.clone();
    let named: Vec<Name> = match carriers.is_empty() {
        false => carriers.iter().map(carrier_name).collect(),
        true => ring.iter().filter_map(|hop| cord(analysis, *hop)).collect(),
    };
    let (what, basis, advice) = match carriers.first() {
        Some(first) => (
            analysis.describe_carrier(*first),
            "every PDU hangs on one circuit",
            "Follow the plugs on site, and write the circuit that really feeds the ring into `from` of one of them.",
        ),
        None => (
            format!("cord {}", named.first()?),
            "every cord hangs on one outlet",
            "Follow the cords on site, and write the outlet that really feeds the ring into `from` of one of them.",
        ),
    };
    let (near, others) = named.split_at(named.len().min(MOST_NAMED));
    let mut chain: Vec<String> = near.iter().map(ToString::to_string).collect();
    chain.extend((!others.is_empty()).then(|| format!("{} more", others.len())));
    chain.push(named.first()?.to_string());
    let headline = format!(
        "{what} is fed from itself ({}): no supply feeds it, or nobody knows which breaker makes it safe to work on",
        chain.join(" from ")
    );
    let mut places = ring.iter().filter_map(|hop| place_of(analysis, *hop));
    let main = places.next()?;
    // Each is fed from the next: the electrical order is the reverse.
    let mut others: Vec<Place> = places.collect();
    others.reverse();
    let basis = Citation::common_practice(basis);
    Some(
        Draft::new(&RULE, headline, main.span, main.note, basis)
            .above(others)
            .about(named)
            .advice(advice)
            .finish(),
    )
}

/// Supplies that are fed from themselves, each from the next.
fn of_supplies(analysis: &Analysis<'_>, ring: &[Id<Supply>]) -> Option<Finding> {
    let supplies = ring.iter().map(|at| &analysis.model.supplies[*at]);
    let (first, others) = ring.split_first()?;
    let first = &analysis.model.supplies[*first];
    let named = supplies.clone().take(MOST_NAMED);
    let mut chain: Vec<String> = named.map(|own| own.name.value.to_string()).collect();
    chain.extend((ring.len() > MOST_NAMED).then(|| format!("{} more", ring.len() - MOST_NAMED)));
    chain.push(first.name.value.to_string());
    let headline = format!(
        "supply {} is fed from itself ({}): nobody knows what feeds them, and what each takes is in no sum",
        first.name.value,
        chain.join(" from ")
    );
    let at = |own: &Named<Supply>| own.from.span().unwrap_or(own.name.span);
    let note = |own: &Named<Supply>| {
        let from = own.from.written().ok().flatten();
        let from = from.map_or("", |from| from.value.as_str());
        format!("supply {} from {from}", own.name.value)
    };
    let others = others.iter().map(|at| &analysis.model.supplies[*at]);
    let others = others.map(|own| place(at(own), note(own)));
    let basis = Citation::common_practice("every supply is fed from one source");
    let advice = "Write what really feeds one of them into its `from`, or take the line out where that is the utility or a generator of its own.";
    Some(
        Draft::new(&RULE, headline, at(first), note(first), basis)
            .above(others)
            .about(supplies.map(|own| own.name.value.clone()))
            .advice(advice)
            .finish(),
    )
}

/// Things of a ring that are named in its headline.
const MOST_NAMED: usize = 12;

/// The strip or device that a ring goes through here.
fn carrier(hop: Hop) -> Option<Carrier> {
    match hop {
        Hop::Pdu(pdu) => Some(Carrier::Pdu(pdu)),
        Hop::Through(device, _) => Some(Carrier::Device(device)),
        Hop::Circuit(_) | Hop::Cord(_) => None,
    }
}

/// The cord that a ring goes through here.
fn cord(analysis: &Analysis<'_>, hop: Hop) -> Option<Name> {
    match hop {
        Hop::Cord(cord) => Some(analysis.model.cords[cord].name.value.clone()),
        Hop::Circuit(_) | Hop::Pdu(_) | Hop::Through(..) => None,
    }
}

/// Where it is written what feeds a strip or a cord of a ring.
fn place_of(analysis: &Analysis<'_>, hop: Hop) -> Option<Place> {
    match hop {
        Hop::Pdu(pdu) => {
            let strip = &analysis.model.pdus[pdu];
            let at = field_or_name(&strip.from, &strip.name);
            let own = &strip.name.value;
            let feed = match analysis.graph.links.pdu_feeds[pdu.index()] {
                Some(PduFeed::Cord(cord, _)) => {
                    format!("cord {}", analysis.model.cords[cord].name.value)
                }
                _ => {
                    let from = strip.from.known().map(|from| from.0.as_str());
                    format!("outlet {}", from.unwrap_or_default())
                }
            };
            Some(place(at, format!("PDU {own} from {feed}")))
        }
        Hop::Cord(cord) => {
            let item = &analysis.model.cords[cord];
            let feed = analysis.feed_name(cord).unwrap_or_default();
            let note = format!("cord {} from {feed}", item.name.value);
            Some(place(field_or_name(&item.from, &item.name), note))
        }
        Hop::Circuit(_) | Hop::Through(..) => None,
    }
}
