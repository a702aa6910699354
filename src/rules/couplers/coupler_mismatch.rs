//! `coupler-mismatch`: does every plug enter its outlet, and every connector its inlet?

use crate::citation::Citation;
use crate::finding::Finding;
use crate::graph::{ElementId, ElementKind, PduFeed, Receiver};
use crate::model::text::CouplerRef;
use crate::model::value::Spanned;
use crate::rules::{Draft, rule};
use crate::survey::{Survey, place};
use crate::tables::couplers::{Role, Side};
use crate::tables::mating::{self, Mate};

rule!(
    "coupler-mismatch",
    Couplers,
    Error,
    "A plug that does not enter its outlet, or a connector its inlet: the cord cannot be fitted, or is forced."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    for (id, element) in survey.graph.elements() {
        match element.kind {
            ElementKind::Cord(_) | ElementKind::Leg(..) => cord(survey, id, findings),
            ElementKind::Pdu(_) => pdu(survey, id, findings),
            ElementKind::Supply(_) | ElementKind::Circuit(_) | ElementKind::Bank(..) => {}
        }
    }
}

/// One coupler and what it is called: `outlet ph-1-a/3`.
struct Half {
    what: String,
    coupler: Spanned<CouplerRef>,
}

impl Half {
    fn new(what: String, coupler: Option<&Spanned<CouplerRef>>) -> Option<Self> {
        Some(Self {
            what,
            coupler: *coupler?,
        })
    }
}

fn cord(survey: &Survey<'_>, id: ElementId, findings: &mut Vec<Finding>) {
    let (ElementKind::Cord(cord) | ElementKind::Leg(cord, _)) = survey.graph.kind(id) else {
        return;
    };
    let Some(kind) = survey.graph.cord_type(survey.model, cord) else {
        return;
    };
    let name = &survey.model.cords[cord].name.value;
    let connector = match survey.graph.kind(id) {
        ElementKind::Leg(_, leg) => kind
            .legs
            .items()
            .get(leg as usize)
            .and_then(|leg| leg.connector.given()),
        _ => {
            let outlet = survey
                .outlet_of(cord)
                .and_then(|outlet| outlet.coupler.given());
            let feed = survey.feed_name(cord).unwrap_or_default();
            let plug = Half::new(format!("the plug of cord {name}"), kind.plug.given());
            pair(survey, id, Half::new(feed, outlet), plug, findings);
            kind.connector.given()
        }
    };
    if let Some(&Receiver::Inlet(number)) = survey.graph.receiver(id)
        && let Some((_, inlet)) = survey.inlet(number)
    {
        let inlet_name = survey.inlet_name(&survey.graph.links.inlets[number as usize]);
        let connector = Half::new(
            format!("the connector of {}", survey.describe(id)),
            connector,
        );
        pair(
            survey,
            id,
            connector,
            Half::new(format!("inlet {inlet_name}"), inlet.coupler.given()),
            findings,
        );
    }
}

fn pdu(survey: &Survey<'_>, id: ElementId, findings: &mut Vec<Finding>) {
    let ElementKind::Pdu(pdu) = survey.graph.kind(id) else {
        return;
    };
    let Some(PduFeed::Circuit(circuit)) = survey.graph.links.pdu_feeds[pdu.index()] else {
        return;
    };
    let circuit = &survey.model.circuits[circuit];
    let receptacle = Half::new(
        format!("the receptacle of circuit {}", circuit.name.value),
        circuit.receptacle.given(),
    );
    let plug = survey
        .graph
        .pdu_model(survey.model, pdu)
        .and_then(|model| model.plug.given());
    let plug = Half::new(format!("the plug of {}", survey.describe(id)), plug);
    pair(survey, id, receptacle, plug, findings);
}

/// Contacts first, pins second. What is not known here is missing from the definitions, which the
/// rules of the records report.
fn pair(
    survey: &Survey<'_>,
    id: ElementId,
    contacts: Option<Half>,
    pins: Option<Half>,
    findings: &mut Vec<Finding>,
) {
    let (Some(contacts), Some(pins)) = (contacts, pins) else {
        return;
    };
    let wrong = [
        (&contacts, Side::Contacts, Role::Pins),
        (&pins, Side::Pins, Role::Contacts),
    ];
    if let Some((half, wanted, _)) = wrong
        .into_iter()
        .find(|(half, _, role)| half.coupler.value.role == *role)
    {
        return findings.push(wrong_half(survey, id, half, wanted));
    }
    let (why, citation, is_open) = match mating::mates(contacts.coupler.value, pins.coupler.value) {
        Mate::Fits { .. } => return,
        Mate::DoesNotFit { why, citation } => (why.into_owned(), citation, false),
        Mate::Unknown { why, citation } => (why.to_owned(), citation, true),
    };
    findings.push(does_not_enter(
        survey, id, &contacts, &pins, &why, citation, is_open,
    ));
}

fn does_not_enter(
    survey: &Survey<'_>,
    id: ElementId,
    contacts: &Half,
    pins: &Half,
    why: &str,
    citation: &Citation,
    is_open: bool,
) -> Finding {
    let (female, male) = (&contacts.coupler.value.name, &pins.coupler.value.name);
    let verb = if is_open {
        "is not known to enter"
    } else {
        "does not enter"
    };
    let headline = format!("{} ({male}) {verb} {} ({female})", pins.what, contacts.what);
    // The cord is what gets changed: point at its own end.
    let cord_has_pins = pins.what.starts_with("the plug");
    let (own, other) = if cord_has_pins {
        (pins, contacts)
    } else {
        (contacts, pins)
    };
    let note = format!("{}: {why}", own.coupler.value.name);
    let draft = Draft::new(&RULE, headline, own.coupler.span, note, citation.clone());
    let fitting = if cord_has_pins {
        mating::suitable_plugs_for(other.coupler.value)
    } else {
        mating::suitable_for_inlet(other.coupler.value)
    };
    let fitting: Vec<&str> = fitting
        .iter()
        .map(|coupler| coupler.name.as_str())
        .collect();
    let mate = place(
        other.coupler.span,
        format!("{}: {}", other.what, other.coupler.value.name),
    );
    let mut draft = draft.above([survey.hop(id)]);
    draft = if cord_has_pins {
        draft.above([mate])
    } else {
        draft.below([mate])
    };
    draft =
        draft
            .about([survey.full_name(id)])
            .kind(if cord_has_pins { "plug" } else { "connector" });
    draft = match fitting.first() {
        Some(first) => draft.advice(format!("Order a cord with {} here; {female} and {male} must not be forced together.", first)),
        None => draft.advice(format!("Ask for the mate of {} by its standard; {female} and {male} must not be forced together.", other.coupler.value.name)),
    };
    if is_open {
        draft.open().finish()
    } else {
        draft.finish()
    }
}

/// The half itself is impossible: a plug that is written as a connector, or the reverse.
fn wrong_half(survey: &Survey<'_>, id: ElementId, half: &Half, wanted: Side) -> Finding {
    let coupler = half.coupler.value;
    let (is, should) = match wanted {
        Side::Contacts => ("pins", "contacts"),
        Side::Pins => ("contacts", "pins"),
    };
    let headline = format!(
        "{} is given as {}, which has {is}; {should} are wanted there",
        half.what, coupler.name
    );
    Draft::new(&RULE, headline, half.coupler.span, format!("{} has {is}", coupler.name), coupler.citation.clone())
        .above([survey.hop(id)])
        .about([survey.full_name(id)])
        .kind("wrong-half")
        .advice("Write the mating half: in each IEC 60320 pair the odd number has contacts, the even one pins.")
        .finish()
}
