//! Of all currents that may flow at the far end of a run, the one that heats it most before a device has opened.
//!
//! A device is sure to open sooner where more flows, in steps: between two of them the heat grows with the current, so
//! that the worst is the smallest current, the largest, or one just below a step.

use crate::analysis::Analysis;
use crate::flow::protection::{devices_ahead, heat};
use crate::model::sources::State;
use crate::quantity::{Current, EnergyLetThrough, Time, seconds};

use super::stress::Run;

/// One current, and the heat of it.
#[derive(Clone, Copy)]
pub(super) struct Point {
    pub current: Current,
    /// By when a device is sure to have opened; none where none need open.
    pub opens: Option<Time>,
    /// How long it flows.
    pub time: Time,
    pub heat: EnergyLetThrough,
}

/// The worst between two currents, or at the smaller one where the other is not told apart; `None` if no curve is known.
pub(super) fn worst(
    analysis: &Analysis<'_>,
    run: &Run<'_>,
    state: &State<'_>,
    (least, most): (Current, Option<Current>),
) -> Option<Point> {
    let at = |current| point(analysis, run, state, current);
    let first = at(least)?;
    let Some(most) = most.filter(|most| *most > least) else {
        return Some(first);
    };
    let below = 1.0 - 1e-9;
    let steps = devices_ahead(analysis.model, analysis.graph, run.id)
        .flat_map(|device| device.steps())
        .map(|step| step * below)
        .filter(|step| (least..most).contains(step));
    let others = steps.chain([most]).filter_map(at);
    let worse = |a: Point, b: Point| if b.heat.0 > a.heat.0 { b } else { a };
    Some(others.fold(first, worse))
}

fn point(
    analysis: &Analysis<'_>,
    run: &Run<'_>,
    state: &State<'_>,
    current: Current,
) -> Option<Point> {
    let opens = soonest(analysis, run, current)?;
    // What no device opens flows without end.
    let time = until(state, opens.unwrap_or(seconds(f64::INFINITY)));
    Some(Point {
        current,
        opens,
        time,
        heat: heat(current, time),
    })
}

/// How long a fault flows that a device ends after this time: an inverter may be off before.
pub(super) fn until(state: &State<'_>, opens: Time) -> Time {
    let off = state
        .lasts()
        .filter(|off| state.is_inverter() && *off < opens);
    off.unwrap_or(opens)
}

/// The time by which some device ahead has opened; `None` if no curve is known, `Some(None)` if none
/// need open.
fn soonest(analysis: &Analysis<'_>, run: &Run<'_>, current: Current) -> Option<Option<Time>> {
    let devices = devices_ahead(analysis.model, analysis.graph, run.id);
    let times = devices.filter_map(|device| device.opens_by(current));
    times.reduce(|a, b| match (a, b) {
        (Some(a), Some(b)) => Some(if a < b { a } else { b }),
        (a, b) => a.or(b),
    })
}
