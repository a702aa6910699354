//! The words of a cord that presses on the next plug.

use crate::analysis::{Analysis, absence, field_or_name, place};
use crate::citation::Citation;
use crate::finding::{Fact, Finding, Measure};
use crate::model::cords::Cord;
use crate::model::value::{Field, Id};
use crate::rules::Draft;
use crate::rules::routing::angle_clash::RULE;
use crate::rules::routing::stock::as_written;
use crate::rules::told_once::ToldOnce;
use crate::source::Span;

use super::Exit;

pub(super) fn over_neighbour(
    analysis: &Analysis<'_>,
    exit: &Exit<'_>,
    neighbour: Id<Cord>,
) -> Finding {
    let model = analysis.model;
    let (cord, neighbour) = (&model.cords[exit.cord], &model.cords[neighbour]);
    let (own, other) = (&cord.name.value, &neighbour.name.value);
    let outlet = analysis.feed_name(exit.cord).unwrap_or_default();
    let headline = format!(
        "cord {own} leaves outlet {} towards the plug of cord {other}: it presses on that plug, and neither can be drawn without the other",
        outlet.trim_start_matches("outlet ")
    );
    let both = analysis
        .connector_bend()
        .zip(exit.model.outlet_pitch.known());
    let measure = both.map(|(reach, pitch)| Measure::below(*pitch, reach.value));
    let working = both.map(|(reach, pitch)| {
        let (pitch, bend) = as_written(*pitch, reach.value);
        format!(
            "the next outlet is {pitch} away; a plug and its first bend take {bend}{}",
            reach.remark("connector-bend")
        )
    });
    let earth = analysis.words().earth;
    let lie = exit.model.outlet_earth.given();
    let kind = analysis.graph.cord_type(model, exit.cord);
    let angle = kind.and_then(|kind| kind.plug_angle().ok()?);
    Draft::new(&RULE, headline, analysis.cord_choice(exit.cord), format!("cord {own} in {outlet}"), basis(earth))
        .above(lie.map(|lie| place(lie.span, format!("the {earth} contacts of {} lie {}", exit.model.name.value, lie.value.word()))))
        .below(angle.map(|angle| place(angle.span, format!("with its {earth} contact uppermost the cord leaves {}", angle.value.word()))))
        .below([place(field_or_name(&neighbour.from, &neighbour.name), format!("cord {other} in the next outlet"))])
        .working(working)
        .measured(measure)
        .advice("Use a straight plug or one that leaves to the side of the PDU, or move one of the two cords an outlet on.")
        .about([own.clone()])
        .kind("neighbour")
        .finish()
}

pub(super) fn not_known<T>(
    analysis: &Analysis<'_>,
    exit: &Exit<'_>,
    key: &'static str,
    field: &Field<T>,
    unsaid: &mut ToldOnce<Span>,
) {
    let (at, how) = (field_or_name(field, &exit.model.name), absence(field));
    let (name, earth) = (&exit.model.name.value, analysis.words().earth);
    let draft = || {
        let headline = format!(
            "do angled plugs in PDU model {name} press on the plugs beside them? Wanted: its {key}, which {how}"
        );
        Draft::new(&RULE, headline, at, format!("not decided: its {key} {how}"), basis(earth))
        .wants([Fact::of(exit.model, key, Some(field))])
        .about([name.clone()])
        .advice(format!("Look at the PDU with its foot at the bottom, and write where the {earth} contacts lie (`outlet-earth: up`, `down`, `left` or `right`) and how far apart the outlets are (`outlet-pitch`)."))
        .kind("neighbour")
    };
    let told = unsaid.tell(at, draft);
    told.suffered_by([analysis.model.pdus[exit.pdu].name.value.clone()]);
}

fn basis(earth: &str) -> Citation {
    Citation::common_practice(&format!(
        "direction of the cord told from the {earth} contact, plug inserted"
    ))
}
