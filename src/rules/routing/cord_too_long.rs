//! `cord-too-long`: how much of a cord is left over?

use crate::analysis::{Analysis, place};
use crate::citation::Citation;
use crate::finding::{Fact, Finding, Measure};
use crate::model::value::Spanned;
use crate::quantity::{InUnits, Length, Quantity, millimetres, show_pair};
use crate::rules::illegible::Illegible;
use crate::rules::rule;

use super::measured::{Measured, measure};
use super::stock::{is_above, next_length};

rule!(
    "cord-too-long",
    Routing,
    Note,
    "More cord than its way needs: the surplus blocks the air behind the rack and hides labels."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let surplus = match allowed(analysis) {
        Ok(Some(surplus)) => *surplus,
        Ok(None) => return,
        Err(fact) => {
            let mut illegible = Illegible::default();
            let cords = analysis.model.cords.names().cloned().map(|name| name.value);
            let question = || "does more of a cord hang over than the site allows".to_owned();
            illegible.ask(&RULE, &fact, question).suffered_by(cords);
            return findings.extend(illegible.findings());
        }
    };
    for (cord, _) in analysis.model.cords.iter() {
        for end in analysis.graph.links.cord_ends(cord) {
            let Some(Ok(measured)) = measure(analysis, cord, end.leg, end.at) else {
                continue;
            };
            if is_above(measured.length - measured.route.length(), surplus.value) {
                findings.push(too_long(analysis, &measured, surplus));
            }
        }
    }
}

/// How much of a cord may hang over: for the site to say, since no standard does.
fn allowed<'a>(analysis: &Analysis<'a>) -> Result<Option<&'a Spanned<Length>>, Fact> {
    let routing = analysis.model.site.routing.written();
    let routing = routing.map_err(|at| Fact::unreadable_of_site("routing", at))?;
    let surplus = routing.map_or(Ok(None), |routing| routing.value.surplus.written());
    surplus.map_err(|at| Fact::unreadable_of_site("routing.surplus", at))
}

fn too_long(analysis: &Analysis<'_>, measured: &Measured, surplus: Spanned<Length>) -> Finding {
    let (length, way) = (measured.length, measured.route.length());
    let (over, allowed) = show_pair(length - way, surplus.value);
    let headline = format!(
        "{} is {} longer than its way: the surplus blocks the air behind the rack and hides labels. House limit {}",
        measured.describe(analysis),
        analysis.on_tape(millimetres((length - way).in_millimetres().round())),
        analysis.on_tape(surplus.value)
    );
    let sum = format!(
        "{} − {} = {over}, above the {allowed} that the site allows",
        length.show(),
        way.show()
    );
    let advice = match next_length(analysis, measured.cord, way, Some(length)) {
        Some(shorter) => format!("Use {shorter}."),
        None => "Fold the surplus into one loose loop beside the rack, not coiled; no shorter length of the site would reach.".into(),
    };
    let house =
        Citation::common_practice("surplus above the site's own limit (site.routing.surplus)");
    measured
        .wrong_length(analysis, &RULE, headline, house)
        .above([place(surplus.span, format!("the site allows {allowed}"))])
        .working([sum])
        .measured(Measure::above(length - way, surplus.value))
        .advice(advice)
        .finish()
}
