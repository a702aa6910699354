//! NEC: a cord that a listing covers.

use crate::analysis::{Analysis, exceeds};
use crate::citation::{Citation, Confidence};
use crate::finding::Fact;
use crate::graph::{ElementId, ElementKind, Receiver};
use crate::model::cords::CordType;
use crate::model::marks::Marks;
use crate::model::pdus::PduModel;
use crate::model::text::{CouplerRef, YesNo, clip};
use crate::model::value::{Field, Named};
use crate::quantity::{Current, Quantity, amperes};
use crate::rules::conductors::gaps::Gap;
use crate::tables::{Practice, ampacity, marks};

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
        Some(YesNo(true)) if model.plug.wired().is_some() => {
            refused("the PDU is wired in, and the listing speaks of one with cord and plug")
        }
        Some(YesNo(true)) if exceeds(breaker, largest_circuit(&model.plug)) => refused(format!(
            "the listing of the PDU ends at the circuits its plug is made for, {}",
            largest_circuit(&model.plug).show()
        )),
        Some(YesNo(true)) if let Some(carries) = less_than_the_strip(analysis, id, model) => {
            refused(format!(
                "no strip of {} is listed with a cord that carries {carries}: cord or plug are not as they came",
                model
                    .rating
                    .known()
                    .map_or_else(String::new, Quantity::show)
            ))
        }
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

/// What the cord of a strip carries in air of 30 °C, where that is far less than the rating of the strip: a strip
/// may be listed with a cord somewhat below the table, and none is with one below four fifths of its rating
/// (common practice).
fn less_than_the_strip(
    analysis: &Analysis<'_>,
    id: ElementId,
    model: &Named<PduModel>,
) -> Option<String> {
    let own = analysis.conductors_of(id)?;
    let loaded = analysis.loaded_conductors(id).min(3);
    let table = ampacity::flexible(Practice::Nec, own.jacket.cordage, own.size?, loaded);
    let carries = *table.value()?;
    let least = *model.rating.known()? * 0.8;
    exceeds(least, carries).then(|| carries.show())
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
    if analysis.graph.links.joint_above(cord).is_some() {
        return refused("it is plugged into another cord, which no listing covers");
    }
    match listing_of(analysis, &kind.approvals) {
        Listing::Given => {}
        Listing::Unsaid(why) => {
            let gap = Box::new(no_listing(kind, why));
            return Allowance::Open(gap, Some(analysis.whole(id).clone()));
        }
        Listing::None(what) => {
            return refused(format!(
                "the cord set bears no North American listing: {what}"
            ));
        }
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

/// Whether a cord set is listed, by its marks.
enum Listing {
    Given,
    /// It may be; why that is not known.
    Unsaid(String),
    /// None of its marks is a listing; what the first one is.
    None(String),
}

/// What is not known may be the listing; a declaration is none.
fn listing_of(analysis: &Analysis<'_>, marks: &Marks) -> Listing {
    let known = || marks.words().filter_map(marks::find);
    // A country that took the code over has listings of its own.
    let own = analysis
        .site_country()
        .map(|country| country.code.to_lowercase());
    let own = own.as_deref().unwrap_or("us");
    if known().any(|mark| mark.is_listing_in(&["us", "ca", own])) {
        return Listing::Given;
    }
    if marks.unreadable().is_some() {
        return Listing::Unsaid("its approvals cannot be read".into());
    }
    let mut words = marks.words();
    if let Some(unknown) = words.find(|mark| marks::find(mark).is_none()) {
        return Listing::Unsaid(format!("the mark {} is not known here", clip(unknown)));
    }
    if let Some(unclear) = known().find(|mark| mark.may_be_north_american()) {
        return Listing::Unsaid(format!("{} may be any of several marks", unclear.name));
    }
    match known().next() {
        Some(mark) => Listing::None(format!("{} is {}", mark.name, mark.what())),
        None => Listing::Unsaid("no approvals are given".into()),
    }
}

fn no_listing(kind: &Named<CordType>, why: String) -> Gap {
    let fact = Fact::of(kind, "approvals", Some(&kind.approvals));
    Gap {
        about: kind.name.value.clone(),
        kind: "listing",
        span: fact.span,
        headline: format!(
            "do cords of type {} count as protected? Missing: their listing mark (on the cord set)",
            kind.name.value
        ),
        missing: why,
        basis: listing(),
        advice: "Read the listing mark off the cord set and write it under `approvals`.".into(),
        wants: vec![fact],
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
