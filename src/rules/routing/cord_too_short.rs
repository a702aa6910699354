//! `cord-too-short`: does every cord reach along its way, with room to bend and to be drawn?

use std::collections::BTreeSet;

use crate::finding::{Finding, Level};
use crate::graph::{CordFeed, Receiver};
use crate::model::cords::Cord;
use crate::model::value::Id;
use crate::quantity::{Length, Quantity, show_pair};
use crate::rules::{Draft, rule};
use crate::source::Span;
use crate::survey::{Lack, Route, Survey};

use super::stock::{
    chosen_at, device, is_above, missing_length, names, next_length, rounded_up, route_model,
    strip, type_length,
};

rule!(
    "cord-too-short",
    Routing,
    Error,
    "A cord shorter than its way: it hangs on its couplers, and one that is pulled drops the load."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    if !survey.gives_positions() {
        findings.extend(no_positions(survey));
        return;
    }
    let mut lacking = BTreeSet::new();
    for (cord, _) in survey.model.cords.iter() {
        for end in survey.graph.links.cord_ends(cord) {
            match survey.route(cord, end.at) {
                Some(Ok(route)) => against_route(
                    survey,
                    cord,
                    end.leg,
                    end.at,
                    &route,
                    &mut lacking,
                    findings,
                ),
                Some(Err(lacks)) => {
                    let lacks = lacks.into_iter().flatten();
                    findings.extend(
                        lacks
                            .filter(|lack| lacking.insert(lack.span))
                            .map(not_measured),
                    );
                }
                None => {}
            }
        }
    }
}

fn against_route(
    survey: &Survey<'_>,
    cord: Id<Cord>,
    leg: Option<u32>,
    end: Receiver,
    route: &Route,
    lacking: &mut BTreeSet<Span>,
    findings: &mut Vec<Finding>,
) {
    match survey.length_of(cord, leg) {
        Some(length) if is_above(route.length(), length) => {
            findings.push(too_short(survey, cord, leg, end, route, length));
        }
        Some(_) => {}
        None => {
            let lack = missing_length(survey, cord, leg);
            if lacking.insert(lack.span) {
                findings.push(not_measured(lack));
            }
        }
    }
}

fn too_short(
    survey: &Survey<'_>,
    cord: Id<Cord>,
    leg: Option<u32>,
    end: Receiver,
    route: &Route,
    length: Length,
) -> Finding {
    let (what, name) = names(survey, cord, leg);
    let (needed, has) = show_pair(route.length(), length);
    let cannot_reach = is_above(route.straight_line(), length);
    let headline = if cannot_reach {
        format!("{what} is {has} long and cannot reach: its way takes {needed}")
    } else {
        format!(
            "{what} is {has} long and its way takes {needed}: it pulls on its couplers, and a connector that slips off drops the load"
        )
    };
    // Geometry alone proves that a cord cannot reach; the rest is as firm as the site's own constants.
    let is_firm = cannot_reach || !route.rests_on_defaults();
    let mut working = route.working();
    working.push(format!("{needed} is more than the {has} of the cord"));
    let advice = match next_length(survey, cord, route.length(), None) {
        Some(longer) => format!("Take {longer}, or an outlet nearer to the inlet."),
        None => {
            let least = rounded_up(route.length()).show();
            format!("Order a cord of {least} or more, or take an outlet nearer to the inlet.")
        }
    };
    Draft::new(
        &RULE,
        headline,
        chosen_at(survey, cord),
        format!("{what}: {has}"),
        route_model(),
    )
    .level(if is_firm { RULE.level } else { Level::Warning })
    .above(strip(survey, cord))
    .below(type_length(survey, cord))
    .below(device(survey, end))
    .working(working)
    .advice(advice)
    .about([name])
    .finish()
}

fn not_measured(lack: Lack<'_>) -> Finding {
    let (owner, name) = match lack.owner {
        Some(owner) => (
            format!("{} {}", lack.what, owner.value),
            owner.value.clone(),
        ),
        None => ("the site".into(), "site".into()),
    };
    let headline = format!(
        "whether the cords at {owner} are long enough cannot be said: {} {}",
        lack.missing, lack.how
    );
    let note = format!("{} {}", lack.missing, lack.how);
    Draft::new(&RULE, headline, lack.span, note, route_model())
        .open()
        .about([name])
        .advice(format!(
            "Give {owner} {}; measure in the rack where nobody knows.",
            lack.missing
        ))
        .finish()
}

/// One word for a site that never says where its things are.
fn no_positions(survey: &Survey<'_>) -> Option<Finding> {
    let links = &survey.graph.links;
    let measurable = |(cord, _): &(Id<Cord>, _)| {
        let from = matches!(links.cord_feeds[cord.index()], Some(CordFeed::Outlet(..)));
        let ends = links.cord_ends(*cord);
        from && ends.iter().any(|end| matches!(end.at, Receiver::Inlet(_)))
    };
    let (_, first) = survey.model.cords.iter().find(measurable)?;
    let at = survey.site_place().unwrap_or(first.name.span);
    let headline = "whether the cords are long enough cannot be said: the site gives no positions in its racks";
    let draft = Draft::new(&RULE, headline, at, "no positions are given", route_model())
        .open()
        .about(["site"])
        .advice("Write the mount of each PDU, the outlet-pitch and first-outlet of each PDU model, and the lowest rack unit (at) of each device; or switch the rule off for the site and say why.");
    Some(draft.finish())
}
