//! Which supply every supply is fed from: a UPS from a transformer, a board from a UPS. A supply holds its voltage
//! and makes its own faults, so that only its load, and its loss, reach beyond it.

use std::collections::BTreeMap;
use std::ops::Range;

use crate::model::Model;
use crate::model::circuits::Supply;
use crate::model::value::Id;
use crate::quantity::percent;

use super::fault::LinkFault;
use super::{ElementId, ElementKind, Graph};

/// How many supplies may stand ahead of one: far more than there are in any building, and few enough that a list
/// of thousands that feed each other does not take the square of its size.
const MOST_AHEAD: usize = 8;

/// The supplies, each with the one that it is fed from.
#[derive(Clone, Debug, Default)]
pub struct Ahead {
    sources: Vec<Option<Id<Supply>>>,
    behind: Vec<Vec<Id<Supply>>>,
    /// Whether each passes on the lines of its source as they are: a switchboard of the same system.
    passes_lines: Vec<bool>,
    too_deep: Vec<Id<Supply>>,
    /// What stands on the far side of each supply that feeds others: the range that all of it lies in.
    hulls: Vec<Option<(u32, u32)>>,
    /// The same of feeds, by their first supplies.
    feed_hulls: BTreeMap<ElementId, (u32, u32)>,
    /// The supplies as elements, ascending.
    heads: Vec<ElementId>,
}

impl Ahead {
    /// Takes the sources as they are written, but for circles and rows that are too long.
    pub(super) fn of(model: &Model, graph: &Graph) -> Self {
        let sources = &graph.links.supply_sources;
        let passes_lines = model.supplies.items().iter().zip(sources);
        let passes_lines = passes_lines.map(|(supply, source)| {
            let source = source.map(|source| &model.supplies[source]);
            source.is_some_and(|source| is_board(supply, source))
        });
        let mut ahead = Self {
            passes_lines: passes_lines.collect(),
            sources: sources.clone(),
            ..Self::default()
        };
        ahead.part_rings();
        ahead.part_rows();
        ahead.behind = vec![Vec::new(); ahead.sources.len()];
        for (at, source) in ahead.sources.iter().enumerate() {
            if let Some(source) = source {
                ahead.behind[source.index()].push(Id::new(at));
            }
        }
        ahead.hulls = ahead.hulls(graph);
        ahead.heads = graph.supplies.iter().copied().flatten().collect();
        ahead.heads.sort_unstable();
        ahead.feed_hulls = ahead.feed_hulls(graph);
        ahead
    }

    /// The supplies ahead of one, the nearest first.
    fn above(&self, supply: Id<Supply>) -> impl Iterator<Item = Id<Supply>> + '_ {
        let source = |at: &Id<Supply>| self.sources[at.index()];
        std::iter::successors(source(&supply), source)
    }

    /// What is in a circle is fed from nothing that is known.
    fn part_rings(&mut self) {
        for ring in rings(&self.sources) {
            ring.iter().for_each(|at| self.sources[at.index()] = None);
        }
    }

    fn part_rows(&mut self) {
        let mut depths: Vec<Option<usize>> = vec![None; self.sources.len()];
        for start in 0..self.sources.len() {
            let mut row = vec![Id::new(start)];
            while let Some(source) = self.sources[row[row.len() - 1].index()]
                && depths[row[row.len() - 1].index()].is_none()
            {
                row.push(source);
            }
            for at in row.into_iter().rev() {
                let depth = match self.sources[at.index()] {
                    Some(source) => depths[source.index()].unwrap_or(0) + 1,
                    None => 0,
                };
                if depth > MOST_AHEAD {
                    self.sources[at.index()] = None;
                    self.too_deep.push(at);
                }
                depths[at.index()] = Some(if depth > MOST_AHEAD { 0 } else { depth });
            }
        }
    }

    fn feed_hulls(&self, graph: &Graph) -> BTreeMap<ElementId, (u32, u32)> {
        let of_feed = |(first, end): (&ElementId, &u32)| {
            let members = self.heads.partition_point(|head| head < first)
                ..self.heads.partition_point(|head| head.0 < *end);
            let hulls = self.heads[members]
                .iter()
                .filter_map(|head| match graph.kind(*head) {
                    ElementKind::Supply(supply) => self.hulls[supply.index()],
                    _ => None,
                });
            let own = (first.0, *end);
            let hull = hulls.fold(own, |sum, hull| (sum.0.min(hull.0), sum.1.max(hull.1)));
            (*first, hull)
        };
        graph.feed_ends.iter().map(of_feed).collect()
    }

    fn hulls(&self, graph: &Graph) -> Vec<Option<(u32, u32)>> {
        let mut hulls: Vec<Option<(u32, u32)>> = vec![None; self.sources.len()];
        for (at, id) in graph.supplies.iter().enumerate() {
            let Some(own) = id.map(|id| graph.below(id)) else {
                continue;
            };
            for source in self.above(Id::new(at)) {
                let Some(element) = graph.supply(source) else {
                    continue;
                };
                let of_source = graph.below(element);
                let hull = &mut hulls[source.index()];
                let (first, end) = hull.unwrap_or((of_source.start, of_source.end));
                *hull = Some((first.min(own.start), end.max(own.end)));
            }
        }
        hulls
    }
}

/// Whether a supply passes on the lines of another as they are.
fn is_board(supply: &Supply, source: &Supply) -> bool {
    let efficiency = supply.efficiency.known();
    let systems = (supply.system.known(), source.system.known());
    efficiency.is_some_and(|efficiency| *efficiency == percent(100.0))
        && matches!(systems, (Some(own), Some(ahead)) if own == ahead)
}

/// Supplies that are fed from themselves through others, each circle once, from the one in it that was written
/// first.
fn rings(sources: &[Option<Id<Supply>>]) -> Vec<Vec<Id<Supply>>> {
    let mut walks = vec![0; sources.len()];
    let mut rings = Vec::new();
    for (start, walk) in (0..sources.len()).zip(1..) {
        let mut at = Some(Id::new(start));
        while let Some(supply) = at {
            match walks[supply.index()] {
                0 => walks[supply.index()] = walk,
                met if met == walk => {
                    rings.push(ring(sources, supply));
                    break;
                }
                _ => break,
            }
            at = sources[supply.index()];
        }
    }
    rings
}

fn ring(sources: &[Option<Id<Supply>>], first: Id<Supply>) -> Vec<Id<Supply>> {
    let source = |at: &Id<Supply>| sources[at.index()];
    let others = std::iter::successors(source(&first), source);
    let mut ring = vec![first];
    ring.extend(others.take_while(|at| *at != first));
    let least = (0..ring.len()).min_by_key(|place| ring[*place]);
    ring.rotate_left(least.unwrap_or(0));
    ring
}

/// Every circle of supplies, to be told.
pub(super) fn faults(sources: &[Option<Id<Supply>>]) -> Vec<LinkFault> {
    let rings = rings(sources).into_iter();
    rings.map(|ring| LinkFault::SourceLoop { ring }).collect()
}

impl Graph {
    /// The supply that a supply is fed from, if it is drawn.
    pub fn source_of(&self, supply: Id<Supply>) -> Option<Id<Supply>> {
        self.ahead.sources[supply.index()]
    }

    /// The supplies ahead of a supply, the nearest first.
    pub fn sources_of(&self, supply: Id<Supply>) -> impl Iterator<Item = Id<Supply>> + '_ {
        self.ahead.above(supply)
    }

    /// All supplies, those behind others before those ahead of them.
    pub fn supplies_behind_first(&self) -> Vec<Id<Supply>> {
        let mut supplies: Vec<Id<Supply>> = (0..self.supplies.len()).map(Id::new).collect();
        supplies.sort_by_key(|supply| std::cmp::Reverse(self.sources_of(*supply).count()));
        supplies
    }

    /// Whether any supply is fed from another.
    pub fn has_sources(&self) -> bool {
        self.ahead.sources.iter().any(Option::is_some)
    }

    /// The first of the supplies ahead of one; itself where there is none.
    pub fn first_source(&self, supply: Id<Supply>) -> Id<Supply> {
        self.ahead.above(supply).last().unwrap_or(supply)
    }

    /// The supplies that are fed straight from a supply, in the order of the definitions.
    pub fn behind(&self, supply: Id<Supply>) -> &[Id<Supply>] {
        &self.ahead.behind[supply.index()]
    }

    /// Some supplies and all that are fed from them, be it through others, each once.
    pub fn with_all_behind(&self, supplies: Vec<Id<Supply>>) -> Vec<Id<Supply>> {
        let (mut all, mut at) = (supplies, 0);
        while let Some(next) = all.get(at) {
            all.extend_from_slice(self.behind(*next));
            at += 1;
        }
        if self.has_sources() {
            all.sort_unstable();
            all.dedup();
        }
        all
    }

    /// The supplies ahead of the one that an element hangs on, as elements, the nearest first.
    pub fn sources_above(&self, id: ElementId) -> impl Iterator<Item = ElementId> + '_ {
        let own = self.has_sources().then(|| self.supply_of(id)).flatten();
        let ahead = own.into_iter().flat_map(|own| self.ahead.above(own));
        ahead.filter_map(|source| self.supply(source))
    }

    /// The supplies ahead of the one that an element hangs on whose lines reach it as they are, the nearest first.
    pub(super) fn boards_above(&self, id: ElementId) -> impl Iterator<Item = ElementId> + '_ {
        let own = self.has_sources().then(|| self.supply_of(id)).flatten();
        let passes = |at: &Id<Supply>| self.ahead.passes_lines[at.index()];
        let boards = std::iter::successors(own, move |at| {
            passes(at).then(|| self.source_of(*at)).flatten()
        });
        boards.skip(1).filter_map(|source| self.supply(source))
    }

    /// Whether other supplies are fed from an element.
    pub fn feeds_supplies(&self, id: ElementId) -> bool {
        match self.kind(id) {
            ElementKind::Supply(supply) => !self.behind(supply).is_empty(),
            _ => false,
        }
    }

    /// Supplies behind so many others that what feeds them is left out.
    pub fn supplies_too_deep(&self) -> &[Id<Supply>] {
        &self.ahead.too_deep
    }

    /// What may hang on an element, be it through other supplies: the range that all of it lies in.
    pub(super) fn hull(&self, id: ElementId) -> Range<u32> {
        let hull = match self.kind(id) {
            ElementKind::Supply(supply) => self.ahead.hulls[supply.index()],
            _ => None,
        };
        hull.map_or_else(|| self.below(id), |(first, end)| first..end)
    }

    /// The same of a feed.
    pub(super) fn hull_of_feed(&self, first: ElementId) -> Range<u32> {
        let hull = self.ahead.feed_hulls.get(&first);
        hull.map_or_else(|| self.of_feed(first), |(first, end)| *first..*end)
    }

    /// Whether an element hangs on supplies that stand in this range, be it through others that are fed from them.
    pub(super) fn hangs_on(&self, id: ElementId, sources: &Range<u32>) -> bool {
        if sources.contains(&id.0) {
            return true;
        }
        let heads = &self.ahead.heads;
        let at = heads.partition_point(|head| *head <= id);
        let head = at.checked_sub(1).map(|at| self.kind(heads[at]));
        let Some(ElementKind::Supply(own)) = head else {
            return false;
        };
        self.sources_of(own)
            .any(|ahead| self.supply(ahead).is_some_and(|at| sources.contains(&at.0)))
    }
}
