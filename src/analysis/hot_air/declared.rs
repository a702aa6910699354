//! What the makers of strips, cords and receptacles declare for air in which no plain rating holds.

use crate::analysis::Analysis;
use crate::analysis::halves::{Half, Owner};
use crate::graph::ElementKind;
use crate::model::cords::HotAir;
use crate::model::value::{Field, Spanned};
use crate::quantity::{Current, Temperature};

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
        Owner::Outlet(..) | Owner::PduPlug(_) | Owner::Inlet(_) => return None,
    };
    Some(&analysis.graph.cord_type(analysis.model, cord)?.hot_air)
}

/// Whether a maker answers for a half in this air: of a strip by its `ambient-limit`, for its outlets
/// and its own plug, of a cord and of a
/// receptacle by its `hot-air`.
pub(crate) fn is_answered_for(analysis: &Analysis<'_>, half: &Half<'_>, air: Temperature) -> bool {
    match half.owner {
        Owner::Outlet(pdu, _) | Owner::PduPlug(pdu) => {
            let model = analysis.graph.pdu_model(analysis.model, pdu);
            let limit = model.and_then(|model| model.ambient_limit.known());
            limit.is_some_and(|limit| *limit >= air)
        }
        Owner::Plug(_) | Owner::Connector(_) | Owner::Receptacle(_) => {
            of_part(analysis, half, air).is_some()
        }
        Owner::Inlet(_) => false,
    }
}
