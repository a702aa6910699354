//! Whether a supply brings a protective conductor at all.

use crate::analysis::Analysis;
use crate::citation::Citation;
use crate::graph::{ElementId, ElementKind};
use crate::model::circuits::{Earthing, ProtectiveConductor, Supply};
use crate::model::value::{Field, Named, Spanned};
use crate::quantity::{Quantity, SystemMarking};
use crate::source::Span;
use crate::tables::Practice;

use super::gap::Gap;

/// A supply that is said to have none, or of which nobody says whether it has one.
pub(super) fn gap_of_supply(analysis: &Analysis<'_>, id: ElementId) -> Option<Gap> {
    let ElementKind::Supply(supply) = analysis.graph.kind(id) else {
        return None;
    };
    let supply = &analysis.model.supplies[supply];
    let a_protective_conductor = analysis.words().a_protective_conductor;
    match &supply.protective_conductor {
        Field::Given(Spanned { value, span }) => match value {
            ProtectiveConductor::Yes => None,
            ProtectiveConductor::None => Some(none(analysis, id, *span)),
        },
        Field::Unreadable(span) => Some(unsaid(
            id,
            *span,
            "not decided: `protective-conductor` cannot be read",
            format!(
                "whether {} has {a_protective_conductor} cannot be read",
                analysis.describe(id)
            ),
        )),
        Field::Absent => unmarked(analysis, supply).map(|marking| {
            let shown = marking.value.show();
            let why = format!(
                "the marking {shown} of {} says nothing of {a_protective_conductor}",
                analysis.describe(id)
            );
            unsaid(id, marking.span, "not decided: no PE is marked", why)
        }),
    }
}

/// A marking that leaves out what it should name. North American markings never name a protective
/// conductor, and neither do those of systems whose equipment has an electrode of its own.
fn unmarked<'a>(
    analysis: &Analysis<'_>,
    supply: &'a Named<Supply>,
) -> Option<&'a Spanned<SystemMarking>> {
    let marking = supply.system.given()?;
    let mut states = supply.states();
    let names_none = analysis.practice() == Some(Practice::Nec)
        || states.all(|state| state.earthed() == Some(Earthing::Tt));
    (!marking.value.protective_earth && !names_none).then_some(marking)
}

fn none(analysis: &Analysis<'_>, id: ElementId, at: Span) -> Gap {
    let protective_conductor = analysis.words().protective_conductor;
    Gap {
        id,
        at,
        note: format!("no {protective_conductor}"),
        why: format!("{} has no {protective_conductor}", analysis.describe(id)),
        mate: None,
        source: Citation::marked("the supply as it was looked at"),
        kind: "supply",
        is_open: false,
        wants: None,
    }
}

fn unsaid(id: ElementId, at: Span, note: &str, why: String) -> Gap {
    Gap {
        id,
        at,
        note: note.into(),
        why,
        mate: None,
        source: Citation::marked("the supply as it is marked"),
        kind: "marking",
        is_open: true,
        wants: None,
    }
}
