//! A strip that is wired in: no plug stands between its terminals and the breaker of its circuit.

use crate::analysis::{Analysis, exceeds, place};
use crate::citation::Citation;
use crate::finding::{Fact, Finding, Measure};
use crate::graph::PduFeed;
use crate::model::circuits::Circuit;
use crate::model::pdus::{Pdu, PduModel};
use crate::model::value::{Id, Named};
use crate::quantity::{InUnits, Quantity};
use crate::rules::Draft;
use crate::rules::circuits::national::own_rating_only;
use crate::source::Span;
use crate::tables::words::Words;
use crate::tables::{Practice, constants};

use super::{RULE, ratings, sizes};

/// What is said of a strip whose model has no plug.
pub(super) fn check(
    analysis: &Analysis<'_>,
    practice: Option<Practice>,
    pdu: Id<Pdu>,
) -> Option<Finding> {
    let model = analysis.graph.links.pdu_models[pdu.index()]?;
    let model = &analysis.model.pdu_models[model];
    let wired = model.plug.wired()?;
    let strip = &analysis.model.pdus[pdu];
    let words = analysis.words();
    let (at, feed) = match analysis.graph.links.pdu_feeds[pdu.index()]? {
        PduFeed::Circuit(circuit) => {
            let circuit = &analysis.model.circuits[circuit];
            let Some(at) = circuit.receptacle.coupler.span() else {
                return rating(practice?, circuit, strip, model);
            };
            (at, words.socket_of(&circuit.name.value))
        }
        PduFeed::Outlet(outlet) => {
            let upper = analysis.describe_carrier(outlet.on);
            let at = strip.from.span().unwrap_or(strip.name.span);
            (at, format!("an outlet of {upper}"))
        }
        PduFeed::Cord(cord, _) => {
            let cord = &analysis.model.cords[cord].name;
            (cord.span, format!("cord {}", cord.value))
        }
    };
    Some(plugged(strip, wired, at, &feed, words))
}

/// The record says both that it is wired in and that it is plugged in.
fn plugged(strip: &Named<Pdu>, wired: Span, at: Span, feed: &str, words: &Words) -> Finding {
    let (name, socket) = (&strip.name.value, words.socket);
    let headline = format!(
        "PDU {name} has no plug by its model, and hangs on {feed}: nobody can tell what is there, and what guards its input"
    );
    let basis = Citation::marked("the definitions of strip and feed");
    Draft::new(&RULE, headline, at, "something is plugged in here", basis)
        .above([place(strip.name.span, format!("PDU {name}"))])
        .below([place(wired, "wired in, without a plug")])
        .about([name.clone()])
        .kind("wired")
        .advice(format!("Look at its input. If it has a plug, write which; if it is wired to terminals, take the {socket} out of the circuit, or name the circuit that it is wired to."))
        .finish()
}

fn rating(
    practice: Practice,
    circuit: &Named<Circuit>,
    strip: &Named<Pdu>,
    model: &Named<PduModel>,
) -> Option<Finding> {
    let Some(breaker) = ratings::breaker(circuit) else {
        let field = circuit.breaker.known().map(|breaker| &breaker.rating);
        let fact = Fact::of(circuit, "breaker.rating", field);
        return Some(open(
            circuit,
            strip,
            fact,
            "the rating of the breaker (panel)",
        ));
    };
    let Some(rated) = model.rating.given() else {
        let fact = Fact::of(model, "rating", Some(&model.rating));
        return Some(open(
            circuit,
            strip,
            fact,
            "the rating of the PDU (nameplate)",
        ));
    };
    let share = constants::equipment_on_plug(practice);
    let most = share
        .as_ref()
        .map_or(rated.value, |share| rated.value / share.value);
    if !exceeds(breaker.value, most) {
        return None;
    }
    let (name, own) = (&strip.name.value, rated.value.show());
    let (shown, limit) = (breaker.value.show(), most.show());
    let headline = format!(
        "terminals and lines of PDU {name} can overheat and start a fire before anything trips: it is rated {own}, and the breaker of circuit {} lets {shown} pass",
        circuit.name.value
    );
    let line = share
        .as_ref()
        .map(|share| format!("{own} ÷ {:.0} % = {limit}", share.value.in_percent()));
    let at = strip.from.span().unwrap_or(strip.name.span);
    Some(
        Draft::new(&RULE, headline, at, format!("wired in, rated {own}"), Citation::marked("input rating of the PDU as marked"))
            .also([own_rating_only()])
            .also(share.map(|share| share.citation))
            .above([
                place(circuit.name.span, format!("circuit {}", circuit.name.value)),
                place(breaker.span, format!("breaker of {shown}")),
            ])
            .below([place(rated.span, format!("rated {own}"))])
            .working(line)
            .working([format!("breaker {shown} > {limit}")])
            .measured(Measure::above(breaker.value, most))
            .about([name.clone()])
            .kind("wired-rating")
            .advice(format!(
                "Feed PDU {name} from a circuit whose breaker is {} or less; its instructions may name the largest that may stand ahead.",
                sizes::breaker_up_to(practice, most).show()
            ))
            .finish(),
    )
}

fn open(circuit: &Named<Circuit>, strip: &Named<Pdu>, fact: Fact, missing: &str) -> Finding {
    let (circuit, name) = (&circuit.name.value, &strip.name.value);
    let headline = format!(
        "does the breaker of circuit {circuit} protect PDU {name}, which is wired to it? Missing: {missing}"
    );
    let basis = Citation::marked("breaker and PDU as marked");
    Draft::new(
        &RULE,
        headline,
        fact.span,
        "not decided: a rating is missing",
        basis,
    )
    .about([name.clone()])
    .kind("wired-rating")
    .advice("Read the rated current off breaker and nameplate, and write both down.")
    .wants([fact])
    .finish()
}
