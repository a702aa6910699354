//! `wrong-feed`: does every inlet that is declared for a feed land on it?

use std::collections::BTreeSet;

use crate::citation::Citation;
use crate::finding::Finding;
use crate::graph::{ElementId, InletLink};
use crate::model::circuits::Supply;
use crate::model::value::{Field, Id, Name, Spanned};
use crate::rules::{Draft, rule};
use crate::source::Span;
use crate::survey::{Survey, place};

rule!(
    "wrong-feed",
    Identity,
    Error,
    "An inlet declared for one feed lands on another: the loss or isolation of one feed may take the device down."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    let mut without_feed = BTreeSet::new();
    for inlet in &survey.graph.links.inlets {
        let declared = match declared(survey, inlet) {
            Some(Field::Given(feed)) => feed,
            Some(Field::Unreadable(at)) => {
                findings.push(unreadable(survey, inlet, *at));
                continue;
            }
            _ => continue,
        };
        let Some((fed_by, supply)) = landing(survey, inlet) else {
            continue;
        };
        match &survey.model.supplies[supply].feed {
            Field::Given(feed) if feed.value == declared.value => {}
            Field::Given(feed) => findings.push(wrong(survey, inlet, fed_by, declared, feed)),
            _ if without_feed.insert(supply) => findings.push(no_feed(survey, supply, declared)),
            _ => {}
        }
    }
}

/// The feed that an inlet is declared for: the device's own word before its model's.
fn declared<'a>(survey: &Survey<'a>, inlet: &InletLink) -> Option<&'a Field<Name>> {
    let device = &survey.model.devices[inlet.device];
    let model = survey.graph.device_model(survey.model, inlet.device)?;
    let of_model = model.inlets.items().get(inlet.inlet as usize)?;
    let own = device.item.inlets.named(&of_model.name.value);
    let own = own.map(|(_, own)| &own.feed).filter(|own| !own.is_absent());
    Some(own.unwrap_or(&of_model.feed))
}

/// The cord or leg that feeds an inlet, and the supply at its head.
fn landing(survey: &Survey<'_>, inlet: &InletLink) -> Option<(ElementId, Id<Supply>)> {
    let fed_by = survey.graph.feeding(inlet)?;
    Some((fed_by, survey.graph.supply_of(fed_by)?))
}

fn wrong(
    survey: &Survey<'_>,
    inlet: &InletLink,
    fed_by: ElementId,
    declared: &Spanned<Name>,
    lands_on: &Spanned<Name>,
) -> Finding {
    let name = survey.inlet_name(inlet);
    let (wanted, found) = (&declared.value, &lands_on.value);
    let cord_name = survey.full_name(fed_by);
    let cord = inlet.fed_by.map(|(cord, _)| &survey.model.cords[cord]);
    let at = cord.map_or(lands_on.span, |cord| {
        cord.from.span().unwrap_or(cord.name.span)
    });
    let advice = match swap(survey, inlet, wanted, found) {
        Some(other) => format!(
            "Swap cords {cord_name} and {other} at their inlets, one at a time, and prove each feed before the next is moved."
        ),
        None => format!(
            "Plug cord {cord_name} into an outlet on feed {wanted}, after its load there has been checked."
        ),
    };
    Draft::new(
        &RULE,
        format!(
            "inlet {name} is declared for feed {wanted}, but cord {cord_name} puts it on feed {found}: whoever isolates feed {wanted} finds it still live, and the loss of feed {found} may drop the device"
        ),
        at,
        format!("leads to feed {found}"),
        Citation::marked("the feed declared for the inlet"),
    )
    .above([place(lands_on.span, format!("feed {found}"))])
    .above(survey.hops_above(fed_by))
    .below([place(declared.span, format!("inlet {name}: feed {wanted}"))])
    .about([cord_name.clone(), name.clone()])
    .advice(advice)
    .finish()
}

/// The cord at another inlet of the device that has the same fault the other way round.
fn swap(
    survey: &Survey<'_>,
    inlet: &InletLink,
    wanted: &Name,
    found: &Name,
) -> Option<smol_str::SmolStr> {
    let others = survey.graph.links.inlets_of(inlet.device);
    let crossed = others.map(|(_, other)| other).find(|other| {
        let lands_on =
            landing(survey, other).and_then(|(_, supply)| survey.model.supplies[supply].feed.get());
        declared(survey, other).and_then(Field::get) == Some(found) && lands_on == Some(wanted)
    })?;
    Some(survey.full_name(survey.graph.feeding(crossed)?))
}

fn no_feed(survey: &Survey<'_>, supply: Id<Supply>, declared: &Spanned<Name>) -> Finding {
    let supply = &survey.model.supplies[supply];
    let name = &supply.name.value;
    Draft::new(
        &RULE,
        format!("whether inlets land on the feed declared for them cannot be said: the feed of supply {name} is missing"),
        supply.feed.span().unwrap_or(supply.name.span),
        "not decided: the feed is missing",
        Citation::marked("the feed declared for the inlet"),
    )
    .open()
    .below([place(declared.span, format!("declared for feed {}", declared.value))])
    .about([name.clone()])
    .advice(format!("Write which feed supply {name} makes."))
    .finish()
}

fn unreadable(survey: &Survey<'_>, inlet: &InletLink, at: Span) -> Finding {
    let name = survey.inlet_name(inlet);
    Draft::new(
        &RULE,
        format!("whether inlet {name} is on its feed cannot be said: the feed declared for it cannot be read"),
        at,
        "not decided: the feed cannot be read",
        Citation::marked("the feed declared for the inlet"),
    )
    .open()
    .about([survey.model.devices[inlet.device].name.value.clone()])
    .kind("declared")
    .advice("Write the name of one of the site's feeds.")
    .finish()
}
