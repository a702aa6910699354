//! The poles of circuit, receptacle, plug and PDU.

use crate::citation::Citation;
use crate::finding::Finding;
use crate::graph::PduFeed;
use crate::model::circuits::{Circuit, Pole};
use crate::model::pdus::PduModel;
use crate::model::text::CouplerRef;
use crate::model::value::{Named, Spanned};
use crate::rules::Draft;
use crate::source::Span;
use crate::survey::{Survey, place};

use super::RULE;

pub(super) fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    for (_, circuit) in survey.model.circuits.iter() {
        if let Some(receptacle) = circuit.receptacle.given() {
            findings.extend(of_receptacle(circuit, receptacle));
        }
    }
    for (id, model) in survey.model.pdu_models.iter() {
        let users = || survey.pdus_of(id).cloned();
        findings.extend(of_model(model).map(|draft| draft.suffered_by(users()).finish()));
    }
    for (pdu, item) in survey.model.pdus.iter() {
        let Some(PduFeed::Circuit(circuit)) = survey.graph.links.pdu_feeds[pdu.index()] else {
            continue;
        };
        let circuit = &survey.model.circuits[circuit];
        let plug = survey
            .graph
            .pdu_model(survey.model, pdu)
            .and_then(|model| model.plug.given());
        // A receptacle between the two is compared with each of them.
        if let Some(plug) = plug.filter(|_| circuit.receptacle.is_absent())
            && differ(circuit, plug.value)
        {
            let at = item.from.span().unwrap_or(item.name.span);
            let what = format!("the plug of PDU {} ({})", item.name.value, plug.value.name);
            findings.push(finding(circuit, plug, &what, at, &item.name));
        }
    }
}

fn differ(circuit: &Circuit, coupler: CouplerRef) -> bool {
    !circuit.poles.is_empty() && circuit.poles.len() != usize::from(coupler.poles.count())
}

fn of_receptacle(circuit: &Named<Circuit>, receptacle: &Spanned<CouplerRef>) -> Option<Finding> {
    let what = format!("its receptacle ({})", receptacle.value.name);
    differ(circuit, receptacle.value)
        .then(|| finding(circuit, receptacle, &what, receptacle.span, &circuit.name))
}

fn finding(
    circuit: &Named<Circuit>,
    coupler: &Spanned<CouplerRef>,
    what: &str,
    at: Span,
    about: &Spanned<crate::model::value::Name>,
) -> Finding {
    let poles: Vec<&str> = circuit.poles.iter().map(|pole| pole.value.word()).collect();
    let has = usize::from(coupler.value.poles.count());
    let hazard = if poles.len() < has {
        "contacts may stay dead, or carry a voltage that the equipment does not expect"
    } else {
        "a pole of the circuit ends nowhere"
    };
    let headline = format!(
        "circuit {} has {} poles, but {what} has {has} besides the earth: {hazard}",
        circuit.name.value,
        poles.len(),
    );
    let note = format!("{}: {has} poles", coupler.value.name);
    let first = circuit
        .poles
        .first()
        .map_or(circuit.name.span, |pole| pole.span);
    Draft::new(&RULE, headline, at, note, coupler.value.citation.clone())
        .above([
            place(circuit.name.span, format!("circuit {}", circuit.name.value)),
            place(first, format!("poles {}", poles.join(", "))),
        ])
        .about([about.value.clone()])
        .kind("poles")
        .advice("Look at what is wired, and write the poles of the circuit and the coupler as they are; the one must be changed to suit the other.")
        .finish()
}

/// A strip whose banks hang on more poles than its plug has.
fn of_model(model: &Named<PduModel>) -> Option<Draft> {
    let plug = model.plug.given()?;
    let banks = model
        .banks
        .items()
        .iter()
        .filter_map(|bank| bank.between.given());
    let used = |pole: Pole| {
        banks
            .clone()
            .any(|between| between.value.0 == pole || between.value.1 == pole)
    };
    let used: Vec<&str> = Pole::ALL
        .into_iter()
        .filter(|&pole| used(pole))
        .map(Pole::word)
        .collect();
    let has = usize::from(plug.value.poles.count());
    if used.len() <= has {
        return None;
    }
    let name = &model.name;
    let headline = format!(
        "PDU model {} has banks on {} poles and a plug with {has} ({}): its currents cannot be told, and banks may be dead or share a pole",
        name.value,
        used.len(),
        plug.value.name
    );
    let poles = format!("banks hang on {}", used.join(", "));
    let basis = Citation::clone(&plug.value.citation);
    Some(
        Draft::new(&RULE, headline, plug.span, format!("{has} poles"), basis)
            .above([place(name.span, format!("PDU model {}", name.value))])
            .working([poles])
            .about([name.value.clone()])
            .kind("terminals")
            .advice(
                "Read the plug and the scheme of the banks off the PDU and write them as they are.",
            ),
    )
}
