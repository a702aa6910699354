//! By how many amperes the current of every element may change before it comes near the worst that is
//! known of anything there: most losses of single cords stay within that along their two paths, and
//! need no closer look.

use crate::graph::{ElementId, Graph};

use super::loss::Change;
use super::screen::{MARGIN, OWN_MARGIN};
use super::{Case, Extremes, Given, voltage_across};

/// What is left to the known worst, in amperes by element.
pub(super) struct Slack {
    /// On the element itself and beside it; negative where it is too near already.
    own: Vec<f64>,
    /// The least of the element and all above it.
    upwards: Vec<f64>,
}

impl Slack {
    /// The slack that the `known` extremes leave.
    pub(super) fn new(case: &Case<'_>, known: &Extremes) -> Self {
        let graph = case.given.graph;
        let falls = falls(case, known);
        let beside = least_beside(graph, &falls);
        let own: Vec<f64> = graph
            .elements()
            .map(|(id, _)| {
                let fall = falls[id.index()].min(beside[id.index()]);
                carries(case, known, id).min(sags(case, id, fall))
            })
            .collect();
        let mut upwards = own.clone();
        // Feeders stand before what they feed.
        for (id, element) in graph.elements() {
            if let Some(feeder) = element.feeder {
                upwards[id.index()] = upwards[id.index()].min(upwards[feeder.index()]);
            }
        }
        Self { own, upwards }
    }

    /// Whether a loss that changes the current of one inlet by `more` amperes, or of none, cannot make
    /// anything worse than it is known to get; if in doubt, `false`. Whatever the phases are, and
    /// wherever the two paths meet, nothing changes by more than both changes together.
    pub(super) fn bears(
        &self,
        case: &Case<'_>,
        lost: ElementId,
        change: Option<(&Change, f64)>,
    ) -> bool {
        let graph = case.given.graph;
        let range = graph.conductors_of(lost);
        let Some(feeder) = graph.element(lost).feeder.filter(|_| range.len() == 2) else {
            return false;
        };
        let gone = case.normal.current[range.start].norm_sqr().sqrt();
        let Some((change, more)) = change else {
            return gone <= self.upwards[feeder.index()];
        };
        let tap = change.tap.element;
        let Some(taker) = graph.element(tap).feeder else {
            return false;
        };
        let both = gone + more;
        more <= self.own[tap.index()]
            && both <= self.upwards[taker.index()]
            && both <= self.upwards[feeder.index()]
    }
}

/// By how much the current may change before a conductor of the element comes near its worst.
fn carries(case: &Case<'_>, known: &Extremes, id: ElementId) -> f64 {
    let Given { graph, network, .. } = case.given;
    let is_load = network.is_load_alone(graph, id);
    let margin = 1.0 + if is_load { OWN_MARGIN } else { MARGIN };
    let left = |at: usize| {
        let (limit, harmonic) = (known.current(at).value / margin, case.normal.harmonic[at]);
        let square = limit * limit - harmonic * harmonic;
        let current = case.normal.current[at].norm_sqr().sqrt();
        if square < 0.0 {
            -1.0
        } else {
            square.sqrt() - current
        }
    };
    graph
        .conductors_of(id)
        .map(left)
        .fold(f64::INFINITY, f64::min)
}

/// By how much the current may change before a voltage falls by `fall`.
fn sags(case: &Case<'_>, id: ElementId, fall: f64) -> f64 {
    let range = case.given.graph.conductors_of(id);
    let above = &case.given.network.resistance_above[range];
    // A current goes out on one conductor and comes back on another: at most the two worst.
    let (mut most, mut next) = (0f64, 0f64);
    for &ohms in above {
        (most, next) = (most.max(ohms), next.max(ohms.min(most)));
    }
    match most + next {
        _ if fall < 0.0 => -1.0,
        0.0 => f64::INFINITY,
        ohms => fall / ohms,
    }
}

/// By how many volts a two-pole element may fall; infinite for others.
fn falls(case: &Case<'_>, known: &Extremes) -> Vec<f64> {
    let fall = |id: ElementId| match voltage_across(case.given.graph, case.normal, id) {
        Some(voltage) => voltage - known.voltage(id).value / (1.0 - OWN_MARGIN),
        None => f64::INFINITY,
    };
    let elements = case.given.graph.elements();
    elements.map(|(id, _)| fall(id)).collect()
}

/// For every element of several lines the least that a two-pole element on it may fall: its own
/// children, and those of its children of several lines.
fn least_beside(graph: &Graph, fall: &[f64]) -> Vec<f64> {
    let mut beside = vec![f64::INFINITY; fall.len()];
    for (id, element) in graph.elements() {
        let mut upper = element.feeder;
        for _ in 0..2 {
            let Some(at) = upper.filter(|&at| graph.conductors_of(at).len() > 2) else {
                break;
            };
            beside[at.index()] = beside[at.index()].min(fall[id.index()]);
            upper = graph.element(at).feeder;
        }
    }
    beside
}
