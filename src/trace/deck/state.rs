//! Which circuit or supply, in which state: the one that makes the worst of what was asked for.

use crate::analysis::Analysis;
use crate::flow::network::{Network, Sequence};
use crate::flow::single::Single;
use crate::graph::{ElementId, ElementKind, Graph, Loss};

/// The site as a network, in both sequences where nobody has proved which it is.
pub(super) struct Networks {
    forward: Network,
    reverse: Option<Network>,
}

impl Networks {
    pub fn new(analysis: &Analysis<'_>) -> Self {
        let network = |sequence| Network::new(analysis.model, analysis.graph, sequence);
        let forward = network(Sequence::Forward);
        Self {
            reverse: forward
                .sequence_matters()
                .then(|| network(Sequence::Reverse)),
            forward,
        }
    }

    pub fn of(&self, sequence: Sequence) -> &Network {
        match (sequence, &self.reverse) {
            (Sequence::Reverse, Some(reverse)) => reverse,
            _ => &self.forward,
        }
    }
}

/// What is solved.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Case {
    /// The supply, or what hangs directly on one: nothing beside it bears on what is below, since a supply
    /// holds its voltage.
    pub scope: ElementId,
    /// What is lost; `None` in the normal state.
    pub lost: Option<Loss>,
    pub sequence: Sequence,
}

impl Case {
    /// The case that makes the worst current of an element; `None` where it has no poles. Where the survey
    /// of all losses only bounds that, by a state in which less flows, it is the normal one.
    pub fn of(analysis: &Analysis<'_>, networks: &Networks, id: ElementId) -> Option<Self> {
        let Analysis { graph, flows, .. } = *analysis;
        let normal = flows.normal(graph, id)?;
        let worst = analysis.held(id).lines().worst.unwrap_or(normal);
        let conductor = graph.conductor(id, worst.pole)?;
        let scope = scope(graph, id);
        let sequences = [
            Some(Sequence::Forward),
            networks.reverse.as_ref().map(|_| Sequence::Reverse),
        ];
        let cases = [worst.lost, None].into_iter().flat_map(|lost| {
            let sequences = sequences.into_iter().flatten();
            sequences.map(move |sequence| Self {
                scope,
                lost,
                sequence,
            })
        });
        let carried = cases.map(|case| (case, case.solve(analysis, networks).magnitude(conductor)));
        // The state that is named stands unless another one really is worse.
        let worse = |one: (Self, f64), other: (Self, f64)| match other.1 > one.1 * (1.0 + SAME) {
            true => other,
            false => one,
        };
        carried.reduce(worse).map(|(case, _)| case)
    }

    pub fn solve(&self, analysis: &Analysis<'_>, networks: &Networks) -> Single {
        let Analysis { graph, flows, .. } = *analysis;
        let network = networks.of(self.sequence);
        Single::solve(graph, network, &flows.loads, self.scope, self.lost)
    }
}

/// Differences below this share are rounding.
pub(super) const SAME: f64 = 1e-6;

fn scope(graph: &Graph, id: ElementId) -> ElementId {
    let is_below_supply = |at: &ElementId| !matches!(graph.kind(*at), ElementKind::Supply(_));
    let below = graph.upwards(id).take_while(is_below_supply);
    below.last().unwrap_or(id)
}
