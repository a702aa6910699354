//! `cord-too-long`: how much of a cord is left over?

use crate::citation::Citation;
use crate::finding::{Fact, Finding, Measure};
use crate::model::value::Spanned;
use crate::quantity::{InUnits, Length, Quantity, millimetres, show_pair};
use crate::rules::illegible::Illegible;
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
    let surplus = match allowed(survey) {
        Ok(Some(surplus)) => *surplus,
        Ok(None) => return,
        Err(fact) => {
            let mut illegible = Illegible::default();
            let cords = survey.model.cords.names().cloned().map(|name| name.value);
            let question = || "does more of a cord hang over than the site allows".to_owned();
            illegible.ask(&RULE, &fact, question).suffered_by(cords);
            return findings.extend(illegible.findings());
        }
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

/// How much of a cord may hang over: for the site to say, since no standard does.
fn allowed<'a>(survey: &Survey<'a>) -> Result<Option<&'a Spanned<Length>>, Fact> {
    let routing = survey.model.site.routing.written();
    let routing = routing.map_err(|at| Fact::unreadable_of_site("routing", at))?;
    let surplus = routing.map_or(Ok(None), |routing| routing.value.surplus.written());
    surplus.map_err(|at| Fact::unreadable_of_site("routing.surplus", at))
}

fn too_long(survey: &Survey<'_>, measured: &Measured, surplus: Spanned<Length>) -> Finding {
    let (length, way) = (measured.length, measured.route.length());
    let (over, allowed) = show_pair(length - way, surplus.value);
    let headline = format!(
        "{} is {} longer than its way: the surplus blocks the air behind the rack and hides labels. House limit {}",
        measured.describe(survey),
        survey.on_tape(millimetres((length - way).in_millimetres().round())),
        survey.on_tape(surplus.value)
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
