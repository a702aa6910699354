//! What the input of a power strip may carry: its own rating, and those of plug and receptacle.

use crate::analysis::halves::{Owner, pairs};
use crate::analysis::{Analysis, Rating};
use crate::citation::Citation;
use crate::finding::Fact;
use crate::graph::{ElementId, PduFeed};
use crate::model::pdus::Pdu;
use crate::model::text::CouplerRef;
use crate::model::value::{Field, Id, Name, Spanned};
use crate::tables::couplers::Side;
use crate::tables::{Practice, constants};

use super::{Kind, Limit, Limits, Missing, Part, Step, coupler_kind};

/// The limits of a strip's input.
pub(super) fn limits(analysis: &Analysis<'_>, pdu: Id<Pdu>, id: ElementId) -> Limits {
    let name = &analysis.model.pdus[pdu].name;
    let owner = format!("PDU {}", name.value);
    let Some(model) = analysis.graph.links.pdu_models[pdu.index()] else {
        return Limits::unknown(missing(
            "the model".into(),
            owner,
            name,
            Fact::of(
                &analysis.model.pdus[pdu],
                "model",
                Some(&analysis.model.pdus[pdu].model),
            ),
        ));
    };
    let model = &analysis.model.pdu_models[model];
    let owner = || format!("PDU model {}", model.name.value);
    let mut limits = Limits::default();
    match model.rating.given() {
        Some(rating) => {
            let basis = vec![Citation::marked("input rating of the PDU as marked")];
            let own = Limit::whole(Part::Strip, Kind::Marking, rating.value, rating.span, basis);
            limits.lines.push(own);
        }
        None => {
            let fact = Fact::of(model, "rating", Some(&model.rating));
            limits = Limits::unknown(missing("its rating".into(), owner(), &model.name, fact));
        }
    }
    coupler(
        &mut limits,
        analysis,
        Part::Plug,
        &model.plug,
        (owner(), &model.name, || {
            Fact::of(model, "plug", Some(&model.plug))
        }),
    );
    limits = limits.of_model();
    if let Some(PduFeed::Circuit(circuit)) = analysis.graph.links.pdu_feeds[pdu.index()] {
        let circuit = &analysis.model.circuits[circuit];
        let receptacle = &circuit.receptacle;
        let owner = analysis.words().socket_of(&circuit.name.value);
        coupler(
            &mut limits,
            analysis,
            Part::Receptacle,
            &receptacle.coupler,
            (owner, &circuit.name, || {
                Fact::of(circuit, receptacle.coupler_key(), Some(&receptacle.coupler))
            }),
        );
        several_receptacles(&mut limits, analysis, id);
    }
    limits
}

/// Adds a coupler's rating. What is not given at all is left to the rules of the records: a circuit
/// need not end in a receptacle. What cannot be read is missing.
fn coupler(
    limits: &mut Limits,
    analysis: &Analysis<'_>,
    part: Part,
    coupler: &Field<CouplerRef>,
    (owner, name, fact): (String, &Spanned<Name>, impl FnOnce() -> Fact),
) {
    let coupler = match coupler {
        Field::Given(coupler) => coupler,
        Field::Absent => return,
        Field::Unreadable(_) => {
            let what = match part {
                Part::Plug => "its plug",
                _ => "its kind",
            };
            let unread = || missing(what.into(), owner, name, fact());
            limits.missing.get_or_insert_with(unread);
            return;
        }
    };
    let side = match part {
        Part::Plug => Side::Pins,
        _ => Side::Contacts,
    };
    let rating = analysis.coupler_rating((&coupler.value, side), None, &Field::Absent);
    let kind = coupler_kind(&rating);
    match rating {
        Rating::Known { current, basis, .. } => {
            let own = Limit::whole(part, kind, current, coupler.span, basis);
            limits.lines.push(own);
        }
        Rating::Unknown { .. } if limits.missing.is_none() => {
            limits.missing = Some(Missing {
                what: format!("the rated current of {}", coupler.value.name),
                at: coupler.span,
                owner,
                name: name.value.clone(),
                is_of_model: false,
                fact: None,
            });
        }
        Rating::Unknown { .. } => {}
    }
}

/// Adds the outlet or connector that a strip is plugged into, where that is not the receptacle of a
/// circuit.
pub(super) fn add_contacts(limits: &mut Limits, analysis: &Analysis<'_>, id: ElementId) {
    for pair in pairs(analysis, id) {
        let Some(contacts) = pair.contacts else {
            continue;
        };
        let part = match contacts.owner {
            Owner::Receptacle(_) => continue,
            Owner::Connector(_) => Part::Connector,
            _ => Part::Outlet,
        };
        let (coupler, plug) = (contacts.coupler, pair.pins.map(|pins| &*pins.coupler.value));
        let own = (&*coupler.value, Side::Contacts);
        let rating = analysis.coupler_rating(own, plug, contacts.mark);
        let kind = coupler_kind(&rating);
        limits.add(part, contacts.name(), kind, rating, coupler.span);
    }
}

/// NEC Table 210.21(B)(2): where a circuit has several receptacles, each carries less.
fn several_receptacles(limits: &mut Limits, analysis: &Analysis<'_>, id: ElementId) {
    let Some(circuit) = analysis.graph.element(id).feeder else {
        return;
    };
    let receptacle = limits
        .lines
        .iter()
        .find(|line| line.part == Part::Receptacle);
    let is_nec = analysis.practice() == Some(Practice::Nec);
    let Some(receptacle) = receptacle.filter(|_| is_nec && fed_by(analysis, circuit) > 1) else {
        return;
    };
    if let Some(load) = constants::receptacle_load(receptacle.rated) {
        let line = Limit {
            step: Step::Code,
            kind: Kind::Code,
            current: load.value,
            share: Some(load.value / receptacle.rated),
            said: "the most that code allows where a circuit has several receptacles",
            basis: vec![load.citation],
            ..receptacle.clone()
        };
        limits.lines.push(line);
    }
}

fn missing(what: String, owner: String, name: &Spanned<Name>, fact: Fact) -> Missing {
    Missing {
        what,
        at: fact.span,
        owner,
        name: name.value.clone(),
        is_of_model: false,
        fact: Some(fact),
    }
}

/// How many strips and cords hang on a circuit itself.
fn fed_by(analysis: &Analysis<'_>, circuit: ElementId) -> usize {
    let below = analysis.graph.below(circuit).map(ElementId);
    below
        .filter(|&id| analysis.graph.element(id).feeder == Some(circuit))
        .count()
}
