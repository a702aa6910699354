//! The ratings of breaker, receptacle, plug and PDU.

use crate::citation::{Citation, Cited, Confidence};
use crate::finding::{Finding, Level};
use crate::graph::PduFeed;
use crate::model::circuits::Circuit;
use crate::model::pdus::Pdu;
use crate::model::text::CouplerRef;
use crate::model::value::{Id, Named, Spanned};
use crate::quantity::{Current, Quantity};
use crate::rules::Draft;
use crate::survey::{Survey, exceeds, place};
use crate::tables::couplers::Family;
use crate::tables::{Practice, limits};

use super::{RULE, level_of, pdu_rating, unknown};

pub(super) fn check(survey: &Survey<'_>, practice: Practice, findings: &mut Vec<Finding>) {
    let mut too_small = vec![false; survey.model.circuits.len()];
    for (circuit, item) in survey.model.circuits.iter() {
        let found = receptacle(survey, practice, circuit, item);
        too_small[circuit.index()] = found.is_some();
        findings.extend(found);
    }
    for (pdu, item) in survey.model.pdus.iter() {
        if let Some(PduFeed::Circuit(circuit)) = survey.graph.links.pdu_feeds[pdu.index()]
            // A receptacle that is too small already says what its plug would say.
            && !too_small[circuit.index()]
        {
            findings.extend(plug(survey, practice, circuit, pdu, item));
        }
    }
    for (_, model) in survey.model.pdu_models.iter() {
        findings.extend(pdu_rating::check(practice, model));
    }
}

fn breaker(circuit: &Circuit) -> Option<&Spanned<Current>> {
    circuit.breaker.get()?.rating.given()
}

/// The rating that a breaker of this size may stand ahead of, where rules allow less than its own.
fn allowed_below(
    practice: Practice,
    breaker: Current,
    coupler: CouplerRef,
    is_shared: bool,
) -> Option<Cited<Current>> {
    match practice {
        Practice::Nec if is_shared => limits::receptacle_on_circuit(breaker),
        Practice::Iec if coupler.fused => {
            limits::fused_socket_circuit().filter(|most| !exceeds(breaker, most.value))
        }
        _ => None,
    }
}

/// How many things are plugged into a circuit.
fn plugged(survey: &Survey<'_>, circuit: Id<Circuit>) -> usize {
    let id = survey.graph.circuit(circuit);
    id.map_or(0, |id| survey.graph.children(id).count())
}

fn receptacle(
    survey: &Survey<'_>,
    practice: Practice,
    id: Id<Circuit>,
    circuit: &Named<Circuit>,
) -> Option<Finding> {
    let coupler = circuit.receptacle.given()?;
    let Some(breaker) = breaker(circuit) else {
        return Some(unknown::breaker(circuit));
    };
    let what = format!(
        "the receptacle of circuit {} ({})",
        circuit.name.value, coupler.value.name
    );
    let Some(rated) = &coupler.value.rated(practice).current else {
        return Some(unknown::coupler(&what, coupler, &circuit.name));
    };
    let is_shared = plugged(survey, id) > 1;
    let allowed = allowed_below(practice, breaker.value, coupler.value, is_shared);
    let is_allowed = allowed
        .as_ref()
        .is_some_and(|allowed| coupler.value.fused || !exceeds(allowed.value, rated.value));
    if is_allowed || !exceeds(breaker.value, rated.value) {
        return None;
    }
    let (shown, limit) = (breaker.value.show(), rated.value.show());
    let headline = format!(
        "{what} can overheat: it is made for {limit}, and the breaker ahead of it lets {shown} pass"
    );
    let draft = Draft::new(
        &RULE,
        headline,
        breaker.span,
        format!("breaker of {}", breaker.value.show()),
        rated.citation.clone(),
    )
    .level(receptacle_level(coupler.value, rated))
    .also([receptacle_rule(practice, is_shared)])
    .also(allowed.map(|allowed| allowed.citation))
    .above([place(
        circuit.name.span,
        format!("circuit {}", circuit.name.value),
    )])
    .below([place(coupler.span, format!("made for {limit}"))])
    .about([circuit.name.value.clone()])
    .kind("receptacle")
    .advice(format!(
        "Fit a breaker of {limit} or less, or a receptacle of {shown} or more with wiring to match."
    ));
    let national = "several countries' wiring rules allow sockets of this kind on a larger breaker (from memory, verify)";
    let is_national = coupler.value.family == Family::National;
    Some(
        draft
            .working(is_national.then(|| national.to_owned()))
            .finish(),
    )
}

/// Sockets of one country are ruled by that country's wiring rules, which were not read.
fn receptacle_level(coupler: CouplerRef, rated: &Cited<Current>) -> Level {
    match coupler.family {
        Family::National => Level::Warning,
        Family::Iec60309 | Family::Iec60320 | Family::Nema => level_of(rated),
    }
}

fn receptacle_rule(practice: Practice, is_shared: bool) -> Citation {
    match practice {
        Practice::Nec if is_shared => Citation::new(
            "NFPA 70 (NEC)",
            "Table 210.21(B)(3)",
            "2023",
            Confidence::OneCopy,
        ),
        Practice::Nec => {
            Citation::new("NFPA 70 (NEC)", "210.21(B)(1)", "2023", Confidence::OneCopy)
        }
        Practice::Iec => Citation::common_practice(
            "a breaker protects what follows it up to the rated current of that",
        ),
    }
}

fn plug(
    survey: &Survey<'_>,
    practice: Practice,
    circuit: Id<Circuit>,
    pdu: Id<Pdu>,
    item: &Named<Pdu>,
) -> Option<Finding> {
    let circuit = &survey.model.circuits[circuit];
    let breaker = breaker(circuit)?;
    let coupler = survey.graph.pdu_model(survey.model, pdu)?.plug.given()?;
    let rated = coupler.value.rated(practice).current.as_ref()?;
    // The table for receptacles lets 15 A parts stand on 20 A circuits: so do their plugs.
    let allowed = allowed_below(practice, breaker.value, coupler.value, true);
    let is_allowed =
        allowed.is_some_and(|allowed| coupler.value.fused || !exceeds(allowed.value, rated.value));
    if is_allowed || !exceeds(breaker.value, rated.value) {
        return None;
    }
    let (shown, limit) = (breaker.value.show(), rated.value.show());
    let name = &item.name.value;
    let headline = format!(
        "the plug of PDU {name} ({}) can overheat: it is made for {limit}, and the breaker of circuit {} lets {shown} pass",
        coupler.value.name, circuit.name.value
    );
    let basis = Citation::common_practice(
        "a breaker protects what follows it up to the rated current of that",
    );
    let at = item.from.span().unwrap_or(item.name.span);
    Some(
        Draft::new(
            &RULE,
            headline,
            at,
            format!("plug made for {limit}"),
            rated.citation.clone(),
        )
        .level(level_of(rated))
        .also([basis])
        .above([
            place(circuit.name.span, format!("circuit {}", circuit.name.value)),
            place(breaker.span, format!("breaker of {}", breaker.value.show())),
        ])
        .below([place(coupler.span, format!("made for {limit}"))])
        .about([name.clone()])
        .kind("plug")
        .advice(format!(
            "Feed it from a circuit whose breaker is {limit} or less."
        ))
        .finish(),
    )
}
