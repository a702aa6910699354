//! The words of `wrong-feed`.

use crate::analysis::{Analysis, place};
use crate::citation::Citation;
use crate::finding::{Fact, Finding};
use crate::graph::InletLink;
use crate::model::circuits::Supply;
use crate::model::value::{Id, Name, Spanned};
use crate::rules::Draft;
use crate::source::Span;

use super::{Astray, RULE};

/// An inlet on the wrong feed.
pub(super) fn astray(analysis: &Analysis<'_>, astray: &Astray<'_>) -> Finding {
    let name = analysis.inlet_name(astray.inlet);
    let cord = analysis.full_name(astray.fed_by);
    let (wanted, found) = (&astray.declared.value, &astray.lands_on.value);
    let headline = format!(
        "inlet {name} belongs on feed {wanted} and {} puts it on feed {found}: isolate {wanted} and it stays live; lose {found} and the device may stop",
        analysis.describe(astray.fed_by)
    );
    draft(analysis, astray, headline)
        .about([cord.clone(), name])
        .advice(format!(
            "Check that feed {wanted} can take the load; then plug cord {cord} into an outlet on feed {wanted}."
        ))
        .finish()
}

/// Two cords of a device, each where the other one belongs.
pub(super) fn swapped(analysis: &Analysis<'_>, both: [&Astray<'_>; 2]) -> Finding {
    let names = both.map(|astray| analysis.inlet_name(astray.inlet));
    let cords = both.map(|astray| analysis.full_name(astray.fed_by));
    let [one, other] = both;
    let device = &analysis.model.devices[one.inlet.device].name.value;
    let (wanted, found) = (&one.declared.value, &one.lands_on.value);
    let headline = format!(
        "cords {} and {} of device {device} are swapped: {} is on feed {found} and belongs on {wanted}, {} the other way round. Isolate a feed and the wrong inlet goes dead",
        cords[0], cords[1], names[0], names[1]
    );
    let draft = draft(analysis, one, headline);
    let other_end = place(
        plugged_at(analysis, other),
        format!("leads to feed {wanted}"),
    );
    let other_declared = place(
        other.declared.span,
        format!("inlet {}: feed {found}", names[1]),
    );
    draft
        .below([other_end, other_declared])
        .about(cords.iter().chain(&names).cloned())
        .kind("swapped")
        .advice(format!(
            "Swap cords {} and {} at their inlets, one at a time, and prove each feed before the next is moved.",
            cords[0], cords[1]
        ))
        .finish()
}

fn draft(analysis: &Analysis<'_>, astray: &Astray<'_>, headline: String) -> Draft {
    let (wanted, found) = (&astray.declared.value, &astray.lands_on.value);
    let name = analysis.inlet_name(astray.inlet);
    Draft::new(
        &RULE,
        headline,
        plugged_at(analysis, astray),
        format!("leads to feed {found}"),
        as_declared(),
    )
    .above([place(astray.lands_on.span, format!("feed {found}"))])
    .above(analysis.hops_above(astray.fed_by))
    .below([place(
        astray.declared.span,
        format!("inlet {name}: feed {wanted}"),
    )])
}

/// Where the definitions say what the cord is plugged into.
fn plugged_at(analysis: &Analysis<'_>, astray: &Astray<'_>) -> Span {
    let cord = astray
        .inlet
        .fed_by
        .map(|(cord, _)| &analysis.model.cords[cord]);
    cord.map_or(astray.lands_on.span, |cord| {
        cord.from.span().unwrap_or(cord.name.span)
    })
}

fn as_declared() -> Citation {
    Citation::marked("the feed declared for the inlet")
}

/// A supply that does not say which feed it makes.
pub(super) fn no_feed(
    analysis: &Analysis<'_>,
    supply: Id<Supply>,
    declared: &Spanned<Name>,
) -> Finding {
    let supply = &analysis.model.supplies[supply];
    let name = &supply.name.value;
    let headline = format!(
        "are inlets on the feed they belong on? Missing: the feed that supply {name} makes"
    );
    let at = supply.feed.span().unwrap_or(supply.name.span);
    let note = "not decided: the feed is missing";
    Draft::new(&RULE, headline, at, note, as_declared())
        .wants([Fact::of(supply, "feed", Some(&supply.feed))])
        .below([place(
            declared.span,
            format!("declared for feed {}", declared.value),
        )])
        .about([name.clone()])
        .advice(format!("Write which feed supply {name} makes."))
        .finish()
}

/// A declared feed that cannot be read.
pub(super) fn unreadable(analysis: &Analysis<'_>, inlet: &InletLink, at: Span) -> Finding {
    let name = analysis.inlet_name(inlet);
    let headline = format!(
        "is inlet {name} on the feed it belongs on? Open: the feed declared for it cannot be read"
    );
    let note = "not decided: the feed cannot be read";
    Draft::new(&RULE, headline, at, note, as_declared())
        .wants([analysis.inlet_fact(inlet, "feed", at)])
        .about([analysis.model.devices[inlet.device].name.value.clone()])
        .kind("declared")
        .advice("Write the name of one of the site's feeds.")
        .finish()
}
