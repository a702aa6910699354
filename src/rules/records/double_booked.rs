//! `double-booked`: is there one plug in every outlet, and one connector on every inlet?

mod claim;

use rustc_hash::FxHashMap;

use crate::analysis::Analysis;
use crate::finding::Finding;
use crate::graph::{LinkFault, OutletId, PduFeed, Plugged, Receiver};
use crate::model::pdus::Pdu;
use crate::model::value::Id;
use crate::rules::rule;

use claim::{Claim, booked_twice, cord_claim, pdu_claim};

rule!(
    "double-booked",
    Records,
    Error,
    "Two plugs for one outlet or connector, or two connectors for one inlet: one of them is somewhere else, and nobody knows where its load sits."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    for fault in &analysis.graph.faults {
        if let LinkFault::DoubleBooked {
            what,
            name,
            first,
            again,
        } = fault
        {
            let label = |cord| format!("cord {}", analysis.model.cords[cord].name.value);
            let claim = |(cord, span)| Claim {
                who: label(cord),
                name: analysis.model.cords[cord].name.value.clone(),
                span,
            };
            findings.push(booked_twice(what, name, &claim(*first), &claim(*again)));
        }
    }
    outlets_of_strips(analysis, findings);
    inputs_of_strips(analysis, findings);
    connectors_of_cords(analysis, findings);
}

/// Connectors that a strip is plugged into and another cord, or anything else that the cord leads to, as well.
fn connectors_of_cords(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let (model, links) = (analysis.model, &analysis.graph.links);
    for (pdu, item) in model.pdus.iter() {
        let (Some(PduFeed::Cord(cord, leg)), Some(from)) =
            (links.pdu_feeds[pdu.index()], item.from.given())
        else {
            continue;
        };
        // What `to` of the cord is or lacks is told there, where it leads nowhere.
        let end = links.cord_end(cord, leg);
        let other = end.filter(|end| match end.at {
            Receiver::Inlet(_) | Receiver::Cord(_) => true,
            Receiver::Pdu(other) => other != pdu,
            Receiver::Unknown => false,
        });
        let Some(other) = other else { continue };
        let by = match other.at {
            Receiver::Cord(lower) => &model.cords[lower].name.value,
            _ => &model.cords[cord].name.value,
        };
        findings.push(booked_twice(
            "connector",
            &from.value.plain(),
            &cord_claim(by, other.span),
            &pdu_claim(&item.name.value, from.span),
        ));
    }
}

/// Outlets that a strip is plugged into and a cord, or another strip, as well.
fn outlets_of_strips(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let (model, links) = (analysis.model, &analysis.graph.links);
    let mut taken: FxHashMap<OutletId, Claim> = FxHashMap::default();
    let strips = model.pdus.iter().filter_map(|(pdu, item)| {
        let outlet = links.outlet_above(Plugged::Pdu(pdu))?;
        Some((outlet, pdu_claim(&item.name.value, item.from.span()?)))
    });
    for (place, claim) in strips {
        if let Some(first) = taken.get(&place) {
            findings.push(booked_twice(
                "outlet",
                &analysis.outlet_name(place),
                first,
                &claim,
            ));
        } else {
            taken.insert(place, claim);
        }
    }
    if taken.is_empty() {
        return;
    }
    for (cord, item) in model.cords.iter() {
        let Some(outlet) = links.outlet_above(Plugged::Cord(cord)) else {
            continue;
        };
        if let (Some(first), Some(span)) = (taken.get(&outlet), item.from.span()) {
            let claim = cord_claim(&item.name.value, span);
            findings.push(booked_twice(
                "outlet",
                &analysis.outlet_name(outlet),
                first,
                &claim,
            ));
        }
    }
}

/// Strips that are fed by two cords, or by a cord besides what their own `from` says.
fn inputs_of_strips(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let (model, links) = (analysis.model, &analysis.graph.links);
    let mut taken: FxHashMap<Id<Pdu>, Claim> = FxHashMap::default();
    for (cord, item) in model.cords.iter() {
        for end in links.cord_ends(cord) {
            let Receiver::Pdu(pdu) = end.at else { continue };
            let claim = cord_claim(&item.name.value, end.span);
            let strip = &model.pdus[pdu];
            let own = match links.pdu_feeds[pdu.index()] {
                Some(PduFeed::Cord(by, _)) if by == cord => None,
                _ => strip
                    .from
                    .span()
                    .map(|span| pdu_claim(&strip.name.value, span)),
            };
            if let Some(first) = taken.get(&pdu).cloned().or(own) {
                findings.push(booked_twice(
                    "input of PDU",
                    &strip.name.value,
                    &first,
                    &claim,
                ));
            } else {
                taken.insert(pdu, claim);
            }
        }
    }
}
