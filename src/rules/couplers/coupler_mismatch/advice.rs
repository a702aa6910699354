//! What to do about two halves that do not go together. Nothing is advised that would fit a half of
//! another voltage.

use crate::analysis::Analysis;
use crate::quantity::Quantity;
use crate::tables::couplers::Coupler;
use crate::tables::mating;

use super::super::catalogue;
use super::super::halves::{Half, Owner};
use super::super::stress::{Stress, made_for};
use super::Apart;
use super::blame::Blame;

pub(super) fn advice(analysis: &Analysis<'_>, apart: &Apart<'_>, blame: Blame) -> String {
    match blame {
        Blame::Own => other_cord(analysis, apart),
        Blame::Mate => other_mate(analysis, apart),
        Blame::Both => neither(analysis, apart),
        Blame::NotKnown => not_known(apart),
    }
}

/// What it should be fitted to is right: another cord, or another PDU.
fn other_cord(analysis: &Analysis<'_>, apart: &Apart<'_>) -> String {
    let (own, mate) = (&apart.own, &apart.mate);
    let never = "never force the two together.";
    if let Some(kind) = catalogue::instead(analysis, apart.pair.id, |_| true) {
        return format!("Use cord type {kind} here; {never}");
    }
    match (fitting(analysis, apart), own.owner) {
        (Some(fitting), Owner::PduPlug(_)) => {
            format!("Use a PDU with a plug {fitting} here; {never}")
        }
        (Some(fitting), Owner::Connector(_)) => {
            format!("Order a cord with a connector {fitting} here; {never}")
        }
        (Some(fitting), _) => format!("Order a cord with a plug {fitting} here; {never}"),
        (None, _) => format!(
            "Ask for the mate of {} by its standard; {never}",
            mate.name()
        ),
    }
}

/// The surest mate that suits the voltage.
fn fitting(analysis: &Analysis<'_>, apart: &Apart<'_>) -> Option<&'static Coupler> {
    let mate = &apart.mate.coupler.value;
    let all = match apart.own.owner {
        Owner::Connector(_) => mating::suitable_for_inlet(mate),
        _ => mating::suitable_plugs_for(mate),
    };
    let stress = Stress::at(analysis, apart.pair.id);
    let suits = |coupler: &Coupler| stress.is_none_or(|at| at.misfit(coupler).is_none());
    all.into_iter().find(|coupler| suits(coupler))
}

/// What it should be fitted to is made for another voltage than it has.
fn other_mate(analysis: &Analysis<'_>, apart: &Apart<'_>) -> String {
    let (what, own) = (apart.mate.what(analysis), apart.own.name());
    match apart.mate.owner {
        Owner::Receptacle(_) => format!(
            "Fit no other plug: leave {what} unused, have an electrician prove its voltage, and have it changed to {own}."
        ),
        Owner::Inlet(_) => format!(
            "Fit no other connector: leave {what} unplugged, and feed the device from a circuit of its own voltage."
        ),
        _ => format!(
            "Fit no other plug: leave {what} unused until an electrician has proved its voltage."
        ),
    }
}

/// Both are made for another voltage.
fn neither(analysis: &Analysis<'_>, apart: &Apart<'_>) -> String {
    let (own, mate) = (apart.own.what(analysis), apart.mate.what(analysis));
    let there = Stress::at(analysis, apart.pair.id).map_or_else(
        || "the voltage there".into(),
        |stress| stress.voltage.show(),
    );
    format!(
        "Use neither: have an electrician prove the voltage, and change {mate} and {own} to couplers made for {there}."
    )
}

fn not_known(apart: &Apart<'_>) -> String {
    let says = |half: &Half<'_>| {
        let rated = half.coupler.value.voltage.as_ref();
        let says = rated.map_or_else(
            || "no voltage that is known".into(),
            |rated| made_for(rated.value),
        );
        format!("{} says {says}", half.name())
    };
    format!(
        "Find out the voltage of the circuit first: {}, {}. Change the one that is wrong for it; never fit a plug of another voltage.",
        says(&apart.mate),
        says(&apart.own)
    )
}
