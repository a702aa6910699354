//! `plug-fuse`: does the fuse in a BS 1363 plug suit the cord behind it and the load?

use crate::citation::Citation;
use crate::finding::{Finding, Level};
use crate::flow::Worst;
use crate::graph::{ElementId, ElementKind};
use crate::model::cords::CordType;
use crate::model::value::{Named, Spanned};
use crate::quantity::{Current, Quantity, metres, show_pair};
use crate::rules::{Draft, rule};
use crate::survey::{Survey, exceeds, field_or_name, place};
use crate::tables::lookup::Lookup;
use crate::tables::plug_fuse;

use super::halves::borne_by;
use super::unknown_load::UnknownLoads;

rule!(
    "plug-fuse",
    Couplers,
    Error,
    "A plug fuse larger than the cord bears, so that a short circuit burns the cord, or smaller than the load, so that it blows."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    for kind in survey.model.cord_types.items() {
        findings.extend(cord_type(kind));
    }
    let mut unknown = UnknownLoads::default();
    for (id, element) in survey.graph.elements() {
        let ElementKind::Cord(cord) = element.kind else {
            continue;
        };
        let kind = survey.graph.cord_type(survey.model, cord);
        let fuse = kind
            .filter(|kind| is_fused(kind))
            .and_then(|kind| kind.fuse.given());
        let worst = survey.flows.worst(survey.graph, id);
        let Some((fuse, worst)) = fuse.zip(worst) else {
            continue;
        };
        if exceeds(worst.current, fuse.value) {
            findings.push(blows(survey, id, fuse, worst));
        } else {
            let below = survey.graph.below(id).map(ElementId);
            below.for_each(|id| unknown.meet(survey, id));
        }
    }
    let question = "a plug fuse is too small for its load";
    unknown.report(survey, &RULE, question, |_| links(), findings);
}

fn is_fused(kind: &CordType) -> bool {
    kind.plug.get().is_some_and(|plug| plug.fused)
}

fn links() -> Citation {
    Citation::marked("fuse as marked")
}

/// What can be said of a cord type by itself.
fn cord_type(kind: &Named<CordType>) -> Option<Finding> {
    let plug = kind.plug.given()?;
    match (plug.value.fused, kind.fuse.given()) {
        (false, None) => None,
        (false, Some(fuse)) => Some(no_fuse_there(kind, plug.value.name.as_str(), fuse)),
        (true, None) => Some(fuse_missing(kind, plug.value.name.as_str())),
        (true, Some(fuse)) => too_large(kind, fuse),
    }
}

fn no_fuse_there(kind: &Named<CordType>, plug: &str, fuse: &Spanned<Current>) -> Finding {
    let name = &kind.name.value;
    let headline = format!(
        "cord type {name} counts on a {} fuse in its plug, and a {plug} plug has none: the cord may be unprotected",
        fuse.value.show()
    );
    Draft::new(
        &RULE,
        headline,
        fuse.span,
        format!("{plug} has no fuse"),
        links(),
    )
    .about([name.clone()])
    .kind("none")
    .advice("Take `fuse` out of the definition, or correct the plug.")
    .finish()
}

fn fuse_missing(kind: &Named<CordType>, plug: &str) -> Finding {
    let name = &kind.name.value;
    let headline = format!(
        "Whether the fuse in the {plug} plug of cord type {name} suits the cord cannot be said: its rating is missing"
    );
    let span = field_or_name(&kind.fuse, &kind.name);
    Draft::new(
        &RULE,
        headline,
        span,
        "not decided: fuse is missing",
        table(),
    )
    .open()
    .about([name.clone()])
    .kind("fuse")
    .advice("Open the plug, read the rating off the fuse and write it, such as `fuse: 13 A`.")
    .finish()
}

fn table() -> Citation {
    use crate::citation::Confidence;
    Citation::new("BS 1363-1", "Table 2", "not stated", Confidence::OneCopy)
}

/// The largest fuse does not depend on the length of the cord; its load does.
fn too_large(kind: &Named<CordType>, fuse: &Spanned<Current>) -> Option<Finding> {
    let size = kind.conductor.given()?;
    let length = kind.length.copied().unwrap_or(metres(f64::INFINITY));
    let name = &kind.name.value;
    let (largest, source) = match plug_fuse::for_section(size.value, length) {
        Lookup::Known { cited, .. } => (cited.value.largest_fuse, cited.citation),
        Lookup::NotInTable { why, citation } => {
            let headline = format!(
                "Whether the {} plug fuse of cord type {name} suits its {} conductor cannot be said: {why}",
                fuse.value.show(),
                size.value.show()
            );
            let draft = Draft::new(
                &RULE,
                headline,
                size.span,
                "not decided: not in the table",
                citation,
            );
            let draft = draft.open().about([name.clone()]).kind("table");
            return Some(draft.advice("Use a cord of at least 0.5 mm².").finish());
        }
    };
    if !exceeds(fuse.value, largest) {
        return None;
    }
    let (own, most) = (fuse.value.show(), largest.show());
    let headline = format!(
        "the plug of cord type {name} has a {own} fuse, and its {} cord bears {most} at the most: a short circuit may burn the cord before the fuse blows",
        size.value.show()
    );
    Some(
        Draft::new(
            &RULE,
            headline,
            fuse.span,
            format!("fuse {own}"),
            source.clone(),
        )
        .level(borne_by(Level::Error, std::slice::from_ref(&source)))
        .below([place(
            size.span,
            format!("{}: fuse up to {most}", size.value.show()),
        )])
        .working([format!("{own} is above {most}")])
        .advice(format!(
            "Fit a {most} fuse (BS 1362), or order a thicker cord."
        ))
        .edit(fuse.span, most)
        .about([name.clone()])
        .kind("large")
        .finish(),
    )
}

fn blows(survey: &Survey<'_>, id: ElementId, fuse: &Spanned<Current>, worst: Worst) -> Finding {
    let (current, rating) = show_pair(worst.current, fuse.value);
    let headline = format!(
        "the plug fuse of {} is {rating} and carries {current} {}: it runs hot, blows and drops the load",
        survey.describe(id),
        survey.when(worst.lost)
    );
    Draft::new(&RULE, headline, fuse.span, format!("fuse {rating}"), links())
        .above([survey.hop(id)])
        .below(survey.moved_places(id, worst.lost))
        .working(survey.load_working(id, worst))
        .working([format!("{current} is above {rating}")])
        .advice("Lower the load, or use a larger fuse where the cord bears it; a BS 1363 plug takes 13 A at the most.")
        .about([survey.full_name(id)])
        .kind("small")
        .finish()
}
