//! What is said of too little voltage.

use crate::citation::Citation;
use crate::finding::{Finding, Level, Place};
use crate::graph::{ElementId, ElementKind};
use crate::model::value::Spanned;
use crate::quantity::{Quantity, Ratio, show_pair};
use crate::rules::Draft;
use crate::rules::conductors::gaps::{Gap, Gaps};
use crate::rules::conductors::naming;
use crate::survey::{Survey, place};
use crate::tables::limits;

use super::RULE;
use super::lost::Lost;

/// A limit that the owner of the site has set.
pub(super) fn own_limit(limit: &Spanned<Ratio>) -> Citation {
    Citation::marked(&format!("limit of {} set by the site", limit.value.show()))
}

pub(super) fn too_low(survey: &Survey<'_>, id: ElementId, lost: &Lost<'_>) -> Finding {
    let (is, may) = show_pair(lost.drop, lost.limit.value);
    let along = match lost.kind {
        "total" => format!("from the supply to the end of {}", survey.describe(id)),
        _ => format!("along {}", naming::run(survey, id)),
    };
    let when = survey.when(lost.state);
    let headline = format!("{is} of the voltage is lost {along} where {may} is the limit, {when}");
    let span = match lost.kind {
        "total" => survey.name(id).span,
        _ => naming::choice_span(survey, id),
    };
    let draft = Draft::new(
        &RULE,
        headline,
        span,
        format!("{is} lost"),
        own_limit(lost.limit),
    );
    let guide = survey.practice().and_then(limits::total_voltage_drop);
    let guide = guide
        .filter(|_| lost.kind == "total")
        .map(|guide| guide.citation);
    draft
        .above([place(lost.limit.span, format!("limit {may}"))])
        .above(survey.hops_above(id))
        .below([naming::conductor_place(survey, id, "")])
        .below(ends(survey, id))
        .working(lost.working.iter().cloned())
        .working([format!("{is} > {may}")])
        .also(guide)
        .advice("Use thicker or shorter conductors, or move load to another circuit.")
        .about([survey.full_name(id)])
        .kind(lost.kind)
        .finish()
}

fn ends(survey: &Survey<'_>, id: ElementId) -> Vec<Place> {
    match survey.graph.kind(id) {
        ElementKind::Cord(cord) => survey.ends_of(cord),
        _ => Vec::new(),
    }
}

/// No voltage at which the loads could take their power is left.
pub(super) fn collapse(survey: &Survey<'_>, id: ElementId, lost: Option<ElementId>) -> Finding {
    let what = survey.describe(id);
    let when = survey.when(lost);
    let headline = format!("the voltage collapses on {what} {when}: everything on it drops out");
    let span = naming::conductor_span(survey, id);
    let basis = Citation::common_practice(
        "loads of constant power ask for more than the conductors can bring at any voltage",
    );
    Draft::new(&RULE, headline, span, "cannot bring this power", basis)
        .level(Level::Error)
        .above(survey.hops_above(id))
        .below(survey.moved_places(id, lost))
        .advice("Check length and size of the wiring and the draw of the devices for slips; else use thicker conductors or move load away.")
        .about([survey.full_name(id)])
        .kind("collapse")
        .finish()
}

/// Without size or length nothing is known to be lost there, which is no pass.
pub(super) fn miss_conductors(
    survey: &Survey<'_>,
    at: ElementId,
    gaps: &mut Gaps,
    findings: &mut Vec<Finding>,
) {
    let owner = naming::owner(survey, at);
    let (about, what) = owner.map_or_else(
        || (survey.full_name(at), survey.describe(at)),
        |owner| (owner.name.value.clone(), owner.describe()),
    );
    gaps.miss(about, "conductors", findings, |about| Gap {
        headline: format!(
            "whether enough voltage arrives behind {what} cannot be said: size or length of its conductors is missing"
        ),
        about,
        kind: "conductors",
        span: naming::conductor_span(survey, at),
        missing: "size and length of the conductors are needed".into(),
        basis: Citation::marked("limits of voltage drop set by the site"),
        advice: "Write the size and the length of the run.".into(),
    });
}
