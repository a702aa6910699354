//! The air at a coupler, and the air that its rating counts on.

use crate::citation::{Citation, Confidence};
use crate::model::value::Spanned;
use crate::quantity::{Ratio, Temperature, degrees_celsius, percent};
use crate::rules::couplers::halves::{Half, Owner};
use crate::source::Span;
use crate::survey::Survey;

/// The highest mean over a day of the air that IEC 60320 ratings count on.
pub(super) fn hottest_mean() -> (Temperature, Citation) {
    let clause = Citation::new("IEC 60320-1", "clause 1", "2021", Confidence::TwoCopies);
    (degrees_celsius(35.0), clause)
}

/// The share of its rating that a coupler may carry in hotter air. No standard was found that gives
/// a factor.
pub(super) fn share_in_hot_air() -> (Ratio, Citation) {
    let practice = Citation::common_practice("a coupler in hot air keeps a fifth in reserve");
    (percent(80.0), practice)
}

/// The air at a half: its PDU's or its device's zone; at a receptacle, the site's.
pub(super) fn air_at(survey: &Survey<'_>, half: &Half<'_>) -> Option<Spanned<Temperature>> {
    let zone = zone(survey, half);
    let own = zone.and_then(|zone| zone.ambient.given());
    own.or(survey.model.site.ambient.given()).copied()
}

fn zone<'a>(
    survey: &Survey<'a>,
    half: &Half<'_>,
) -> Option<&'a crate::model::value::Named<crate::model::places::Zone>> {
    match half.owner {
        Owner::Outlet(pdu, _) | Owner::PduPlug(pdu) => survey.zone_of_pdu(pdu),
        Owner::Inlet(inlet) => {
            let device = survey.graph.links.inlets[inlet as usize].device;
            survey.zone_of_device(device)
        }
        Owner::Connector(id) => survey
            .device_fed_by(id)
            .and_then(|device| survey.zone_of_device(device)),
        Owner::Plug(cord) => survey.graph.cord(cord).and_then(|id| {
            let pdu = survey.graph.pdu_of(id)?;
            survey.zone_of_pdu(pdu)
        }),
        Owner::Receptacle(_) => None,
    }
}

/// Where the temperature should stand.
pub(super) fn gap(survey: &Survey<'_>, half: &Half<'_>) -> Span {
    zone(survey, half).map_or(half.coupler.span, |zone| {
        crate::survey::field_or_name(&zone.ambient, &zone.name)
    })
}
