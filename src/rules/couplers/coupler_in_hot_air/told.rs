//! The words of a coupler that carries too much for the air it is in.

use crate::analysis::hot_air::{InHotAir, hottest_mean, share_in_hot_air};
use crate::analysis::{Analysis, place};
use crate::citation::Citation;
use crate::finding::{Finding, Measure};
use crate::flow::Worst;
use crate::graph::ElementId;
use crate::quantity::{InUnits, Quantity, show_pair};
use crate::rules::Draft;
use crate::rules::couplers::halves::Owner;

use super::{RULE, TooMuch};

pub(super) fn too_much(
    analysis: &Analysis<'_>,
    id: ElementId,
    worst: Worst,
    found: &TooMuch<'_>,
) -> Finding {
    let (draft, step) = match found.limit {
        InHotAir::Share(_) => near_its_rating(analysis, worst, found),
        InHotAir::Declared(declared) => {
            let (draft, step) = above_declared(analysis, worst, found);
            (
                draft.below([place(declared.span, "what its maker declares")]),
                step,
            )
        }
    };
    let air = format!("air at {}", found.air.value.show());
    draft
        .above([place(found.air.span, air), analysis.hop(id)])
        .below(analysis.moved_places(id, worst.lost))
        .working(analysis.load_working(id, worst))
        .working([step])
        .measured(Measure::above(worst.current, found.limit.current()))
        .advice("Cool the place, lower the load, or ask the maker of the coupler what it bears in this air.")
        .about([analysis.full_name(id)])
        .finish()
}

/// Above the share of its rating that is left to it: the finding begun, and its last step.
fn near_its_rating(analysis: &Analysis<'_>, worst: Worst, found: &TooMuch<'_>) -> (Draft, String) {
    let half = &found.half;
    let (limit, clause) = hottest_mean();
    let (share, practice) = share_in_hot_air();
    let (current, most) = show_pair(worst.current, found.limit.current());
    let loaded = 100.0 * worst.current.in_amperes() / found.rating.in_amperes();
    let rating = found.rating.show();
    let headline = format!(
        "{} ({}) may overheat: it carries {current} {}, {loaded:.0} % of its {rating}, in air at {}. Common practice, not code: {most} at most there",
        half.what(analysis),
        half.name(),
        analysis.when(worst.lost),
        found.air.value.show(),
    );
    let note = format!("{}: {rating}, in air up to {}", half.name(), limit.show());
    let step = format!(
        "{rating} × {} = {most}; {current} is above it",
        share.show()
    );
    let draft = Draft::new(&RULE, headline, half.coupler.span, note, clause);
    (draft.also([practice]), step)
}

/// Above what its maker declares for this air.
fn above_declared(analysis: &Analysis<'_>, worst: Worst, found: &TooMuch<'_>) -> (Draft, String) {
    let half = &found.half;
    let (current, most) = show_pair(worst.current, found.limit.current());
    let headline = format!(
        "{} ({}) may overheat: it carries {current} {}, in air at {}, and its maker allows {most} there",
        half.what(analysis),
        half.name(),
        analysis.when(worst.lost),
        found.air.value.show(),
    );
    let note = format!("{}: {most} in this air", half.name());
    let maker = match half.owner {
        Owner::Receptacle(_) => analysis.words().socket,
        _ => "cord",
    };
    let basis = Citation::marked(&format!(
        "what the maker of the {maker} declares for hot air"
    ));
    let draft = Draft::new(&RULE, headline, half.coupler.span, note, basis);
    let step = format!("{current} is above the {most} that is declared");
    (draft.kind("declared"), step)
}
