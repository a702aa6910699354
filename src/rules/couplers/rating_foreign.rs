//! `rating-foreign`: is a part relied on for more than the site's practice allows its couplers?
//!
//! The definitions are judged, not each cord: one mark, one finding.

mod part;

use crate::analysis::{Analysis, TypeOrModel};
use crate::finding::Finding;
use crate::model::cords::CordType;
use crate::rules::rule;
use crate::rules::sharers::Sharers;
use crate::tables::Practice;

use part::{Part, most, part};

rule!(
    "rating-foreign",
    Couplers,
    Error,
    "A rating relied on that does not hold at this site, such as 15 A on a C13 under IEC practice: the coupler may be overloaded."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    // Without a practice no rating is foreign; that it is missing is an error of its own.
    let Some(practice) = analysis.practice() else {
        return;
    };
    let mut sharers = Sharers::of(analysis);
    let mut judge = |part: Option<Part<'_>>, of: TypeOrModel| {
        let found = part.and_then(|part| part.judged(practice));
        let found = found.map(|draft| draft.suffered_by(sharers.names(of)).finish());
        let is_found = found.is_some();
        findings.extend(found);
        is_found
    };
    for (id, kind) in analysis.model.cord_types.iter() {
        let of = TypeOrModel::CordType(id);
        let what = format!("cord type {}", kind.name.value);
        let whole = |half, coupler| part(&what, &kind.name, half, coupler, &kind.rating);
        // One mark, one finding; and a plug below its connector is a fault of its own.
        if !judge(whole("connector", &kind.connector), of) && !has_low_plug(practice, kind) {
            judge(whole("plug", &kind.plug), of);
        }
        for leg in kind.legs.items() {
            let what = format!("leg {} of {what}", leg.name.value);
            let leg = part(&what, &kind.name, "connector", &leg.connector, &leg.rating);
            judge(leg, of);
        }
    }
    for (id, model) in analysis.model.pdu_models.iter() {
        let of = TypeOrModel::PduModel(id);
        let banks = model.banks.items().iter();
        for outlet in banks.flat_map(|bank| bank.outlets.as_written()) {
            let what = format!(
                "outlet {} of PDU model {}",
                outlet.name.value, model.name.value
            );
            let outlet = part(
                &what,
                &model.name,
                "coupler",
                &outlet.coupler,
                &outlet.rating,
            );
            judge(outlet, of);
        }
    }
    for (id, model) in analysis.model.device_models.iter() {
        let of = TypeOrModel::DeviceModel(id);
        for inlet in model.inlets.items() {
            let what = format!(
                "inlet {} of device model {}",
                inlet.name.value, model.name.value
            );
            let inlet = part(&what, &model.name, "coupler", &inlet.coupler, &inlet.rating);
            judge(inlet, of);
        }
    }
}

fn has_low_plug(practice: Practice, kind: &CordType) -> bool {
    let [plug, connector] = [&kind.plug, &kind.connector].map(|half| {
        half.known()
            .copied()
            .and_then(|coupler| most(coupler, practice))
    });
    plug.zip(connector)
        .is_some_and(|(plug, connector)| plug.value < connector.value)
}
