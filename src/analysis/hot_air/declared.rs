//! What the makers of strips and cords declare for air in which no plain rating holds.

use crate::analysis::Analysis;
use crate::analysis::halves::{Half, Owner};
use crate::graph::ElementKind;
use crate::model::cords::HotAir;
use crate::model::value::Spanned;
use crate::quantity::{Current, Temperature};

/// What a cord's maker declares its couplers to carry in this air; `None` where he says nothing of
/// air so hot, or nothing that can be read.
pub(super) fn of_cord<'a>(
    analysis: &Analysis<'a>,
    half: &Half<'_>,
    air: Temperature,
) -> Option<&'a Spanned<Current>> {
    let cord = match half.owner {
        Owner::Plug(cord) => cord,
        Owner::Connector(id) => match analysis.graph.kind(id) {
            ElementKind::Cord(cord) | ElementKind::Leg(cord, _) => cord,
            _ => return None,
        },
        _ => return None,
    };
    let kind = analysis.graph.cord_type(analysis.model, cord)?;
    let HotAir { at, amperes } = kind.hot_air.known()?;
    amperes
        .given()
        .filter(|_| at.known().is_some_and(|at| *at >= air))
}

/// Whether a maker answers for a half in this air: of a strip by its `ambient-limit`, for its outlets
/// and its own plug, of a cord by its `hot-air`.
pub(crate) fn is_answered_for(analysis: &Analysis<'_>, half: &Half<'_>, air: Temperature) -> bool {
    match half.owner {
        Owner::Outlet(pdu, _) | Owner::PduPlug(pdu) => {
            let model = analysis.graph.pdu_model(analysis.model, pdu);
            let limit = model.and_then(|model| model.ambient_limit.known());
            limit.is_some_and(|limit| *limit >= air)
        }
        Owner::Plug(_) | Owner::Connector(_) => of_cord(analysis, half, air).is_some(),
        Owner::Receptacle(_) | Owner::Inlet(_) => false,
    }
}
