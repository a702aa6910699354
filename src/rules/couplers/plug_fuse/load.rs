//! The fuse against the load: too small a one runs hot.

use crate::analysis::Analysis;
use crate::citation::{Citation, Confidence};
use crate::finding::{Finding, Measure};
use crate::flow::Worst;
use crate::graph::ElementId;
use crate::model::value::Spanned;
use crate::quantity::{Current, show_pair};
use crate::rules::Draft;

use super::{RULE, as_marked};

/// A fuse that carries more than its rating.
pub(super) fn too_small(
    analysis: &Analysis<'_>,
    id: ElementId,
    fuse: &Spanned<Current>,
    worst: Worst,
) -> Finding {
    let told = analysis.state_above(id, worst, fuse.value);
    let (current, rating) = show_pair(told.current, fuse.value);
    let headline = format!(
        "the plug fuse of {} is {rating} and carries {current} {}: it runs hot, may char the plug, and may blow and drop the load",
        analysis.describe(id),
        analysis.when(told.lost)
    );
    Draft::new(&RULE, headline, fuse.span, format!("fuse {rating}"), as_marked())
        .also([fusing_currents()])
        .above([analysis.hop(id)])
        .below(analysis.moved_places(id, told.lost))
        .working(analysis.load_working(id, told))
        .working([format!("{current} is above {rating}")])
        .measured(Measure::above(worst.current, fuse.value))
        .working(analysis.worst_line(told, worst))
        .advice("Lower the load. Fit a larger fuse only where the cord is thick enough for it; a BS 1363 plug takes 13 A at most.")
        .about([analysis.full_name(id)])
        .kind("small")
        .finish()
}

/// Why nobody can count on the fuse to blow.
fn fusing_currents() -> Citation {
    let clause = "fusing currents: up to 1.6 times its rating it need not blow";
    Citation::new("BS 1362", clause, "", Confidence::FromMemory)
}
