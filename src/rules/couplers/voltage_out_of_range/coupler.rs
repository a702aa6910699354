//! The rated voltage and the keying of couplers.

use crate::finding::{Finding, Level};
use crate::graph::ElementId;
use crate::quantity::{Quantity, show_pair};
use crate::rules::Draft;
use crate::rules::couplers::halves::{Half, Owner, borne_by};
use crate::survey::Survey;

use super::RULE;
use crate::rules::couplers::stress::Misfit;

/// A coupler that is not made for the voltage at it, or whose name does not say.
pub(super) fn misfitting(
    survey: &Survey<'_>,
    id: ElementId,
    half: &Half<'_>,
    misfit: Misfit,
) -> Finding {
    let (what, name) = (half.what(survey), half.name());
    let at = half.coupler.span;
    let draft = match &misfit {
        Misfit::NotSaid { voltage, source } => {
            let headline = format!(
                "Whether {what} ({name}) suits {} cannot be said: the position of its earth contact is missing",
                voltage.show()
            );
            Draft::new(
                &RULE,
                headline,
                at,
                "not decided: the hour is missing",
                source.clone(),
            )
            .open()
            .advice("Write the hour after the name, as moulded on the part: `6h`, `9h`.")
        }
        Misfit::Above {
            voltage,
            limit,
            source,
        } => {
            let (voltage, limit) = show_pair(*voltage, *limit);
            let headline = format!(
                "{what} ({name}) is made for up to {limit} and is at {voltage}: it may flash over, and equipment for {limit} can be plugged in and burn"
            );
            Draft::new(
                &RULE,
                headline,
                at,
                format!("{name}: up to {limit}"),
                source.clone(),
            )
            .level(borne_by(Level::Error, std::slice::from_ref(source)))
            .working([format!("{voltage} is above {limit}")])
            .advice("Use a coupler made for this voltage, or the right circuit for this coupler.")
        }
        Misfit::Below {
            voltage,
            limit,
            source,
        } => {
            let (voltage, limit) = show_pair(*voltage, *limit);
            let headline = format!(
                "{what} ({name}) is keyed for {limit} or more and is at {voltage}: equipment of another voltage can be plugged in"
            );
            Draft::new(
                &RULE,
                headline,
                at,
                format!("{name}: from {limit}"),
                source.clone(),
            )
            .level(borne_by(Level::Error, std::slice::from_ref(source)))
            .working([format!("{voltage} is below {limit}")])
            .advice("Fit the coupler with the earth position of this voltage.")
        }
    };
    let kind = match half.owner {
        Owner::Outlet(..) | Owner::Receptacle(_) => "outlet",
        Owner::Plug(_) | Owner::PduPlug(_) => "plug",
        Owner::Connector(_) => "connector",
        Owner::Inlet(_) => "inlet",
    };
    draft
        .above([survey.hop(id)])
        .about([survey.full_name(id)])
        .kind(kind)
        .finish()
}
