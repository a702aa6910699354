//! The poles of circuit, receptacle, plug and PDU.

use std::cmp::Ordering;

use crate::analysis::{Analysis, place};
use crate::citation::Citation;
use crate::finding::Finding;
use crate::graph::{ElementId, ElementKind, PduFeed};
use crate::model::circuits::{Circuit, Pole};
use crate::model::pdus::{Between, Pdu, PduModel};
use crate::model::text::CouplerRef;
use crate::model::value::{Id, Named, Spanned};
use crate::rules::Draft;
use crate::source::Span;
use crate::tables::Practice;
use crate::tables::couplers::{Coupler, Neutral};
use crate::tables::words::Words;

use super::RULE;

pub(super) fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    for (id, circuit) in analysis.model.circuits.iter() {
        if let Some(receptacle) = circuit.receptacle.coupler.given() {
            findings.extend(of_receptacle(analysis, id, circuit, receptacle));
        }
    }
    for (id, model) in analysis.model.pdu_models.iter() {
        let users = || analysis.pdus_of(id).cloned();
        findings.extend(of_model(model).map(|draft| draft.suffered_by(users()).finish()));
    }
    for (id, element) in analysis.graph.elements() {
        if let ElementKind::Pdu(pdu) = element.kind {
            findings.extend(of_strip(analysis, id, pdu));
        }
    }
    for (pdu, item) in analysis.model.pdus.iter() {
        let Some(PduFeed::Circuit(circuit)) = analysis.graph.links.pdu_feeds[pdu.index()] else {
            continue;
        };
        let circuit = &analysis.model.circuits[circuit];
        let plug = analysis
            .graph
            .pdu_model(analysis.model, pdu)
            .and_then(|model| model.plug.given());
        // A receptacle between the two is compared with each of them.
        if let Some(plug) = plug.filter(|_| circuit.receptacle.coupler.is_absent())
            && differ(analysis, circuit, &plug.value)
        {
            let at = item.from.span().unwrap_or(item.name.span);
            let what = format!("the plug of PDU {} ({})", item.name.value, plug.value.name);
            let words = analysis.words();
            let draft = draft(circuit, plug, &what, at, &item.name, words);
            findings.push(draft.finish());
        }
    }
}

/// Whether a coupler has another number of poles than a circuit or, under NEC practice, a neutral where it has
/// none, or none where it has one: there the voltage goes by that. Elsewhere 230 V are 230 V, be it between
/// two lines or to a neutral.
fn differ(analysis: &Analysis<'_>, circuit: &Circuit, coupler: &Coupler) -> bool {
    let goes_by_neutral = analysis.practice() == Some(Practice::Nec);
    let poles = &circuit.poles;
    let has_neutral = poles.iter().any(|pole| pole.value == Pole::N);
    let is_other_neutral = match coupler.poles.neutral {
        Neutral::None => has_neutral,
        Neutral::Own => !has_neutral,
        Neutral::ByWiring => false,
    };
    let is_other_number = poles.len() != usize::from(coupler.poles.count());
    !poles.is_empty() && (is_other_number || goes_by_neutral && is_other_neutral)
}

fn of_receptacle(
    analysis: &Analysis<'_>,
    id: Id<Circuit>,
    circuit: &Named<Circuit>,
    receptacle: &Spanned<CouplerRef>,
) -> Option<Finding> {
    let words = analysis.words();
    let what = format!("its {} ({})", words.socket, receptacle.value.name);
    let is_told = !differ(analysis, circuit, &receptacle.value)
        || leaves_a_strip_without_neutral(analysis, id, circuit);
    (!is_told).then(|| {
        let draft = draft(
            circuit,
            receptacle,
            &what,
            receptacle.span,
            &circuit.name,
            words,
        );
        draft.working(astray(analysis, id)).finish()
    })
}

/// Whether a strip on a circuit wants a neutral that the circuit does not bring: `neutral-missing` says that,
/// and what comes of it.
fn leaves_a_strip_without_neutral(
    analysis: &Analysis<'_>,
    id: Id<Circuit>,
    circuit: &Circuit,
) -> bool {
    let wants = |at: ElementId| match analysis.graph.kind(at) {
        ElementKind::Pdu(pdu) => {
            let model = analysis.graph.pdu_model(analysis.model, pdu);
            model.is_some_and(|model| model.wants_neutral().is_some())
        }
        _ => false,
    };
    let has_neutral = circuit.poles.iter().any(|pole| pole.value == Pole::N);
    let mut strips = analysis
        .graph
        .circuit(id)
        .into_iter()
        .flat_map(|id| analysis.graph.children(id));
    !has_neutral && strips.any(wants)
}

/// That a load behind a circuit is known and in no sum.
fn astray(analysis: &Analysis<'_>, id: Id<Circuit>) -> Option<String> {
    let device = analysis.flows.astray_below(analysis.graph.circuit(id)?)?;
    let name = &analysis.model.devices[device].name.value;
    Some(format!(
        "what hangs on poles that do not arrive is in no sum until they are put right: device {name} first"
    ))
}

fn draft(
    circuit: &Named<Circuit>,
    coupler: &Spanned<CouplerRef>,
    what: &str,
    at: Span,
    about: &Spanned<crate::model::value::Name>,
    words: &Words,
) -> Draft {
    let poles: Vec<&str> = circuit.poles.iter().map(|pole| pole.value.word()).collect();
    let has = usize::from(coupler.value.poles.count());
    let dead = "contacts may stay dead, or carry a voltage that the equipment does not expect";
    let (name, earth) = (&circuit.name.value, words.earth);
    let headline = match (poles.len().cmp(&has), coupler.value.poles.neutral) {
        (Ordering::Equal, Neutral::Own) => {
            format!("circuit {name} brings no neutral, and {what} has a contact for one: {dead}")
        }
        (Ordering::Equal, _) => {
            format!("circuit {name} brings a neutral, and {what} has no contact for one: {dead}")
        }
        (Ordering::Less, _) => format!(
            "circuit {name} has {} poles, but {what} has {has} besides the {earth}: {dead}",
            poles.len()
        ),
        (Ordering::Greater, _) => format!(
            "circuit {name} has {} poles, but {what} has {has} besides the {earth}: a pole of the circuit ends nowhere",
            poles.len()
        ),
    };
    let note = format!("{}: {}", coupler.value.name, poles_of(&coupler.value));
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
}

/// `2 poles`, `2 poles, both lines`, `2 poles, one the neutral`.
fn poles_of(coupler: &Coupler) -> String {
    let count = coupler.poles.count();
    match coupler.poles.neutral {
        Neutral::None => format!("{count} poles, all of them lines"),
        Neutral::Own => format!("{count} poles, one of them the neutral"),
        Neutral::ByWiring => format!("{count} poles"),
    }
}

/// The strip on an element, if a bank of it lies on a line that what feeds it does not bring. That a neutral
/// does not arrive is said by `neutral-missing`.
fn of_strip(analysis: &Analysis<'_>, id: ElementId, pdu: Id<Pdu>) -> Option<Finding> {
    let feeder = analysis.graph.element(id).feeder?;
    let brought: Vec<Pole> = analysis.graph.poles(feeder).collect();
    if brought.is_empty() || is_told_at_the_circuit(analysis, feeder) {
        return None;
    }
    let model = analysis.graph.pdu_model(analysis.model, pdu)?;
    let dead = analysis.graph.children(id).filter_map(|bank| {
        let ElementKind::Bank(_, number) = analysis.graph.kind(bank) else {
            return None;
        };
        let is_dead = analysis.graph.conductors_of(bank).is_empty();
        let bank = model.banks.items().get(number as usize)?;
        Some((&bank.name.value, bank.between.given()?)).filter(|_| is_dead)
    });
    let lacks_neutral = |between: Between| between.has_neutral() && !brought.contains(&Pole::N);
    let mut dead = dead.filter(|(_, between)| !lacks_neutral(between.value));
    let (bank, between) = dead.next()?;
    let item = &analysis.model.pdus[pdu];
    let words: Vec<&str> = brought.iter().map(|pole| pole.word()).collect();
    let (name, words) = (&item.name.value, words.join(", "));
    let (own, feeds) = (between.value, analysis.describe(feeder));
    let headline = format!(
        "bank {bank} of PDU {name} lies between {} and {}, and {feeds} brings {words}: what hangs there is in no sum, and may be dead or at a voltage that burns it",
        own.0.word(),
        own.1.word()
    );
    let basis = Citation::marked("the poles as the definitions give them");
    let at = item.from.span().unwrap_or(item.name.span);
    Some(
        Draft::new(&RULE, headline, at, format!("brings {words}"), basis)
            .above(analysis.hops_above(id))
            .below([place(between.span, format!("bank {bank} lies between these"))])
            .about([name.clone()])
            .kind("banks")
            .advice("Prove by a meter what arrives, before anything is plugged in; then write the poles of the circuit and the banks of the PDU model as they are.")
            .finish(),
    )
}

/// Whether the poles of the circuit that feeds a strip are told by themselves: they are not those of its
/// receptacle, or its supply does not have them.
fn is_told_at_the_circuit(analysis: &Analysis<'_>, feeder: ElementId) -> bool {
    let ElementKind::Circuit(circuit) = analysis.graph.kind(feeder) else {
        return false;
    };
    let circuit = &analysis.model.circuits[circuit];
    let receptacle = circuit.receptacle.coupler.known();
    circuit.poles.len() != analysis.graph.conductors_of(feeder).len()
        || receptacle.is_some_and(|receptacle| differ(analysis, circuit, receptacle))
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
