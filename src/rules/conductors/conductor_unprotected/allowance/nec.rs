//! NEC: a cord that a listing covers.

use crate::citation::{Citation, Confidence};
use crate::finding::Fact;
use crate::graph::{ElementId, ElementKind, Receiver};
use crate::model::cords::CordType;
use crate::model::value::{Field, Named};
use crate::quantity::{Current, Quantity, amperes};
use crate::rules::conductors::gaps::Gap;
use crate::survey::{Survey, exceeds};
use crate::tables::{Practice, approvals};

use super::{Allowance, refused};

/// The cord of a PDU is part of a product; whether its listing covers it the definitions cannot say.
pub(super) fn input_cord(survey: &Survey<'_>, id: ElementId, capacity: Current) -> Allowance {
    let ElementKind::Pdu(pdu) = survey.graph.kind(id) else {
        return refused("");
    };
    let model = survey.graph.pdu_model(survey.model, pdu);
    let rating = model.and_then(|model| model.rating.copied());
    Allowance::Refused {
        why: "it counts as protected only within the listing of the PDU (NEC 240.5(B)(1)), which is not on record"
            .into(),
        is_mild: rating.is_some_and(|rating| !exceeds(rating, capacity)),
    }
}

/// A listed set on a circuit that its plug is made for counts as protected.
pub(super) fn listed(survey: &Survey<'_>, id: ElementId, rating: Current) -> Allowance {
    let (ElementKind::Cord(cord) | ElementKind::Leg(cord, _)) = survey.graph.kind(id) else {
        return refused("");
    };
    let Some(kind) = survey.graph.links.cord_types[cord.index()] else {
        return refused("the type of the cord is not known");
    };
    let kind = &survey.model.cord_types[kind];
    if !matches!(survey.graph.receiver(id), Some(Receiver::Inlet(_))) && kind.legs.is_empty() {
        return refused("it feeds no appliance whose listing could cover it");
    }
    if kind.approvals.is_empty() {
        let gap = Box::new(no_listing(kind));
        return Allowance::Open(gap, Some(survey.whole(id).clone()));
    }
    let marks = kind.approvals.iter().map(|mark| mark.value.as_str());
    let is_listed = ["US", "CA"].into_iter().any(|country| {
        approvals::market(country).is_some_and(|market| market.accepts(marks.clone()))
    });
    if !is_listed {
        return refused("the cord set bears no North American listing");
    }
    let most = largest_circuit(kind);
    if exceeds(rating, most) {
        return refused(format!(
            "its listing ends at the circuits its plug is made for, {}",
            most.show()
        ));
    }
    Allowance::Granted
}

/// The largest circuit a plug is made for: 20 A up to 20 A (NEC Table 210.21(B)(3)), else its own rating.
fn largest_circuit(kind: &CordType) -> Current {
    let rated = kind.plug.get().map(|plug| plug.rated(Practice::Nec));
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
            "whether cords of type {} count as protected cannot be said: their approvals are missing",
            kind.name.value
        ),
        missing: "no approvals are given".into(),
        basis: Citation::new(
            "NFPA 70 (NEC)",
            "240.5(B)(1) and (3)",
            "2020",
            Confidence::OneCopy,
        ),
        advice: "Read the listing mark off the cord set and write it under `approvals`.".into(),
        wants: vec![Fact::of(kind, "approvals", None::<&Field<()>>)],
    }
}
