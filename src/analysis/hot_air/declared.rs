//! What the makers of strips, cords and receptacles declare for air in which no plain rating holds.

use crate::analysis::Analysis;
use crate::analysis::halves::{Half, Owner};
use crate::finding::Fact;
use crate::graph::{Carrier, ElementKind};
use crate::model::cords::HotAir;
use crate::model::optional::Stated;
use crate::model::pdus::Pdu;
use crate::model::value::{Field, Id, Spanned};
use crate::quantity::{Current, Temperature};
use crate::source::Span;

/// What the maker of a cord or a receptacle declares its couplers to carry in this air; `None` where he says
/// nothing of air so hot, or nothing that can be read.
pub(super) fn of_part<'a>(
    analysis: &Analysis<'a>,
    half: &Half<'_>,
    air: Temperature,
) -> Option<&'a Spanned<Current>> {
    let HotAir { at, amperes } = key(analysis, half)?.known()?;
    amperes
        .given()
        .filter(|_| at.known().is_some_and(|at| *at >= air))
}

/// Where it is written of a half that is no strip's.
fn key<'a>(analysis: &Analysis<'a>, half: &Half<'_>) -> Option<&'a Field<HotAir>> {
    let cord = match half.owner {
        Owner::Plug(cord) => cord,
        Owner::Connector(id) => match analysis.graph.kind(id) {
            ElementKind::Cord(cord) | ElementKind::Leg(cord, _) => cord,
            _ => return None,
        },
        Owner::Receptacle(circuit) => {
            return Some(&analysis.model.circuits[circuit].item.receptacle.hot_air);
        }
        Owner::Outlet(_) | Owner::PduPlug(_) | Owner::Inlet(_) => return None,
    };
    Some(&analysis.graph.cord_type(analysis.model, cord)?.hot_air)
}

/// The strip that a half is a part of.
fn strip(half: &Half<'_>) -> Option<Id<Pdu>> {
    match half.owner {
        Owner::Outlet(outlet) => match outlet.on {
            Carrier::Pdu(pdu) => Some(pdu),
            Carrier::Device(_) => None,
        },
        Owner::PduPlug(pdu) => Some(pdu),
        _ => None,
    }
}

/// What a maker might answer with for a half and that cannot be read.
pub(crate) fn unread_answer(analysis: &Analysis<'_>, half: &Half<'_>) -> Option<Fact> {
    match half.owner {
        Owner::Outlet(_) | Owner::PduPlug(_) => {
            let pdu = strip(half)?;
            let model = analysis.graph.pdu_model(analysis.model, pdu)?;
            let limit = &model.ambient_limit;
            limit.is_unreadable().then(|| {
                analysis.pdu_model_fact(pdu, |model| Fact::of(model, "ambient-limit", Some(limit)))
            })
        }
        Owner::Plug(_) | Owner::Connector(_) | Owner::Receptacle(_) => {
            let (key, at) = unread_declaration(key(analysis, half)?)?;
            let within = Field::<()>::Unreadable(at);
            Some(match half.owner {
                Owner::Receptacle(circuit) => {
                    let circuit = &analysis.model.circuits[circuit];
                    Fact::of(circuit, format!("receptacle.{key}"), Some(&within))
                }
                Owner::Plug(cord) => {
                    analysis.cord_type_fact(cord, |kind| Fact::of(kind, key, Some(&within)))
                }
                Owner::Connector(id) => match analysis.graph.kind(id) {
                    ElementKind::Cord(cord) | ElementKind::Leg(cord, _) => {
                        analysis.cord_type_fact(cord, |kind| Fact::of(kind, key, Some(&within)))
                    }
                    _ => return None,
                },
                _ => return None,
            })
        }
        Owner::Inlet(_) => None,
    }
}

/// The part of a declaration that cannot be read.
fn unread_declaration(field: &Field<HotAir>) -> Option<(&'static str, Span)> {
    match field {
        Field::Absent => None,
        Field::Unreadable(at) => Some(("hot-air", *at)),
        Field::Given(own) => match (&own.value.at, &own.value.amperes) {
            (Field::Unreadable(at), _) => Some(("hot-air.at", *at)),
            (_, Field::Unreadable(at)) => Some(("hot-air.amperes", *at)),
            _ => None,
        },
    }
}

/// Whether a maker answers for a half in this air: of a strip by its `ambient-limit`, for its outlets
/// and its own plug, of a cord and of a
/// receptacle by its `hot-air`.
pub(crate) fn is_answered_for(analysis: &Analysis<'_>, half: &Half<'_>, air: Temperature) -> bool {
    match half.owner {
        Owner::Outlet(_) | Owner::PduPlug(_) => {
            let model = strip(half).and_then(|pdu| analysis.graph.pdu_model(analysis.model, pdu));
            let limit = model.and_then(|model| model.ambient_limit.known());
            limit.is_some_and(|limit| *limit >= air)
        }
        Owner::Plug(_) | Owner::Connector(_) | Owner::Receptacle(_) => {
            of_part(analysis, half, air).is_some()
        }
        Owner::Inlet(_) => false,
    }
}
