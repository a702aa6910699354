//! `cord-too-long`: how much of a cord is left over?

use crate::citation::Citation;
use crate::finding::{Finding, Measure};
use crate::model::value::Spanned;
use crate::quantity::{Length, Quantity, show_pair};
use crate::rules::rule;
use crate::survey::{Survey, place};

use super::measured::{Measured, measure};
use super::stock::{is_above, next_length};

rule!(
    "cord-too-long",
    Routing,
    Note,
    "More cord than its way needs: the surplus blocks the air behind the rack and hides labels."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    // How much may hang over is for the site to say; no standard does.
    let routing = survey.model.site.routing.get();
    let Some(&surplus) = routing.and_then(|routing| routing.surplus.given()) else {
        return;
    };
    for (cord, _) in survey.model.cords.iter() {
        for end in survey.graph.links.cord_ends(cord) {
            let Some(Ok(measured)) = measure(survey, cord, end.leg, end.at) else {
                continue;
            };
            if is_above(measured.length - measured.route.length(), surplus.value) {
                findings.push(too_long(survey, &measured, surplus));
            }
        }
    }
}

fn too_long(survey: &Survey<'_>, measured: &Measured, surplus: Spanned<Length>) -> Finding {
    let (length, way) = (measured.length, measured.route.length());
    let (over, allowed) = show_pair(length - way, surplus.value);
    let headline = format!(
        "{} is {over} longer than its way, and the site allows {allowed}: the surplus blocks the air behind the rack and hides labels",
        measured.describe(survey)
    );
    let sum = format!(
        "{} − {} = {over}, above the {allowed} that the site allows",
        length.show(),
        way.show()
    );
    let advice = match next_length(survey, measured.cord, way, Some(length)) {
        Some(shorter) => format!("Use {shorter}."),
        None => "Stow the surplus in a loose bight beside the rack, not coiled; no shorter length of the site would reach.".into(),
    };
    let house =
        Citation::common_practice("surplus above the site's own limit (site.routing.surplus)");
    measured
        .wrong_length(survey, &RULE, headline, house)
        .above([place(surplus.span, format!("the site allows {allowed}"))])
        .working([sum])
        .measured(Measure::above(length - way, surplus.value))
        .advice(advice)
        .finish()
}
