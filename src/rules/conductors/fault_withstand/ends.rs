//! The two ends of a run: small current and a slow device at the far one, large current at the near one.

use crate::analysis::Analysis;
use crate::flow::fault::{FaultLoop, FaultLoops, Source};
use crate::flow::protection::{AtOnce, Device, at_once, devices_ahead, heat};
use crate::model::sources::State;
use crate::quantity::{Current, InUnits, Quantity, Ratio, seconds, show_rounded};
use crate::tables::constants;

use super::missing::Missing;
use super::range::{self, Point};
use super::stress::{Outcome, Run};

/// A short circuit at the far end in one state of the supply.
pub(super) struct Far<'a> {
    pub state: State<'a>,
    /// The loop with the smallest current that the source drives.
    pub smallest: FaultLoop,
    /// The largest current there, where the record tells it apart.
    pub largest: Option<Current>,
}

pub(super) fn far_end(analysis: &Analysis<'_>, run: &Run<'_>, far: &Far<'_>) -> Outcome {
    let Some(factor) = constants::minimum_voltage_factor() else {
        return Outcome::Bears;
    };
    let least = far.smallest.smallest(factor.value);
    let Some(worst) = range::worst(analysis, run, &far.state, (least, far.largest)) else {
        return Outcome::Open(match run.device.opens_at_once_from() {
            AtOnce::Unreadable => Missing::InstantaneousTrip(run.device.at),
            AtOnce::ByCurve | AtOnce::From(_) => Missing::Curve(run.device.at),
        });
    };
    if worst.heat.0 <= run.bears().0 * (1.0 + 1e-9) {
        return Outcome::Bears;
    }
    // Below 0.1 s the time is an upper bound only, and the maker's figure decides.
    if worst.time <= seconds(0.1 + 1e-9) {
        return Outcome::Bears;
    }
    if let Some(device) = unsettled(analysis, run, worst.current) {
        return Outcome::Open(Missing::InstantaneousTrip(device.at));
    }
    let working = working(far, (least, factor.value), &worst);
    let mut stress = run.stress("far-end", worst.heat, working);
    stress.phrase = far.state.phrase();
    stress.basis.push(factor.citation);
    Outcome::Burns(stress)
}

fn working(far: &Far<'_>, (least, factor): (Current, Ratio), worst: &Point) -> Vec<String> {
    let opens = match worst.opens {
        Some(latest) => format!("which open it within {}", latest.show()),
        None => "which need not open it at all".to_owned(),
    };
    let around = &far.smallest;
    let smallest = match around.limit {
        Some(limit) if least >= limit => format!("the inverter holds {}", least.show()),
        _ => format!(
            "{:.2} × {} ÷ ({} source + {} hot conductors) = {}",
            factor.in_parts_of_one(),
            around.voltage.show(),
            show_rounded(around.source),
            show_rounded(around.conductors),
            least.show()
        ),
    };
    let flows = match (worst.current > least, far.largest) {
        (true, Some(largest)) => vec![
            smallest,
            format!(
                "up to {} may flow there; worst is {}, {opens}",
                show_rounded(largest),
                show_rounded(worst.current)
            ),
        ],
        _ => vec![format!("{smallest}, {opens}")],
    };
    let current = match worst.current > least {
        true => show_rounded(worst.current),
        false => worst.current.show(),
    };
    let made = match worst.time.in_seconds().is_finite() {
        true => format!(
            "({current})² × {} = {}",
            worst.time.show(),
            worst.heat.show()
        ),
        false => format!("({current})² without end"),
    };
    let given_up = worst.opens.is_none_or(|opens| opens > worst.time);
    let off = given_up && worst.time.in_seconds().is_finite();
    let off = off.then(|| format!("the inverter is off after {}", worst.time.show()));
    flows.into_iter().chain(off).chain([made]).collect()
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
    (run, state): (&Run<'_>, &State<'_>),
    source: Source,
) -> Outcome {
    let feeder = analysis.graph.element(run.id).feeder;
    let way = feeder.map(|feeder| fault_loops.cold(feeder));
    let poles = analysis.graph.poles(run.id);
    let largest = way.map(|way| source.short_circuit(poles, way.line).largest());
    if let Some(largest) = largest
        && heat(largest, range::until(state, at_once())).0 <= run.bears().0
    {
        return Outcome::Bears;
    }
    Outcome::Open(Missing::LetThrough(run.device.at))
}
