//! The elements of a part with their conductors, sources and loads.

use num_complex::Complex64;

use crate::analysis::Analysis;
use crate::flow::network::{NONE, Network, Tap};
use crate::flow::single::Single;
use crate::graph::{Dead, ElementId};
use crate::model::circuits::Pole;

use super::state::Case;
use super::{Element, End, Load, Source, Wire, said};

/// A part as it is drawn.
pub(super) struct Drawn<'a> {
    analysis: &'a Analysis<'a>,
    network: &'a Network,
    single: &'a Single,
    /// First conductor of the scope.
    first: usize,
    /// Of each conductor of the scope its far end, and whether it carries anything.
    ends: Vec<(End, bool)>,
    numbers: Vec<(ElementId, usize)>,
    pub sources: Vec<Source>,
    pub elements: Vec<Element>,
}

impl<'a> Drawn<'a> {
    /// All that lives in a case, numbered from `next` on.
    pub fn new(
        analysis: &'a Analysis<'a>,
        network: &'a Network,
        single: &'a Single,
        case: &Case,
        next: usize,
    ) -> Self {
        let graph = analysis.graph;
        let dead = case
            .lost
            .map_or(Dead::NOTHING, |lost| graph.dead_after(lost));
        let alive = graph.below(case.scope).map(ElementId);
        let alive = alive.filter(|id| !dead.cuts_off(graph, *id));
        let conductors = graph.conductors_below(case.scope);
        let mut drawn = Self {
            analysis,
            network,
            single,
            first: conductors.start,
            ends: vec![(End::Source(Pole::N), false); conductors.len()],
            numbers: alive.zip(next..).collect(),
            sources: Vec::new(),
            elements: Vec::new(),
        };
        for (id, number) in drawn.numbers.clone() {
            drawn.name(id, number);
            drawn.carry(id);
        }
        for (id, number) in drawn.numbers.clone() {
            let element = drawn.element(id, number);
            drawn.elements.push(element);
        }
        drawn
    }

    /// The number of an element; `None` where it is dead.
    pub fn number(&self, id: ElementId) -> Option<usize> {
        let at = self.numbers.binary_search_by_key(&id, |(id, _)| *id);
        at.ok().map(|at| self.numbers[at].1)
    }

    fn name(&mut self, id: ElementId, number: usize) {
        let graph = self.analysis.graph;
        let range = graph.conductors_of(id);
        for at in range.clone() {
            let pole = graph.conductors()[at].pole;
            let twins = graph.conductors()[range.start..at].iter();
            let twins = twins.filter(|twin| twin.pole == pole).count();
            self.ends[at - self.first].0 = End::Of(number, pole, twins);
        }
    }

    /// What an inlet's load needs: its conductors up to the source.
    fn carry(&mut self, id: ElementId) {
        let Some((tap, _)) = self.tap(id) else {
            return;
        };
        for conductor in [tap.from, tap.to] {
            let mut at = conductor as usize;
            while at != NONE as usize && at >= self.first {
                self.ends[at - self.first].1 = true;
                at = self.network.feeder[at] as usize;
            }
        }
    }

    /// Where the load that an element feeds hangs, and what it takes; `None` where it takes nothing.
    fn tap(&self, id: ElementId) -> Option<(Tap, Complex64)> {
        let inlet = self.network.inlet_of[id.index()];
        let tap = self.network.taps.get(inlet as usize).copied().flatten()?;
        let power = self.single.power(inlet);
        (power != Complex64::ZERO).then_some((tap, power))
    }

    fn element(&mut self, id: ElementId, number: usize) -> Element {
        let analysis = self.analysis;
        let all = analysis.graph.conductors_of(id);
        let carrying = all.clone().filter(|at| self.ends[at - self.first].1);
        let carrying: Vec<usize> = carrying.collect();
        let mut said = said::resistance(analysis, id);
        said.extend(said::idle(analysis, id, &carrying));
        said.extend(said::harmonics(analysis, id, self.single));
        Element {
            number,
            what: analysis.describe(id),
            said,
            conductors: carrying.into_iter().map(|at| self.wire(at)).collect(),
            load: self.load(id),
        }
    }

    fn wire(&mut self, at: usize) -> Wire {
        let (end, _) = self.ends[at - self.first];
        Wire {
            end,
            from: self.feeder(at),
            ohms: self.network.resistance[at],
            current: self.single.current(at),
            voltage: self.single.voltage(at),
        }
    }

    /// The near end of a conductor: at the edge of what is drawn the supply holds its voltage.
    fn feeder(&mut self, at: usize) -> End {
        let feeder = self.network.feeder[at] as usize;
        if feeder != NONE as usize && feeder >= self.first {
            return self.ends[feeder - self.first].0;
        }
        let source = match feeder == NONE as usize {
            true => at,
            false => feeder,
        };
        let pole = self.analysis.graph.conductors()[source].pole;
        if self.sources.iter().all(|known| known.pole != pole) {
            self.sources.push(Source {
                pole,
                volts: self.network.unloaded[source],
            });
        }
        End::Source(pole)
    }

    fn load(&self, id: ElementId) -> Option<Load> {
        let (tap, power) = self.tap(id)?;
        let volts = |conductor: u32| self.single.voltage(conductor as usize);
        let across = volts(tap.from) - volts(tap.to);
        let impedance = across.norm_sqr() / power.conj();
        let end = |conductor: u32| self.ends[conductor as usize - self.first].0;
        let inlet = self.network.inlet_of[id.index()];
        Some(Load {
            said: said::load(self.analysis, inlet, power, across, impedance),
            from: end(tap.from),
            to: end(tap.to),
            impedance,
        })
    }
}
