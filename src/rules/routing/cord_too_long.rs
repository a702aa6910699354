//! `cord-too-long`: how much of a cord is left over?

use crate::citation::Citation;
use crate::finding::Finding;
use crate::graph::Receiver;
use crate::model::cords::Cord;
use crate::model::value::{Id, Spanned};
use crate::quantity::{Length, Quantity, show_pair};
use crate::rules::{Draft, rule};
use crate::survey::{Route, Survey, place};

use super::stock::{
    chosen_at, device, is_above, names, next_length, route_model, strip, type_length,
};

rule!(
    "cord-too-long",
    Routing,
    Note,
    "More cord than its way needs: the surplus blocks the air behind the rack and hides labels."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    // How much may hang over is for the site to say; no standard does.
    let surplus = survey
        .model
        .site
        .routing
        .get()
        .and_then(|routing| routing.surplus.given());
    let Some(&surplus) = surplus else {
        return;
    };
    for (cord, _) in survey.model.cords.iter() {
        for end in survey.graph.links.cord_ends(cord) {
            let Some(Ok(route)) = survey.route(cord, end.at) else {
                continue;
            };
            let length = survey.length_of(cord, end.leg);
            if let Some(length) =
                length.filter(|length| is_above(*length - route.length(), surplus.value))
            {
                findings.push(too_long(
                    survey,
                    (cord, end.leg),
                    end.at,
                    &route,
                    length,
                    surplus,
                ));
            }
        }
    }
}

fn too_long(
    survey: &Survey<'_>,
    (cord, leg): (Id<Cord>, Option<u32>),
    end: Receiver,
    route: &Route,
    length: Length,
    surplus: Spanned<Length>,
) -> Finding {
    let (what, name) = names(survey, cord, leg);
    let (over, allowed) = show_pair(length - route.length(), surplus.value);
    let headline = format!(
        "{what} is {over} longer than its way: the surplus blocks the air behind the rack and hides labels (the site allows {allowed})"
    );
    let mut working = route.working();
    working.push(format!(
        "{} − {} = {over}, above the {allowed} that the site allows",
        length.show(),
        route.length().show()
    ));
    let advice = match next_length(survey, cord, route.length(), Some(length)) {
        Some(shorter) => format!("Take {shorter}."),
        None => "Stow the surplus in a loose bight beside the rack, not coiled; no shorter length of the site would reach.".into(),
    };
    let house =
        Citation::common_practice("surplus above the site's own limit (site.routing.surplus)");
    Draft::new(
        &RULE,
        headline,
        chosen_at(survey, cord),
        format!("{what}: {}", length.show()),
        house,
    )
    .also([route_model()])
    .above([place(surplus.span, format!("the site allows {allowed}"))])
    .above(strip(survey, cord))
    .below(type_length(survey, cord))
    .below(device(survey, end))
    .working(working)
    .advice(advice)
    .about([name])
    .finish()
}
