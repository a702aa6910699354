//! `pdu-in-series`: is a PDU fed from another PDU, or from a splitter?

use crate::citation::{Citation, Confidence};
use crate::finding::{Finding, Place};
use crate::graph::{CordFeed, LinkFault, PduFeed, Receiver};
use crate::model::cords::Cord;
use crate::model::pdus::Pdu;
use crate::model::value::Id;
use crate::quantity::Quantity;
use crate::rules::{Draft, rule};
use crate::source::Span;
use crate::survey::{Survey, place};
use crate::tables::Practice;

rule!(
    "pdu-in-series",
    Circuits,
    Error,
    "A PDU fed from another PDU or from a splitter: the loads of both pile up on one outlet, plug and cord, which overheat."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    let mut in_ring = vec![false; survey.model.pdus.len()];
    for fault in &survey.graph.faults {
        if let LinkFault::Loop { ring } = fault {
            ring.iter().for_each(|pdu| in_ring[pdu.index()] = true);
        }
    }
    // A ring is another fault: nothing feeds it.
    let others = survey
        .model
        .pdus
        .iter()
        .filter(|(pdu, _)| !in_ring[pdu.index()]);
    for (pdu, _) in others {
        findings.extend(source(survey, pdu).map(|source| finding(survey, pdu, source)));
    }
}

/// What feeds a strip that should hang on a circuit.
enum Source {
    /// An outlet of another strip, through a cord if there is one.
    Outlet(Id<Pdu>, u32, Option<Id<Cord>>),
    /// A leg of a splitter.
    Splitter(Id<Cord>),
}

fn source(survey: &Survey<'_>, pdu: Id<Pdu>) -> Option<Source> {
    let links = &survey.graph.links;
    match links.pdu_feeds[pdu.index()]? {
        PduFeed::Circuit(_) => None,
        PduFeed::Outlet(upper, outlet) => Some(Source::Outlet(upper, outlet, None)),
        PduFeed::Cord(cord, leg) => match links.cord_feeds[cord.index()] {
            Some(CordFeed::Outlet(upper, outlet)) => {
                Some(Source::Outlet(upper, outlet, Some(cord)))
            }
            _ => leg.map(|_| Source::Splitter(cord)),
        },
    }
}

fn finding(survey: &Survey<'_>, pdu: Id<Pdu>, source: Source) -> Finding {
    let model = survey.model;
    let name = &model.pdus[pdu].name;
    let (upper, cord) = match source {
        Source::Outlet(upper, outlet, cord) => (outlet_name(survey, upper, outlet), cord),
        Source::Splitter(cord) => (
            format!("splitter {}", model.cords[cord].name.value),
            Some(cord),
        ),
    };
    let headline = format!(
        "PDU {} is fed from {upper}: the load of a whole PDU goes through one outlet and plug, which can overheat and burn whoever touches them",
        name.value
    );
    let (limit, sources) = basis(survey);
    Draft::new(&RULE, headline, fed_at(survey, pdu, cord), format!("fed from {upper}"), limit)
        .also(sources)
        .above(path(survey, &source, cord))
        .below([place(name.span, format!("PDU {}", name.value))])
        .working(working(survey, pdu, &source))
        .about([name.value.clone()])
        .advice("Plug it into the receptacle of a circuit of its own. Keep it where it is only if the makers of both parts allow it in writing, and record that as a departure.")
        .finish()
}

fn outlet_name(survey: &Survey<'_>, pdu: Id<Pdu>, outlet: u32) -> String {
    let model = survey.graph.pdu_model(survey.model, pdu);
    let table = survey.graph.links.outlet_table(pdu);
    let own = table.zip(model).map_or("", |(table, model)| {
        table.outlet(model, outlet).name.value.as_str()
    });
    format!("outlet {own} of PDU {}", survey.model.pdus[pdu].name.value)
}

/// Where it is written what feeds the strip: its own `from`, or the end of the cord.
fn fed_at(survey: &Survey<'_>, pdu: Id<Pdu>, cord: Option<Id<Cord>>) -> Span {
    let item = &survey.model.pdus[pdu];
    let end = cord.and_then(|cord| {
        let mut ends = survey.graph.links.cord_ends(cord).iter();
        ends.find(|end| end.at == Receiver::Pdu(pdu))
    });
    item.from
        .span()
        .or(end.map(|end| end.span))
        .unwrap_or(item.name.span)
}

fn path(survey: &Survey<'_>, source: &Source, cord: Option<Id<Cord>>) -> Vec<Place> {
    let mut path = Vec::new();
    if let &Source::Outlet(upper, ..) = source {
        if let Some(id) = survey.graph.pdu(upper) {
            path.extend(survey.hops_above(id));
        }
        let name = &survey.model.pdus[upper].name;
        path.push(place(name.span, format!("PDU {}", name.value)));
    }
    path.extend(cord.map(|cord| {
        let name = &survey.model.cords[cord].name;
        place(name.span, format!("cord {}", name.value))
    }));
    path
}

/// What the lower strip may take, beside what the upper one is rated for.
fn working(survey: &Survey<'_>, pdu: Id<Pdu>, source: &Source) -> Vec<String> {
    let rated = |pdu: Id<Pdu>| {
        let rating = survey.graph.pdu_model(survey.model, pdu)?.rating.known()?;
        Some(format!(
            "PDU {} is rated {} as a whole",
            survey.model.pdus[pdu].name.value,
            rating.show()
        ))
    };
    let upper = match source {
        Source::Outlet(upper, ..) => rated(*upper),
        Source::Splitter(_) => None,
    };
    upper.into_iter().chain(rated(pdu)).collect()
}

fn basis(survey: &Survey<'_>) -> (Citation, Option<Citation>) {
    let habit = Citation::common_practice(
        "no PDU behind another, unless the makers' instructions allow it",
    );
    let taps = Citation::new(
        "UL 1363 (relocatable power taps)",
        "guide information on use",
        "edition not established",
        Confidence::TwoCopies,
    );
    match survey.practice() {
        Some(Practice::Nec) => (taps, Some(habit)),
        _ => (habit, None),
    }
}
