//! What hangs on one element of several lines, where that is a crowd: a lost cord must not look at each
//! strip of a circuit that has hundreds.
//!
//! Things between the same two lines feel the same: the currents of a crowd count as their sum, and of
//! the losses that pull its voltage down only the few that do so most are kept.

use num_complex::Complex64;
use rustc_hash::FxHashMap;

use crate::graph::{ElementId, Graph, Loss};

use super::screen::OWN_MARGIN;
use super::{Case, Extremes, Given, lower, voltage_across};

/// What hangs on an element is looked at one by one up to so many things.
const FEW: usize = 32;
/// Losses that are kept of those that pull a crowd's voltage down: one more than the paths that they
/// commonly have in common with a member.
const KEPT: usize = 4;

/// All crowds of a site.
pub(super) struct Crowds {
    of: FxHashMap<ElementId, Vec<u32>>,
    all: Vec<Crowd>,
}

/// Two-pole things between the same two conductors of one element.
pub(super) struct Crowd {
    pub from: usize,
    pub to: usize,
    /// With the child of the element that each is, or hangs on.
    members: Vec<(ElementId, ElementId)>,
    /// How many hang on each of those children, and what they take together in the normal state.
    tops: FxHashMap<ElementId, (usize, Complex64)>,
    current: Complex64,
    /// By how many volts the nearest of them may fall before it is at its worst.
    least_fall: f64,
}

/// A loss that pulls the voltage of a crowd down.
#[derive(Clone)]
pub(super) struct Fall {
    /// By so many volts.
    volts: f64,
    /// How the voltage between the two conductors changes.
    by: Complex64,
    lost: ElementId,
    /// Children of the element on the loss's own paths, of which it says nothing.
    tops: Vec<ElementId>,
}

/// The losses that pull each crowd down most, the worst first.
pub(super) type Falls = FxHashMap<u32, Vec<Fall>>;

impl Crowds {
    /// The crowds, and how near they are to the worst that is `known`.
    pub fn new(case: &Case<'_>, known: &Extremes) -> Self {
        let graph = case.given.graph;
        let mut crowds = Self {
            of: FxHashMap::default(),
            all: Vec::new(),
        };
        let is_shared = |id: ElementId| graph.conductors_of(id).len() > 2;
        let elements = graph
            .elements()
            .filter(|(_, element)| element.feeder.is_some());
        for (id, _) in elements.filter(|(id, _)| is_shared(*id)) {
            let members = members(case.given, id);
            if members.len() > FEW {
                crowds.add(case, known, id, members);
            }
        }
        crowds
    }

    fn add(&mut self, case: &Case<'_>, known: &Extremes, id: ElementId, members: Vec<Member>) {
        let mut own: Vec<u32> = Vec::new();
        for Member {
            top,
            element,
            from,
            to,
        } in members
        {
            let same = |at: &&u32| {
                let crowd = &self.all[**at as usize];
                (crowd.from, crowd.to) == (from, to)
            };
            let at = own.iter().find(same).copied().unwrap_or_else(|| {
                self.all.push(Crowd::between(from, to));
                own.push(self.all.len() as u32 - 1);
                self.all.len() as u32 - 1
            });
            self.all[at as usize].add(case, known, top, element);
        }
        self.of.insert(id, own);
    }

    /// The crowds on an element; `None` where what hangs there is looked at one by one.
    pub fn of(&self, id: ElementId) -> Option<&[u32]> {
        self.of.get(&id).map(Vec::as_slice)
    }

    pub fn get(&self, crowd: u32) -> &Crowd {
        &self.all[crowd as usize]
    }

    /// What the falls make of the voltages of all members.
    pub fn settle(
        &self,
        falls: &Falls,
        normal: &[Complex64],
        graph: &Graph,
        extremes: &mut Extremes,
    ) {
        for (crowd, falls) in falls {
            for &(element, top) in &self.get(*crowd).members {
                let Some(fall) = falls.iter().find(|fall| !fall.tops.contains(&top)) else {
                    continue;
                };
                let own = graph.conductors_of(element).start;
                let value = (normal[own] - normal[own + 1] + fall.by).norm_sqr().sqrt();
                lower(
                    &mut extremes.voltage[element.index()],
                    value,
                    Some(Loss::Of(fall.lost)),
                );
            }
        }
    }
}

impl Crowd {
    fn between(from: usize, to: usize) -> Self {
        Self {
            from,
            to,
            members: Vec::new(),
            tops: FxHashMap::default(),
            current: Complex64::ZERO,
            least_fall: f64::INFINITY,
        }
    }

    fn add(&mut self, case: &Case<'_>, known: &Extremes, top: ElementId, element: ElementId) {
        let graph = case.given.graph;
        let current = case.normal.current[graph.conductors_of(element).start];
        self.current += current;
        let (count, sum) = self.tops.entry(top).or_default();
        (*count, *sum) = (*count + 1, *sum + current);
        self.members.push((element, top));
        if let Some(voltage) = voltage_across(graph, case.normal, element) {
            let fall = voltage - known.voltage(element).value / (1.0 - OWN_MARGIN);
            self.least_fall = self.least_fall.min(fall);
        }
    }

    /// What the members take in the normal state that do not hang on these children; `None` if there is
    /// none.
    pub fn without(&self, tops: &[ElementId]) -> Option<Complex64> {
        let gone = tops.iter().filter_map(|top| self.tops.get(top));
        let (mut count, mut current) = (self.members.len(), self.current);
        for (members, sum) in gone {
            (count, current) = (count - members, current - sum);
        }
        (count > 0).then_some(current)
    }

    /// By how many volts the voltage between the two conductors falls if it changes like that.
    pub fn fall(&self, given: Given<'_>, by: Complex64) -> f64 {
        let full = given.network.unloaded[self.from] - given.network.unloaded[self.to];
        -(by * full.conj()).re / full.norm().max(f64::MIN_POSITIVE)
    }

    /// Whether a fall can make a member's voltage worse than it is known to get.
    pub fn feels(&self, fall: f64) -> bool {
        fall > 0.0 && fall > self.least_fall
    }
}

/// Keeps a loss that pulls a crowd down, if it is one of the worst.
pub(super) fn keep(falls: &mut Falls, crowd: u32, fall: Fall) {
    let kept = falls.entry(crowd).or_default();
    let before = |other: &Fall| (-other.volts, other.lost) < (-fall.volts, fall.lost);
    let at = kept.partition_point(before);
    if at < KEPT {
        kept.insert(at, fall);
        kept.truncate(KEPT);
    }
}

/// Adds what others have kept.
pub(super) fn join(falls: &mut Falls, others: Falls) {
    for (crowd, others) in others {
        others.into_iter().for_each(|fall| keep(falls, crowd, fall));
    }
}

impl Fall {
    pub fn new(volts: f64, by: Complex64, lost: ElementId, tops: &[ElementId]) -> Self {
        Self {
            volts,
            by,
            lost,
            tops: tops.to_vec(),
        }
    }
}

/// A two-pole thing on an element of several lines, directly or as a bank of a strip there.
struct Member {
    top: ElementId,
    element: ElementId,
    from: usize,
    to: usize,
}

fn members(given: Given<'_>, id: ElementId) -> Vec<Member> {
    let Given { graph, network, .. } = given;
    let up = |at: usize| network.feeder[at] as usize;
    let mut members = Vec::new();
    for top in graph.children(id) {
        let range = graph.conductors_of(top);
        if range.len() == 2 {
            let (from, to) = (up(range.start), up(range.start + 1));
            members.push(Member {
                top,
                element: top,
                from,
                to,
            });
            continue;
        }
        for element in graph.children(top) {
            let range = graph.conductors_of(element);
            if range.len() == 2 {
                let (from, to) = (up(up(range.start)), up(up(range.start + 1)));
                members.push(Member {
                    top,
                    element,
                    from,
                    to,
                });
            }
        }
    }
    members
}
