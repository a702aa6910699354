//! `rating-foreign`: is a part relied on for more than the site's practice allows its couplers?
//!
//! The definitions are judged, not each cord: one mark, one finding.

mod part;

use crate::finding::Finding;
use crate::model::cords::CordType;
use crate::rules::rule;
use crate::survey::Survey;
use crate::tables::Practice;

use part::{Part, most, part};

rule!(
    "rating-foreign",
    Couplers,
    Error,
    "A rating relied on that does not hold at this site, such as 15 A on a C13 under IEC practice: the coupler may be overloaded."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    // Without a practice no rating is foreign; that it is missing is an error of its own.
    let Some(practice) = survey.practice() else {
        return;
    };
    let mut judge = |part: Option<Part<'_>>| {
        let found = part.and_then(|part| part.judged(practice));
        let is_found = found.is_some();
        findings.extend(found);
        is_found
    };
    for kind in survey.model.cord_types.items() {
        let what = format!("cord type {}", kind.name.value);
        let whole = |half, coupler| part(&what, &kind.name, half, coupler, &kind.rating);
        // One mark, one finding; and a plug below its connector is a fault of its own.
        if !judge(whole("connector", &kind.connector)) && !has_low_plug(practice, kind) {
            judge(whole("plug", &kind.plug));
        }
        for leg in kind.legs.items() {
            let what = format!("leg {} of {what}", leg.name.value);
            judge(part(
                &what,
                &kind.name,
                "connector",
                &leg.connector,
                &leg.rating,
            ));
        }
    }
    for model in survey.model.pdu_models.items() {
        let banks = model.banks.items().iter();
        for outlet in banks.flat_map(|bank| bank.outlets.as_written()) {
            let what = format!(
                "outlet {} of PDU model {}",
                outlet.name.value, model.name.value
            );
            judge(part(
                &what,
                &model.name,
                "coupler",
                &outlet.coupler,
                &outlet.rating,
            ));
        }
    }
    for model in survey.model.device_models.items() {
        for inlet in model.inlets.items() {
            let what = format!(
                "inlet {} of device model {}",
                inlet.name.value, model.name.value
            );
            judge(part(
                &what,
                &model.name,
                "coupler",
                &inlet.coupler,
                &inlet.rating,
            ));
        }
    }
}

fn has_low_plug(practice: Practice, kind: &CordType) -> bool {
    let [plug, connector] = [&kind.plug, &kind.connector]
        .map(|half| half.copied().and_then(|coupler| most(coupler, practice)));
    plug.zip(connector)
        .is_some_and(|(plug, connector)| plug.value < connector.value)
}
