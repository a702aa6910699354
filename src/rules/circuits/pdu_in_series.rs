//! `pdu-in-series`: is a PDU fed from another PDU, or from a splitter?

use crate::analysis::{Analysis, Rating, exceeds, place};
use crate::citation::{Citation, Confidence};
use crate::finding::{Finding, Place};
use crate::graph::{Carrier, CordFeed, Hop, LinkFault, OutletId, PduFeed, Receiver};
use crate::model::cords::Cord;
use crate::model::pdus::Pdu;
use crate::model::value::Id;
use crate::quantity::Quantity;
use crate::rules::{Draft, rule};
use crate::source::Span;
use crate::tables::Practice;

rule!(
    "pdu-in-series",
    Circuits,
    Error,
    "A PDU fed from another PDU or from a splitter: the loads of both pile up on one outlet, plug and cord, which overheat."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let mut in_ring = vec![false; analysis.model.pdus.len()];
    for fault in &analysis.graph.faults {
        if let LinkFault::Loop { ring } = fault {
            for hop in ring {
                if let Hop::Pdu(pdu) = hop {
                    in_ring[pdu.index()] = true;
                }
            }
        }
    }
    // A ring is another fault: nothing feeds it.
    let others = analysis
        .model
        .pdus
        .iter()
        .filter(|(pdu, _)| !in_ring[pdu.index()]);
    for (pdu, _) in others {
        findings.extend(source(analysis, pdu).map(|source| finding(analysis, pdu, source)));
    }
}

/// What feeds a strip that should hang on a circuit.
enum Source {
    /// An outlet of another strip or of a device, through a cord if there is one.
    Outlet(OutletId, Option<Id<Cord>>),
    /// A leg of a splitter.
    Splitter(Id<Cord>),
}

fn source(analysis: &Analysis<'_>, pdu: Id<Pdu>) -> Option<Source> {
    let links = &analysis.graph.links;
    match links.pdu_feeds[pdu.index()]? {
        PduFeed::Circuit(_) => None,
        PduFeed::Outlet(outlet) if is_made_for_it(analysis, outlet, pdu) => None,
        PduFeed::Outlet(outlet) => Some(Source::Outlet(outlet, None)),
        PduFeed::Cord(cord, leg) => match links.line_feed(cord) {
            Some(CordFeed::Outlet(outlet)) if is_made_for_it(analysis, outlet, pdu) => None,
            Some(CordFeed::Outlet(outlet)) => Some(Source::Outlet(outlet, Some(cord))),
            _ => {
                let mut line = links.line_above((cord, leg));
                let splitter = line.find(|(_, leg)| leg.is_some());
                splitter.map(|(splitter, _)| Source::Splitter(splitter))
            }
        },
    }
}

/// Whether an outlet is that of a transfer switch and bears as much as the whole strip: large switches are there to
/// feed one.
fn is_made_for_it(analysis: &Analysis<'_>, outlet: OutletId, pdu: Id<Pdu>) -> bool {
    let rated = || {
        let rating = analysis.outlet_rating(analysis.outlet(outlet)?)?.rating;
        let strip = analysis.graph.pdu_model(analysis.model, pdu)?;
        match rating {
            Rating::Known { current, .. } => Some(!exceeds(*strip.rating.known()?, current)),
            Rating::Unknown { .. } => None,
        }
    };
    analysis.graph.links.is_switched(outlet) && rated() == Some(true)
}

fn finding(analysis: &Analysis<'_>, pdu: Id<Pdu>, source: Source) -> Finding {
    let model = analysis.model;
    let name = &model.pdus[pdu].name;
    let (upper, cord) = match source {
        Source::Outlet(outlet, cord) => (outlet_name(analysis, outlet), cord),
        Source::Splitter(cord) => (
            format!("splitter {}", model.cords[cord].name.value),
            Some(cord),
        ),
    };
    let headline = format!(
        "PDU {} is fed from {upper}: the load of a whole PDU goes through one outlet and plug, which can overheat and burn whoever touches them",
        name.value
    );
    let (limit, sources) = basis(analysis);
    Draft::new(&RULE, headline, fed_at(analysis, pdu, cord), format!("fed from {upper}"), limit)
        .also(sources)
        .above(path(analysis, &source, cord))
        .below([place(name.span, format!("PDU {}", name.value))])
        .working(working(analysis, pdu, &source))
        .about([name.value.clone()])
        .advice(format!("Plug it into the {} of a circuit of its own. Keep it where it is only if the makers of both parts allow it in writing, and record that as a departure.", analysis.words().socket))
        .finish()
}

fn outlet_name(analysis: &Analysis<'_>, outlet: OutletId) -> String {
    let own = analysis.outlet(outlet);
    let own = own.map_or("", |own| own.name.value.as_str());
    format!("outlet {own} of {}", analysis.describe_carrier(outlet.on))
}

/// Where it is written what feeds the strip: its own `from`, or the end of the cord.
fn fed_at(analysis: &Analysis<'_>, pdu: Id<Pdu>, cord: Option<Id<Cord>>) -> Span {
    let item = &analysis.model.pdus[pdu];
    let end = cord.and_then(|cord| {
        let mut ends = analysis.graph.links.cord_ends(cord).iter();
        ends.find(|end| end.at == Receiver::Pdu(pdu))
    });
    item.from
        .span()
        .or(end.map(|end| end.span))
        .unwrap_or(item.name.span)
}

fn path(analysis: &Analysis<'_>, source: &Source, cord: Option<Id<Cord>>) -> Vec<Place> {
    let mut path = Vec::new();
    if let &Source::Outlet(outlet, _) = source {
        let above = match outlet.on {
            Carrier::Pdu(upper) => analysis.graph.pdu(upper),
            Carrier::Device(device) => analysis.graph.end_behind(device, outlet.number),
        };
        path.extend(above.iter().flat_map(|id| analysis.hops_above(*id)));
        let is_cord = matches!(outlet.on, Carrier::Device(_));
        path.extend(above.filter(|_| is_cord).map(|id| analysis.hop(id)));
        let name = analysis.name_of_carrier(outlet.on);
        path.push(place(name.span, analysis.describe_carrier(outlet.on)));
    }
    path.extend(cord.map(|cord| {
        let name = &analysis.model.cords[cord].name;
        place(name.span, format!("cord {}", name.value))
    }));
    path
}

/// What the lower strip may take, beside what the upper one is rated for.
fn working(analysis: &Analysis<'_>, pdu: Id<Pdu>, source: &Source) -> Vec<String> {
    let rated = |pdu: Id<Pdu>| {
        let rating = analysis
            .graph
            .pdu_model(analysis.model, pdu)?
            .rating
            .known()?;
        Some(format!(
            "PDU {} is rated {} as a whole",
            analysis.model.pdus[pdu].name.value,
            rating.show()
        ))
    };
    let upper = match source {
        Source::Outlet(outlet, _) => match outlet.on {
            Carrier::Pdu(upper) => rated(upper),
            Carrier::Device(_) => None,
        },
        Source::Splitter(_) => None,
    };
    upper.into_iter().chain(rated(pdu)).collect()
}

fn basis(analysis: &Analysis<'_>) -> (Citation, Option<Citation>) {
    let habit = Citation::common_practice(
        "no PDU behind another, unless the makers' instructions allow it",
    );
    let taps = Citation::new(
        "UL 1363 (relocatable power taps)",
        "guide information on use",
        "edition not established",
        Confidence::TwoCopies,
    );
    match analysis.practice() {
        Some(Practice::Nec) => (taps, Some(habit)),
        _ => (habit, None),
    }
}
