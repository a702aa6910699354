//! What a peer can still take.

use std::collections::BTreeMap;

use crate::analysis::Analysis;
use crate::graph::{ElementId, ElementKind};
use crate::model::circuits::{Pole, Supply};
use crate::model::value::Id;
use crate::quantity::{Current, InUnits, amperes};
use crate::rules::circuits::capacity;
use crate::rules::circuits::way::Carried;

/// What a peer and everything above it can still take in their worst state.
pub(super) struct Room {
    /// Amperes that each of them can take.
    hops: Vec<(ElementId, f64)>,
}

/// Amperes that moves have brought to elements already.
pub(super) type Brought = BTreeMap<ElementId, f64>;

impl Room {
    /// `None` where it is not known. What carries the load already, on the same lines, need not have room for
    /// it again. On other lines a load adds no more than its own current to each.
    pub fn of(analysis: &Analysis<'_>, peer: ElementId, carried: &Carried) -> Option<Self> {
        let graph = analysis.graph;
        let lines = |id| graph.poles(id).filter(|pole| *pole != Pole::N);
        let own: Vec<Pole> = lines(peer).collect();
        let is_same = lines(carried.id).eq(own.iter().copied());
        let mut hops = Vec::new();
        for hop in graph.upwards(peer) {
            let carries_it = graph.is_below(carried.id, hop);
            if carries_it && is_same {
                break;
            }
            if analysis.flows.unsummed_below(hop).is_some() {
                return None;
            }
            if let ElementKind::Supply(supply) = graph.kind(hop) {
                if !carries_it {
                    hops.push((hop, supply_room(analysis, hop, supply)?));
                }
                continue;
            }
            let limits = analysis.limits(hop);
            if limits.untold(None).next().is_some() {
                return None;
            }
            let Some(limit) = limits.lowest() else {
                continue;
            };
            let worst = worst_on(analysis, hop, &own)?;
            hops.push((hop, limit.current.in_amperes() - worst));
        }
        Some(Self { hops })
    }

    /// The least of it.
    pub fn least(&self) -> Option<Current> {
        let hops = self.hops.iter().map(|(_, amperes)| *amperes);
        hops.min_by(f64::total_cmp).map(amperes)
    }

    /// Whether there is room for so many amperes beside what was brought already.
    pub fn takes(&self, more: f64, brought: &Brought) -> bool {
        let gone = |hop| brought.get(hop).copied().unwrap_or(0.0);
        self.hops
            .iter()
            .all(|(hop, left)| gone(hop) + more <= *left)
    }

    /// Notes what is brought here.
    pub fn bring(&self, more: f64, brought: &mut Brought) {
        for (hop, _) in &self.hops {
            *brought.entry(*hop).or_default() += more;
        }
    }
}

/// The largest current of an element on the lines that a peer has; on all where it has none of its own there.
fn worst_on(analysis: &Analysis<'_>, hop: ElementId, lines: &[Pole]) -> Option<f64> {
    let on_line = |line: &Pole| analysis.flows.worst_on(analysis.graph, hop, *line);
    let worst: Option<Vec<f64>> = lines
        .iter()
        .map(|line| Some(on_line(line)?.current.in_amperes()))
        .collect();
    match worst {
        Some(worst) => worst.into_iter().max_by(f64::total_cmp),
        None => Some(
            analysis
                .flows
                .worst(analysis.graph, hop)?
                .current
                .in_amperes(),
        ),
    }
}

/// What another supply can still deliver, in amperes between its lines: the least that its
/// capacity can mean.
fn supply_room(analysis: &Analysis<'_>, id: ElementId, supply: Id<Supply>) -> Option<f64> {
    let room = capacity::room(analysis, id, supply)?.in_volt_amperes();
    let to_neutral = analysis
        .flows
        .voltage_to_neutral(analysis.graph, id, Pole::L1)?;
    let lines = analysis.graph.poles(id).filter(|pole| *pole != Pole::N);
    let between = match lines.count() {
        0 | 1 => 1.0,
        2 => 2.0,
        _ => 3f64.sqrt(),
    };
    Some(room / (to_neutral.in_volts() * between))
}
