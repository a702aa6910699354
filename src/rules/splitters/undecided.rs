//! Splitters of which nobody can say whether they are overloaded.

use crate::analysis::{Analysis, Link, Rating, place};
use crate::citation::Citation;
use crate::finding::Finding;
use crate::model::devices::Device;
use crate::model::value::Id;
use crate::rules::{Draft, Rule};

use super::Splitter;

/// What a link bears is not known.
pub(super) fn no_rating(rule: &Rule, splitter: Splitter<'_>, link: &Link) -> Draft {
    let kind = &splitter.kind.name.value;
    let word = link.kind.word();
    let why = match &link.rating {
        Rating::Unknown { why, .. } => why.as_str(),
        Rating::Known { .. } => "",
    };
    let first = link.rating.basis().first().cloned();
    Draft::new(
        rule,
        format!("are splitter cords of type {kind} overloaded? Open: {why}"),
        link.span,
        format!("not decided: what the {word} ({}) bears", link.what),
        first.unwrap_or_else(sum_of_legs),
    )
    .open()
    .about([kind.clone()])
    .kind(word)
    .advice("Fill in what is missing from the marks on the part or from its data sheet.")
}

/// The load of a device below the splitter is not known.
pub(super) fn no_load(
    rule: &Rule,
    analysis: &Analysis<'_>,
    splitter: Splitter<'_>,
    device: Id<Device>,
) -> Option<Finding> {
    let own = analysis.load_gap(device);
    let gap = own.or_else(|| analysis.adrift_gap(device))?;
    let name = &analysis.model.devices[device].name.value;
    let cord = &analysis.model.cords[splitter.cord].name;
    let headline = format!(
        "is splitter cord {} overloaded? Missing: the load of device {name}",
        cord.value
    );
    let note = format!("not decided: {}", gap.why);
    let draft = Draft::new(rule, headline, gap.span, note, sum_of_legs())
        .wants(gap.fact)
        .above([place(cord.span, format!("splitter cord {}", cord.value))])
        .about([name.clone()])
        .kind("load")
        .advice(format!(
            "Measure device {name} and write its draw, or give its model a rating and a power factor."
        ));
    Some(draft.finish())
}

/// The poles that feed the splitter could not be resolved.
pub(super) fn no_poles(rule: &Rule, analysis: &Analysis<'_>, splitter: Splitter<'_>) -> Finding {
    let cord = &analysis.model.cords[splitter.cord];
    Draft::new(
        rule,
        format!(
            "is splitter cord {} overloaded? Missing: the two poles that feed it",
            cord.name.value
        ),
        cord.from.span().unwrap_or(cord.name.span),
        "not decided: which poles feed it",
        sum_of_legs(),
    )
    .open()
    .about([cord.name.value.clone()])
    .kind("poles")
    .advice("Say between which two poles the bank hangs, or which two poles the circuit has.")
    .finish()
}

/// Why the legs are summed.
pub(super) fn sum_of_legs() -> Citation {
    Citation::common_practice(
        "the currents of all legs pass through plug, trunk and outlet together",
    )
}
