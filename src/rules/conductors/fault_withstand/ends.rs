//! The two ends of a run: small current and a slow device at the far one, large current at the near one.

use crate::analysis::Analysis;
use crate::flow::fault::{FaultLoop, FaultLoops, Source};
use crate::flow::protection::{AtOnce, Device, devices_ahead, heat};
use crate::quantity::{Current, Quantity, Time, seconds, show_rounded};
use crate::tables::constants;

use super::missing::Missing;
use super::stress::{Outcome, Run};

pub(super) fn far_end(analysis: &Analysis<'_>, run: &Run<'_>, far: FaultLoop) -> Outcome {
    let Some(factor) = constants::minimum_voltage_factor() else {
        return Outcome::Bears;
    };
    let current = far.smallest(factor.value);
    let Some(latest) = soonest(analysis, run, current) else {
        return Outcome::Open(match run.device.opens_at_once_from() {
            AtOnce::Unreadable => Missing::InstantaneousTrip(run.device.at),
            AtOnce::ByCurve | AtOnce::From(_) => Missing::Curve(run.device.at),
        });
    };
    // A device that need not open at all lets through without end.
    let time = latest.unwrap_or(seconds(f64::INFINITY));
    let made = heat(current, time);
    if made.0 <= run.bears().0 * (1.0 + 1e-9) {
        return Outcome::Bears;
    }
    // Below 0.1 s the time is an upper bound only, and the maker's figure decides.
    let instant = seconds(0.1 + 1e-9);
    if time <= instant {
        return Outcome::Bears;
    }
    if let Some(device) = unsettled(analysis, run, current) {
        return Outcome::Open(Missing::InstantaneousTrip(device.at));
    }
    let opens = latest.map_or_else(
        || "which need not open it at all".to_owned(),
        |latest| format!("which open it within {}", latest.show()),
    );
    let working = vec![
        format!(
            "{:.2} × {} ÷ ({} source + {} hot conductors) = {}, {opens}",
            crate::quantity::InUnits::in_parts_of_one(factor.value),
            far.voltage.show(),
            show_rounded(far.source),
            show_rounded(far.conductors),
            current.show()
        ),
        match latest {
            Some(_) => format!("({})² × {} = {}", current.show(), time.show(), made.show()),
            None => format!("({})² without end", current.show()),
        },
    ];
    let mut stress = run.stress("far-end", made, working);
    stress.basis.push(factor.citation);
    Outcome::Burns(stress)
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

/// A device of which nobody but its maker can say whether it opens at once at this current.
fn unsettled<'a>(analysis: &Analysis<'a>, run: &Run<'_>, current: Current) -> Option<Device<'a>> {
    devices_ahead(analysis.model, analysis.graph, run.id)
        .find(|device| device.is_unsettled_at(current))
}

/// At the near end the device opens within 0.1 s; unless even that bears, the maker's figure decides.
pub(super) fn near_end(
    analysis: &Analysis<'_>,
    fault_loops: &FaultLoops,
    run: &Run<'_>,
    source: Source,
) -> Outcome {
    let feeder = analysis.graph.element(run.id).feeder;
    let way = feeder.map(|feeder| fault_loops.cold(feeder));
    let poles = analysis.graph.poles(run.id);
    let largest = way.map(|way| source.short_circuit(poles, way.line).largest());
    if let Some(largest) = largest
        && heat(largest, seconds(0.1)).0 <= run.bears().0
    {
        return Outcome::Bears;
    }
    Outcome::Open(Missing::LetThrough(run.device.at))
}
