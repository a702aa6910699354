//! NEC: a cord that a listing covers.

use crate::analysis::{Analysis, exceeds};
use crate::citation::{Citation, Confidence};
use crate::finding::Fact;
use crate::graph::{ElementId, ElementKind, Receiver};
use crate::model::cords::CordType;
use crate::model::pdus::PduModel;
use crate::model::text::{CouplerRef, YesNo};
use crate::model::value::{Field, Named};
use crate::quantity::{Current, Quantity, amperes};
use crate::rules::conductors::gaps::Gap;
use crate::tables::{Practice, approvals};

use super::{Allowance, refused};

/// The cord of a PDU is part of a product, and protected where the listing of that covers it: with the cord
/// and plug that it came with, on a circuit that the plug is made for (NEC 240.5(B)(1)).
pub(super) fn input_cord(
    analysis: &Analysis<'_>,
    id: ElementId,
    breaker: Current,
    capacity: Current,
) -> Allowance {
    let ElementKind::Pdu(pdu) = analysis.graph.kind(id) else {
        return refused("");
    };
    let Some(model) = analysis.graph.links.pdu_models[pdu.index()] else {
        return refused("the model of the PDU is not known");
    };
    let model = &analysis.model.pdu_models[model];
    let listed = model.cord.given().map(|cord| &cord.value.listed);
    match listed.and_then(Field::known) {
        Some(YesNo(true)) if exceeds(breaker, largest_circuit(&model.plug)) => refused(format!(
            "the listing of the PDU ends at the circuits its plug is made for, {}",
            largest_circuit(&model.plug).show()
        )),
        Some(YesNo(true)) => Allowance::Granted,
        Some(YesNo(false)) => refused("the PDU is not listed with this cord"),
        None if model
            .rating
            .known()
            .is_some_and(|rating| !exceeds(*rating, capacity)) =>
        {
            let gap = Box::new(not_on_record(model, listed));
            Allowance::Open(gap, Some(analysis.whole(id).clone()))
        }
        None => refused(
            "it counts as protected only within the listing of the PDU (NEC 240.5(B)(1)), which is not on record",
        ),
    }
}

fn not_on_record(model: &Named<PduModel>, listed: Option<&Field<YesNo>>) -> Gap {
    let name = &model.name.value;
    Gap {
        about: name.clone(),
        kind: "listing",
        span: listed.and_then(Field::span).unwrap_or(model.name.span),
        headline: format!(
            "may the breaker ahead be larger than the cord of PDU model {name} carries? Missing: whether it is the factory cord of a listed strip (nameplate)"
        ),
        missing: "whether the strip is listed with its cord".into(),
        basis: listing(),
        advice: "Factory cord and plug of a listed strip: write `listed: yes` under its `cord`. Cord or plug changed since: write `no`, and take the strip out of service.".into(),
        wants: vec![Fact::of(model, "cord.listed", listed)],
    }
}

/// A listed set on a circuit that its plug is made for counts as protected.
pub(super) fn listed(analysis: &Analysis<'_>, id: ElementId, rating: Current) -> Allowance {
    let (ElementKind::Cord(cord) | ElementKind::Leg(cord, _)) = analysis.graph.kind(id) else {
        return refused("");
    };
    let Some(kind) = analysis.graph.links.cord_types[cord.index()] else {
        return refused("the type of the cord is not known");
    };
    let kind = &analysis.model.cord_types[kind];
    if !matches!(analysis.graph.receiver(id), Some(Receiver::Inlet(_))) && kind.legs.is_empty() {
        return refused("it feeds no appliance whose listing could cover it");
    }
    if kind.approvals.is_empty() {
        let gap = Box::new(no_listing(kind));
        return Allowance::Open(gap, Some(analysis.whole(id).clone()));
    }
    let marks = kind.approvals.iter().map(|mark| mark.value.as_str());
    let is_listed = ["US", "CA"].into_iter().any(|country| {
        approvals::market(country).is_some_and(|market| market.accepts(marks.clone()))
    });
    if !is_listed {
        return refused("the cord set bears no North American listing");
    }
    let most = largest_circuit(&kind.plug);
    if exceeds(rating, most) {
        return refused(format!(
            "its listing ends at the circuits its plug is made for, {}",
            most.show()
        ));
    }
    Allowance::Granted
}

/// The largest circuit a plug is made for: 20 A up to 20 A (NEC Table 210.21(B)(3)), else its own rating.
fn largest_circuit(plug: &Field<CouplerRef>) -> Current {
    let rated = plug.known().map(|plug| plug.rated(Practice::Nec));
    let rated = rated.and_then(|rated| {
        let marked = rated.only_where_marked.as_ref();
        rated.current.as_ref().or(marked).map(|cited| cited.value)
    });
    let twenty = amperes(20.0);
    rated.filter(|rated| *rated > twenty).unwrap_or(twenty)
}

fn no_listing(kind: &Named<CordType>) -> Gap {
    Gap {
        about: kind.name.value.clone(),
        kind: "listing",
        span: kind.name.span,
        headline: format!(
            "do cords of type {} count as protected? Missing: their listing mark (on the cord set)",
            kind.name.value
        ),
        missing: "no approvals are given".into(),
        basis: listing(),
        advice: "Read the listing mark off the cord set and write it under `approvals`.".into(),
        wants: vec![Fact::of(kind, "approvals", None::<&Field<()>>)],
    }
}

fn listing() -> Citation {
    Citation::new(
        "NFPA 70 (NEC)",
        "240.5(B)(1) and (3)",
        "2020",
        Confidence::OneCopy,
    )
}
