//! `power-loop`: does every strip hang on a supply, and not on itself?

use crate::analysis::{Analysis, field_or_name, place};
use crate::citation::Citation;
use crate::finding::{Finding, Place};
use crate::graph::{LinkFault, PduFeed};
use crate::model::pdus::Pdu;
use crate::model::value::Id;
use crate::rules::{Draft, rule};

rule!(
    "power-loop",
    Records,
    Error,
    "PDUs that feed each other in a ring: no supply feeds them, or the records hide what does and which breaker makes them safe."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    for fault in &analysis.graph.faults {
        if let LinkFault::Loop { ring } = fault {
            findings.extend(finding(analysis, ring));
        }
    }
}

fn finding(analysis: &Analysis<'_>, ring: &[Id<Pdu>]) -> Option<Finding> {
    let name = |pdu: &Id<Pdu>| analysis.model.pdus[*pdu].name.value.clone();
    let first = ring.first()?;
    let (near, others) = ring.split_at(ring.len().min(MOST_NAMED));
    let mut chain: Vec<String> = near.iter().map(|pdu| name(pdu).to_string()).collect();
    chain.extend((!others.is_empty()).then(|| format!("{} more", others.len())));
    chain.push(name(first).to_string());
    let headline = format!(
        "PDU {} is fed from itself ({}): no supply feeds it, or nobody knows which breaker makes it safe to work on",
        name(first),
        chain.join(" from ")
    );
    let mut places = ring.iter().flat_map(|pdu| hops(analysis, *pdu));
    let main = places.next()?;
    // Each is fed from the next: the electrical order is the reverse.
    let mut others: Vec<Place> = places.collect();
    others.reverse();
    let basis = Citation::common_practice("every PDU hangs on one circuit");
    Some(
        Draft::new(&RULE, headline, main.span, main.note, basis)
            .above(others)
            .about(ring.iter().map(name))
            .advice("Follow the plugs on site, and write the circuit that really feeds the ring into `from` of one of them.")
            .finish(),
    )
}

/// Strips of a ring that are named in its headline.
const MOST_NAMED: usize = 12;

/// What feeds a strip of a ring, nearest first.
fn hops(analysis: &Analysis<'_>, pdu: Id<Pdu>) -> Vec<Place> {
    let strip = &analysis.model.pdus[pdu];
    let at = field_or_name(&strip.from, &strip.name);
    let own = &strip.name.value;
    match analysis.graph.links.pdu_feeds[pdu.index()] {
        Some(PduFeed::Cord(cord, _)) => {
            let item = &analysis.model.cords[cord];
            let from = field_or_name(&item.from, &item.name);
            let label = &item.name.value;
            let feed = analysis.feed_name(cord).unwrap_or_default();
            vec![
                place(at, format!("PDU {own} from cord {label}")),
                place(from, format!("cord {label} from {feed}")),
            ]
        }
        _ => {
            let from = strip
                .from
                .known()
                .map_or(String::new(), |from| from.0.to_string());
            vec![place(at, format!("PDU {own} from outlet {from}"))]
        }
    }
}
