//! `cord-too-short`: does every cord reach along its way, with room to bend and to be drawn?

use crate::analysis::{Analysis, Lack, place};
use crate::finding::{Fact, Finding, Level, Measure};
use crate::graph::{CordFeed, Receiver};
use crate::model::cords::Cord;
use crate::model::value::{Field, Id, Spanned};
use crate::quantity::{Quantity, Tolerance, show_pair};
use crate::rules::illegible::Illegible;
use crate::rules::told_once::ToldOnce;
use crate::rules::{Draft, rule};

use super::measured::{Measured, measure};
use super::places::sharer;
use super::stock::{is_above, next_length, route_model};

rule!(
    "cord-too-short",
    Routing,
    Error,
    "A cord shorter than its way: it hangs on its couplers, and one that is pulled drops the load."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    if !analysis.gives_positions() {
        findings.extend(no_positions(analysis));
        return;
    }
    let (mut lacking, mut illegible) = (ToldOnce::default(), Illegible::default());
    for (cord, _) in analysis.model.cords.iter() {
        for end in analysis.graph.links.cord_ends(cord) {
            match measure(analysis, cord, end.leg, end.at) {
                Some(Ok(measured)) if is_above(measured.route.length(), measured.length) => {
                    findings.push(too_short(analysis, &measured));
                }
                Some(Ok(measured)) => match made_short(analysis, &measured) {
                    Ok(found) => findings.extend(found),
                    Err(fact) => {
                        let question = || format!("are cords of offer {} long enough", fact.owner);
                        let told = illegible.ask(&RULE, &fact, question);
                        told.suffered_by([analysis.model.cords[cord].name.value.clone()]);
                    }
                },
                Some(Err(lacks)) => {
                    for lack in lacks.iter().flatten() {
                        let told = lacking.tell(lack.fact.clone(), || not_measured(lack));
                        told.suffered_by(sharer(analysis, cord, end.at, lack).cloned());
                    }
                }
                None => {}
            }
        }
    }
    findings.extend(lacking.findings());
    findings.extend(illegible.findings());
}

fn too_short(analysis: &Analysis<'_>, measured: &Measured) -> Finding {
    let route = &measured.route;
    let what = measured.describe(analysis);
    let (needed, has) = show_pair(route.length(), measured.length);
    let cannot_reach = is_above(route.straight_line(), measured.length);
    let way = analysis.on_tape(analysis.rounded_up(route.length()));
    let own = analysis.on_tape(measured.length);
    let headline = if cannot_reach {
        format!("{what} ({own}) cannot reach: its way takes {way}")
    } else {
        let short = analysis.on_tape(analysis.rounded_up(route.length() - measured.length));
        format!(
            "{what} ({own}) is {short} short of its way ({way}): it pulls on its couplers, and one that slips off drops the load"
        )
    };
    // Geometry alone proves that a cord cannot reach; the rest is as firm as the site's own constants.
    let is_firm = cannot_reach || !route.rests_on_defaults();
    let longer = next_length(analysis, measured.cord, route.length(), None);
    let advice = match longer.filter(|_| !measured.is_line(analysis)) {
        None if measured.is_line(analysis) => {
            format!(
                "Use one cord of {way} or more in their place, or an outlet nearer to the inlet."
            )
        }
        Some(longer) => format!("Use {longer}, or an outlet nearer to the inlet."),
        None => {
            format!("Order a cord of {way} or more, or use an outlet nearer to the inlet.")
        }
    };
    measured
        .wrong_length(analysis, &RULE, headline, route_model())
        .level(if is_firm { RULE.level } else { Level::Warning })
        .measured(Measure::below(measured.length, route.length()))
        .working([format!("{needed} is more than the {has} of the cord")])
        .advice(advice)
        .finish()
}

/// A cord that reaches, and that its supplier may make so short that it does not.
///
/// # Errors
/// The tolerance that cannot be read, where no other makes it too short.
fn made_short(analysis: &Analysis<'_>, measured: &Measured) -> Result<Option<Finding>, Fact> {
    let within = analysis.made_within(measured.cord);
    let known = within.filter_map(|(_, tolerance)| tolerance.given());
    let worst = known.reduce(|a, b| if b.value.minus > a.value.minus { b } else { a });
    if let Some(worst) = worst
        && is_above(measured.route.length(), measured.length - worst.value.minus)
    {
        return Ok(Some(too_short_as_made(analysis, measured, worst)));
    }
    let mut within = analysis.made_within(measured.cord);
    let unread = within.find_map(|(offer, tolerance)| match tolerance {
        Field::Unreadable(at) => Some(Fact::unreadable(offer, "tolerance", *at)),
        Field::Given(_) | Field::Absent => None,
    });
    unread.map_or(Ok(None), Err)
}

fn too_short_as_made(
    analysis: &Analysis<'_>,
    measured: &Measured,
    tolerance: &Spanned<Tolerance>,
) -> Finding {
    let way = measured.route.length();
    let shortest = measured.length - tolerance.value.minus;
    let what = measured.describe(analysis);
    let own = analysis.on_tape(measured.length);
    let needed = analysis.on_tape(analysis.rounded_up(way));
    let made = tolerance.value.show();
    let headline = format!(
        "{what} ({own}) may come shorter than its way ({needed}): its supplier makes it within {made}"
    );
    let (needed, has) = show_pair(way, shortest);
    let draft = measured
        .wrong_length(analysis, &RULE, headline, route_model())
        .above([place(tolerance.span, format!("made within {made}"))])
        .level(Level::Warning)
        .kind("tolerance")
        .measured(Measure::below(shortest, way))
        .working([format!(
            "{needed} is more than the {has} of the shortest that may come"
        )])
        .advice("Order the next length, or agree with the supplier that none is made shorter.");
    draft.finish()
}

fn not_measured(lack: &Lack) -> Draft {
    let (owner, how) = (lack.fact.whose(), lack.how());
    let name = match lack.fact.owner.as_str() {
        "" => "site",
        name => name,
    };
    let headline = format!(
        "are the cords at {owner} long enough? Wanted: {}, which {}",
        lack.missing, how
    );
    let note = format!("not decided: {} {how}", lack.missing);
    Draft::new(&RULE, headline, lack.fact.span, note, route_model())
        .wants([lack.fact.clone()])
        .about([name])
        .advice(format!(
            "Give {owner} {}; measure in the rack where nobody knows.",
            lack.missing
        ))
}

/// One word for a site that never says where its things are.
fn no_positions(analysis: &Analysis<'_>) -> Option<Finding> {
    let links = &analysis.graph.links;
    let measurable = |(cord, _): &(Id<Cord>, _)| {
        let from = matches!(links.line_feed(*cord), Some(CordFeed::Outlet(..)));
        let ends = links.cord_ends(*cord);
        from && ends.iter().any(|end| matches!(end.at, Receiver::Inlet(_)))
    };
    let (_, first) = analysis.model.cords.iter().find(measurable)?;
    let at = analysis.site_place().unwrap_or(first.name.span);
    let headline =
        "are the cords long enough? Missing: where strips, outlets and devices are in their racks";
    let draft = Draft::new(&RULE, headline, at, "not decided: no positions are given", route_model())
        .wants([Fact::of_site("positions", &Field::<()>::Absent, at)])
        .about(["site"])
        .advice("Look in the racks, and write `mount` of each PDU, `outlet-pitch` and `first-outlet` of each PDU model, and `at` (the lowest rack unit) of each device; or switch the rule off for the site and say why.");
    Some(draft.finish())
}
