//! A coiled cord: it cools badly and carries less than the free cord.

use crate::analysis::{Analysis, exceeds};
use crate::finding::{Fact, Finding, Level, Measure};
use crate::flow::Worst;
use crate::graph::{ElementId, ElementKind};
use crate::model::cords::{Cord, Surplus};
use crate::model::value::{Field, Id, Spanned};
use crate::quantity::{Current, InUnits, show_current, show_pair, show_rounded};
use crate::rules::Draft;
use crate::rules::conductors::gaps::{Gap, Gaps};
use crate::rules::conductors::naming;
use crate::tables::constants;

use super::RULE;

/// Whether the surplus of an element is coiled up.
pub(super) fn is_coiled(analysis: &Analysis<'_>, id: ElementId) -> bool {
    coil(analysis, id).is_some()
}

fn coil<'a>(analysis: &Analysis<'a>, id: ElementId) -> Option<(Id<Cord>, &'a Spanned<Surplus>)> {
    let (ElementKind::Cord(cord) | ElementKind::Leg(cord, _)) = analysis.graph.kind(id) else {
        return None;
    };
    let surplus = analysis.model.cords[cord].item.surplus.given();
    let surplus = surplus.filter(|surplus| surplus.value == Surplus::Coiled)?;
    Some((cord, surplus))
}

/// It cannot be read where the surplus of a cord lies that would carry too much in a coil.
pub(super) fn miss(
    analysis: &Analysis<'_>,
    id: ElementId,
    worst: Worst,
    capacity: Current,
    gaps: &mut Gaps,
) {
    let (ElementKind::Cord(cord) | ElementKind::Leg(cord, _)) = analysis.graph.kind(id) else {
        return;
    };
    let cord = &analysis.model.cords[cord];
    let (Field::Unreadable(span), Some(factor)) = (&cord.item.surplus, constants::coiled_cord())
    else {
        return;
    };
    if exceeds(worst.current, capacity * factor.value) {
        gaps.miss(cord.name.value.clone(), "surplus", |about| Gap {
            headline: format!(
                "can cord {about} carry its current? In a coil it could not. Open: what becomes of its surplus cannot be read"
            ),
            about,
            kind: "surplus",
            span: *span,
            missing: "what becomes of the surplus cannot be read".into(),
            basis: factor.citation,
            wants: vec![Fact::of(cord, "surplus", Some(&cord.item.surplus))],
            advice: "Look how the surplus lies, and write it as the `surplus` of the cord.".into(),
        });
    }
}

/// A coil cools badly: its surplus carries less than the free cord.
pub(super) fn coiled(
    analysis: &Analysis<'_>,
    id: ElementId,
    worst: Worst,
    capacity: Current,
) -> Option<Finding> {
    let (cord, surplus) = coil(analysis, id)?;
    let factor = constants::coiled_cord()?;
    let coiled = capacity * factor.value;
    if !exceeds(worst.current, coiled) {
        return None;
    }
    let (is, may) = show_pair(worst.current, coiled);
    let what = analysis.describe(id);
    let when = analysis.when(worst.lost);
    let headline = format!(
        "the coil of {what} may overheat and start a fire: it carries {is} {when}, and coiled up {may} is the most"
    );
    let draft = Draft::new(
        &RULE,
        headline,
        surplus.span,
        "coiled up",
        factor.citation.clone(),
    );
    let draft = draft
        .level(Level::Warning)
        .above(analysis.hops_above(id))
        .below([naming::conductor_place(analysis, id, "")])
        .below(analysis.ends_of(cord))
        .working(analysis.load_working(id, worst))
        .working([
            format!(
                "{} × {:.2} (coiled; two layers are assumed) = {}",
                show_rounded(capacity),
                factor.value.in_parts_of_one(),
                show_current(coiled.in_amperes())
            ),
            format!("{is} > {may}"),
        ])
        .measured(Measure::above(worst.current, coiled))
        .advice("Uncoil the surplus and hang or fold it loosely, or order a shorter cord.")
        .about([analysis.full_name(id)]);
    Some(draft.kind("coiled").finish())
}
