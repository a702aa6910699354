//! The receptacle of a circuit and its breaker.

use crate::analysis::{Analysis, exceeds, place};
use crate::citation::{Citation, Confidence};
use crate::finding::{Finding, Measure};
use crate::model::circuits::Circuit;
use crate::model::value::{Id, Named};
use crate::quantity::Quantity;
use crate::rules::Draft;
use crate::rules::circuits::national::{Unsettled, ahead, level, own_rating_only};
use crate::tables::Practice;
use crate::tables::breaker_ahead::{Ahead, Behind, Place};

use super::ratings::breaker;
use super::{RULE, level_of, sizes, unknown};

pub(super) fn receptacle(
    analysis: &Analysis<'_>,
    practice: Practice,
    id: Id<Circuit>,
    circuit: &Named<Circuit>,
) -> Option<Finding> {
    let coupler = circuit.receptacle.coupler.given()?;
    let socket = analysis.words().socket;
    let Some(breaker) = breaker(circuit) else {
        return Some(unknown::breaker(circuit, analysis.words()));
    };
    let what = format!(
        "the {socket} of circuit {} ({})",
        circuit.name.value, coupler.value.name
    );
    let Some(rated) = &coupler.value.rated(practice).current else {
        return Some(unknown::coupler(&what, coupler, &circuit.name).finish());
    };
    let is_shared = is_shared(analysis, id, circuit);
    if !exceeds(breaker.value, rated.value) {
        return None;
    }
    let behind = Behind {
        place: Place::Receptacle,
        coupler: &coupler.value,
        rated: rated.value,
        is_shared,
    };
    let (most, rule) = match ahead(analysis, practice, &behind, breaker.value) {
        Ahead::Allowed(_) => return None,
        Ahead::Unsettled(perhaps) => {
            let open = Unsettled {
                what: &what,
                coupler: &coupler.value,
                at: coupler.span,
                rated,
                device: breaker.value,
                perhaps,
            };
            let draft = open.draft(analysis, &RULE);
            return Some(draft.about([circuit.name.value.clone()]).finish());
        }
        Ahead::UpTo(most, rule) => (most, rule),
    };
    let (shown, limit) = (breaker.value.show(), rated.value.show());
    let headline = format!(
        "{what} can overheat and burn whoever touches it: it is made for {limit}, and the breaker ahead of it lets {shown} pass"
    );
    let draft = Draft::new(
        &RULE,
        headline,
        breaker.span,
        format!("breaker of {}", breaker.value.show()),
        rated.citation.clone(),
    )
    .level(level(&coupler.value, level_of(rated)))
    .also([receptacle_rule(practice, is_shared)])
    .also(rule)
    .above([place(
        circuit.name.span,
        format!("circuit {}", circuit.name.value),
    )])
    .below([place(coupler.span, format!("made for {limit}"))])
    .about([circuit.name.value.clone()])
    .kind("receptacle")
    .advice(format!(
        "Fit a breaker of {} or less; or a {socket} {}, with wiring, plugs and PDUs to match.",
        sizes::breaker_up_to(practice, most).show(),
        sizes::coupler_for(practice, &coupler.value, breaker.value)
    ));
    Some(
        draft
            .working([format!("breaker {shown} > {socket} {limit}")])
            .measured(Measure::above(breaker.value, rated.value))
            .working(sizes::series_line(practice, &coupler.value))
            .working(
                (most > rated.value)
                    .then(|| format!("up to {} may stand ahead of it", most.show())),
            )
            .finish(),
    )
}

/// Whether it is one of several receptacles of its circuit: as written, or as several plugs tell.
fn is_shared(analysis: &Analysis<'_>, id: Id<Circuit>, circuit: &Circuit) -> bool {
    if let Some(receptacles) = circuit.receptacles.known() {
        return *receptacles > 1;
    }
    let id = analysis.graph.circuit(id);
    id.is_some_and(|id| analysis.graph.children(id).nth(1).is_some())
}

fn receptacle_rule(practice: Practice, is_shared: bool) -> Citation {
    match practice {
        Practice::Nec if is_shared => Citation::new(
            "NFPA 70 (NEC)",
            "Table 210.21(B)(3)",
            "2023",
            Confidence::TwoCopies,
        ),
        Practice::Nec => {
            Citation::new("NFPA 70 (NEC)", "210.21(B)(1)", "2023", Confidence::OneCopy)
        }
        Practice::Iec => own_rating_only(),
    }
}
