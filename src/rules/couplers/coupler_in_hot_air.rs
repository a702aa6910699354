//! `coupler-in-hot-air`: is a coupler nearly at its rating in air hotter than its standard counts on?

use std::collections::BTreeMap;

use crate::citation::{Citation, Confidence};
use crate::finding::Finding;
use crate::flow::Worst;
use crate::graph::ElementId;
use crate::model::value::Spanned;
use crate::quantity::{
    Current, InUnits, Quantity, Ratio, Temperature, degrees_celsius, percent, show_pair,
};
use crate::rules::{Draft, rule};
use crate::source::Span;
use crate::survey::{Survey, exceeds, place};
use crate::tables::couplers::Family;

use super::halves::{Half, Owner, pairs};
use super::unknown_load::UnknownLoads;

rule!(
    "coupler-in-hot-air",
    Couplers,
    Warning,
    "A coupler loaded near its rating in air above 35 °C: its contacts age fast and may overheat."
);

/// The highest mean over a day of the air that IEC 60320 ratings count on.
fn hottest_mean() -> (Temperature, Citation) {
    let clause = Citation::new("IEC 60320-1", "clause 1", "2021", Confidence::TwoCopies);
    (degrees_celsius(35.0), clause)
}

/// The share of its rating that a coupler may carry in hotter air. No standard was found that gives
/// a factor.
fn share_in_hot_air() -> (Ratio, Citation) {
    let practice = Citation::common_practice("a coupler in hot air keeps a fifth in reserve");
    (percent(80.0), practice)
}

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    if survey.practice().is_none() {
        return;
    }
    let mut unknown = Unknown::default();
    for (id, _) in survey.graph.elements() {
        let Some(worst) = survey.flows.worst(survey.graph, id) else {
            continue;
        };
        findings.extend(judged(survey, id, worst, &mut unknown));
    }
    let (_, clause) = hottest_mean();
    let question = "a coupler is nearly at its rating in hot air";
    unknown
        .loads
        .report(survey, &RULE, question, |_| clause.clone(), findings);
    findings.extend(unknown.air.into_iter().map(|(span, (what, id))| {
        let headline = format!(
            "whether the air at {what} is too hot for its load cannot be said: the air temperature is missing"
        );
        Draft::new(&RULE, headline, span, "not decided: the ambient is missing", clause.clone())
            .open()
            .about([survey.full_name(id)])
            .kind("air")
            .advice("Write the zone's `ambient`: the air at the couplers, on the hot side of the rack.")
            .finish()
    }));
}

/// What stays open: by device its load, by zone its air.
#[derive(Default)]
struct Unknown {
    loads: UnknownLoads,
    air: BTreeMap<Span, (String, ElementId)>,
}

/// The half of an element that is nearest to its rating, if it is too near for the air it is in.
fn judged(
    survey: &Survey<'_>,
    id: ElementId,
    worst: Worst,
    unknown: &mut Unknown,
) -> Option<Finding> {
    let (limit, _) = hottest_mean();
    let (share, _) = share_in_hot_air();
    let mut found: Option<(Half<'_>, Spanned<Temperature>, Current)> = None;
    for pair in pairs(survey, id) {
        let plug = pair.pins.map(|pins| pins.coupler.value);
        for half in pair.halves() {
            let is_appliance_coupler = half.coupler.value.family == Family::Iec60320;
            let air = air_at(survey, &half);
            let is_cool = air.is_some_and(|air| air.value <= limit);
            if !is_appliance_coupler || is_cool {
                continue;
            }
            let rating = survey.coupler_rating(half.coupler.value, plug, half.mark);
            let Some(rating) = rating.current() else {
                continue;
            };
            if !exceeds(worst.current, rating * share) {
                unknown.loads.meet(survey, id);
                continue;
            }
            match air {
                None => {
                    let entry = (half.what(survey), id);
                    unknown.air.entry(gap(survey, &half)).or_insert(entry);
                }
                Some(air) => {
                    if found.is_none_or(|(_, _, lowest)| rating < lowest) {
                        found = Some((half, air, rating));
                    }
                }
            }
        }
    }
    let (half, air, rating) = found?;
    Some(too_hot(survey, id, worst, &half, air, rating))
}

/// The air at a half: its PDU's or its device's zone; at a receptacle, the site's.
fn air_at(survey: &Survey<'_>, half: &Half<'_>) -> Option<Spanned<Temperature>> {
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
fn gap(survey: &Survey<'_>, half: &Half<'_>) -> Span {
    zone(survey, half).map_or(half.coupler.span, |zone| {
        crate::survey::field_or_name(&zone.ambient, &zone.name)
    })
}

fn too_hot(
    survey: &Survey<'_>,
    id: ElementId,
    worst: Worst,
    half: &Half<'_>,
    air: Spanned<Temperature>,
    rating: Current,
) -> Finding {
    let (limit, clause) = hottest_mean();
    let (share, practice) = share_in_hot_air();
    let (current, most) = show_pair(worst.current, rating * share);
    let loaded = 100.0 * worst.current.in_amperes() / rating.in_amperes();
    let rating = rating.show();
    let air_shown = air.value.show();
    let headline = format!(
        "{} ({}) carries {current} {}, {loaded:.0} % of its {rating}, in air at {air_shown}: its contacts may overheat",
        half.what(survey),
        half.name(),
        survey.when(worst.lost),
    );
    let note = format!("{}: {rating}, in air up to {}", half.name(), limit.show());
    Draft::new(&RULE, headline, half.coupler.span, note, clause)
        .also([practice])
        .above([place(air.span, format!("air at {air_shown}")), survey.hop(id)])
        .below(survey.moved_places(id, worst.lost))
        .working(survey.load_working(id, worst))
        .working([format!("{rating} × {} = {most}; {current} is above it", share.show())])
        .advice("Cool the place, lower the load, or ask the maker of the coupler what it bears in this air.")
        .about([survey.full_name(id)])
        .finish()
}
