//! How far every conductor and element is from the worst that is known of it: most losses of single
//! cords stay within that along their two paths, and need no closer look.

use num_complex::Complex64;

use crate::graph::{ElementId, Graph};

use crate::flow::network::NONE;

use super::loss::Change;
use super::screen::{MARGIN, OWN_MARGIN};
use super::{Case, Extremes, voltage_across};

/// What is left to the known worst, by conductor and by element.
pub(super) struct Slack {
    /// Square of the current, in amperes, that is too near to a conductor's known worst.
    limit: Vec<f64>,
    /// Whether a conductor of the element is as near as that already.
    is_tight: Vec<bool>,
    /// Volts that a two-pole element may lose; infinite for others.
    fall: Vec<f64>,
    /// The least of those beside a path through the element.
    beside: Vec<f64>,
}

/// A place on the path from an element to its supply, and by what the current along it changes.
#[derive(Clone, Copy)]
struct Step {
    element: ElementId,
    from: usize,
    to: usize,
    more: Complex64,
}

impl Step {
    /// One element further up; `None` above a supply, and where a pole is not known.
    fn up(self, case: &Case<'_>) -> Option<Self> {
        let element = case.given.graph.element(self.element).feeder?;
        let (from, to) = (
            case.given.network.feeder[self.from],
            case.given.network.feeder[self.to],
        );
        (from != NONE && to != NONE).then_some(Self {
            element,
            from: from as usize,
            to: to as usize,
            more: self.more,
        })
    }
}

impl Slack {
    /// The slack that the `known` extremes leave.
    pub(super) fn new(case: &Case<'_>, known: &Extremes) -> Self {
        let limit = limits(case, known);
        let fall = falls(case, known);
        Self {
            is_tight: tight(case, &limit),
            beside: least_beside(case.given.graph, &fall),
            limit,
            fall,
        }
    }

    /// Whether a loss that changes the current of one inlet by so many amperes, or of none, cannot
    /// make anything worse than it is known to get; if in doubt, `false`.
    pub(super) fn bears(
        &self,
        case: &Case<'_>,
        lost: ElementId,
        change: Option<(&Change, Complex64)>,
    ) -> bool {
        let range = case.given.graph.conductors_of(lost);
        let own = Step {
            element: lost,
            from: range.start,
            to: range.start + 1,
            more: -case.normal.current[range.start],
        };
        let Some(gone) = own.up(case).filter(|_| range.len() == 2) else {
            return false;
        };
        let taken = change.map(|(change, more)| Step {
            element: change.tap.element,
            from: change.tap.from as usize,
            to: change.tap.to as usize,
            more,
        });
        let Some(gone) = self.climb(case, gone) else {
            return false;
        };
        match taken.map(|taken| self.climb(case, taken)) {
            None => true,
            Some(Some(taken)) => self.meets(case, gone, taken),
            Some(None) => false,
        }
    }

    /// Whether all steps to the supply bear the change; the last one below it.
    fn climb(&self, case: &Case<'_>, mut step: Step) -> Option<Step> {
        loop {
            if !self.holds(case, &step, 0.0) {
                return None;
            }
            let next = step.up(case)?;
            if case.given.graph.element(next.element).feeder.is_none() {
                return self.holds(case, &next, 0.0).then_some(step);
            }
            step = next;
        }
    }

    /// Whether two changes that each are borne are borne together: they may meet in the supply, where
    /// both are taken in phase, but not below it.
    fn meets(&self, case: &Case<'_>, gone: Step, taken: Step) -> bool {
        let (Some(a), Some(b)) = (gone.up(case), taken.up(case)) else {
            return false;
        };
        gone.element != taken.element
            && (a.element != b.element
                || (self.holds(case, &a, b.more.norm()) && self.holds(case, &b, a.more.norm())))
    }

    /// Whether one element and what hangs beside the path there bear the change, and so many amperes
    /// besides, whatever their phase.
    fn holds(&self, case: &Case<'_>, step: &Step, besides: f64) -> bool {
        let id = step.element.index();
        let carries = |at: usize, more: Complex64| {
            let current = (case.normal.current[at] + more).norm_sqr().sqrt() + besides;
            let harmonic = case.normal.harmonic[at];
            current * current + harmonic * harmonic <= self.limit[at]
        };
        let ohms = &case.given.network.resistance_above;
        let shift = step.more.norm_sqr().sqrt() * (ohms[step.from] + ohms[step.to]);
        !self.is_tight[id]
            && shift <= self.fall[id].min(self.beside[id])
            && carries(step.from, step.more)
            && carries(step.to, -step.more)
    }
}

fn limits(case: &Case<'_>, known: &Extremes) -> Vec<f64> {
    let mut limits = vec![0.0; case.given.network.feeder.len()];
    for (id, _) in case.given.graph.elements() {
        let is_load = case.given.network.inlet_of[id.index()] != NONE;
        let margin = 1.0 + if is_load { OWN_MARGIN } else { MARGIN };
        for at in case.given.graph.conductors_of(id) {
            let limit = known.current(at).value / margin;
            limits[at] = limit * limit;
        }
    }
    limits
}

fn tight(case: &Case<'_>, limits: &[f64]) -> Vec<bool> {
    let is_tight = |at: usize| {
        let (current, harmonic) = (case.normal.current[at], case.normal.harmonic[at]);
        current.norm_sqr() + harmonic * harmonic > limits[at]
    };
    let elements = case.given.graph.elements();
    elements
        .map(|(id, _)| case.given.graph.conductors_of(id).any(is_tight))
        .collect()
}

fn falls(case: &Case<'_>, known: &Extremes) -> Vec<f64> {
    let fall = |id: ElementId| match voltage_across(case.given.graph, case.normal, id) {
        Some(voltage) => voltage - known.voltage(id).value / (1.0 - OWN_MARGIN),
        None => f64::INFINITY,
    };
    case.given
        .graph
        .elements()
        .map(|(id, _)| fall(id))
        .collect()
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
