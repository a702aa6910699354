//! `plug-below-connector`: is the plug of every cord type rated at least like its connector?

use crate::analysis::{Analysis, place};
use crate::citation::{Citation, Confidence};
use crate::finding::{Finding, Level, Measure};
use crate::model::cords::CordType;
use crate::model::text::CouplerRef;
use crate::model::value::{Named, Spanned};
use crate::quantity::{Current, Quantity};
use crate::rules::{Draft, rule};
use crate::tables::Practice;
use crate::tables::couplers::{Coupler, Side};

use super::halves::borne_by;

rule!(
    "plug-below-connector",
    Couplers,
    Error,
    "A plug rated below its connector: a device may draw more through the plug than it is made for."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    // Without a practice no coupler has a rating, which is an error of its own.
    let Some(practice) = analysis.practice() else {
        return;
    };
    for (id, kind) in analysis.model.cord_types.iter() {
        let legs = kind.legs.items().iter().map(|leg| &leg.connector);
        let connectors = std::iter::once(&kind.connector).chain(legs);
        // Legs are mostly alike: the first one says it.
        let mut found =
            connectors.filter_map(|connector| judged(practice, kind, connector.given()?));
        let users = || analysis.cords_of(id).cloned();
        findings.extend(
            found
                .next()
                .map(|draft| draft.suffered_by(users()).finish()),
        );
    }
}

/// The plain figure: what the part may carry by its own mark does not lower the face it offers.
fn rated(coupler: &Coupler, side: Side, practice: Practice) -> Option<(Current, Citation)> {
    let plain = coupler.rated_as(side, practice).current.as_ref()?;
    Some((plain.value, plain.citation.clone()))
}

fn judged(
    practice: Practice,
    kind: &Named<CordType>,
    connector: &Spanned<CouplerRef>,
) -> Option<Draft> {
    let plug = kind.plug.given()?;
    let (bears, plug_source) = rated(&plug.value, Side::Pins, practice)?;
    let (offers, connector_source) = rated(&connector.value, Side::Contacts, practice)?;
    if bears >= offers {
        return None;
    }
    let (plug_name, connector_name) = (&plug.value.name, &connector.value.name);
    let own = bears;
    let measure = Measure::below(bears, offers);
    let (bears, offers) = (bears.show(), offers.show());
    let headline = format!(
        "the plug of cord type {} can burn: its connector ({connector_name}) offers {offers}, and the plug ({plug_name}) bears {bears}",
        kind.name.value
    );
    let basis = [rule_of_cord_sets(), plug_source, connector_source];
    // A set that is marked for no more than its plug bears is made so on purpose.
    let is_marked_down = kind.rating.known().is_some_and(|rating| *rating <= own);
    let level = match practice {
        Practice::Iec if is_marked_down => Level::Note,
        Practice::Iec => borne_by(Level::Error, &basis),
        Practice::Nec => Level::Note,
    };
    let [rule_of_sets, sources @ ..] = basis;
    let note = format!("plug {plug_name}: {bears}");
    Some(
        Draft::new(&RULE, headline, plug.span, note, rule_of_sets)
            .level(level)
            .also(sources)
            .below([place(
                connector.span,
                format!("connector {connector_name}: {offers}"),
            )])
            .working([format!("{bears} is below {offers}")])
            .measured(measure)
            .advice(format!(
                "Use a plug rated at least {offers}, or a connector of {bears} or less."
            ))
            .about([kind.name.value.clone()]),
    )
}

fn rule_of_cord_sets() -> Citation {
    Citation::new("IEC 60799", "5.2.2", "2018", Confidence::OneCopy)
}
