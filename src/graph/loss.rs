//! What fails together: one element with all that hangs on it, all supplies of a feed, or one line of
//! several.

use std::collections::BTreeMap;
use std::ops::Range;

use super::{ElementId, ElementKind, Graph};
use crate::model::Model;
use crate::model::circuits::{Pole, Supply};
use crate::model::value::{Field, Id};

/// A single loss.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Loss {
    /// Of an element; of a supply with all supplies that are fed from it.
    Of(ElementId),
    /// Of a feed that several supplies make, with all that are fed from them; the first of them.
    Feed(ElementId),
    /// Of one line of a supply or circuit that has several: a fuse that blew, a conductor that came loose.
    Line(ElementId, Pole),
    /// No loss, but that a transfer switch stands on its other inlet; what feeds it while it does not.
    Turned(ElementId),
    /// Of a transfer switch itself; what feeds it.
    Switch(ElementId),
}

impl Loss {
    /// The element that is lost; of a feed its first supply.
    pub fn first(self) -> ElementId {
        match self {
            Self::Of(id)
            | Self::Feed(id)
            | Self::Line(id, _)
            | Self::Turned(id)
            | Self::Switch(id) => id,
        }
    }
}

/// What is dead after a loss. What has more lines than the lost one goes on with those, and what hangs on a
/// transfer switch with the other inlet of that.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Dead {
    first: u32,
    end: u32,
    loss: Option<Loss>,
}

impl Dead {
    /// Nothing is.
    pub const NOTHING: Self = Self {
        first: 0,
        end: 0,
        loss: None,
    };

    /// All of it, and all that is cut off its feeder, stands in this range of ids.
    pub fn within(&self) -> Range<u32> {
        self.first..self.end
    }

    /// Whether an element is dead.
    pub fn contains(&self, graph: &Graph, id: ElementId) -> bool {
        self.cuts_off(graph, id) && self.saved_by(graph, id).is_none()
    }

    /// Whether an element has nothing any more of what it hangs on, be it that a switch feeds it otherwise.
    pub fn cuts_off(&self, graph: &Graph, id: ElementId) -> bool {
        let has_it =
            |line| graph.conductors_of(id).len() <= 2 && graph.conductor(id, line).is_some();
        self.within().contains(&id.0)
            && match self.loss {
                Some(Loss::Line(at, line)) => {
                    let reaches = !graph.feeds_supplies(at)
                        || graph.is_below(id, at)
                        || graph.boards_above(id).any(|board| board == at);
                    reaches && has_it(line)
                }
                Some(Loss::Of(source)) if graph.feeds_supplies(source) => {
                    graph.hangs_on(id, &graph.below(source))
                }
                Some(Loss::Feed(first)) if graph.has_sources() => {
                    graph.hangs_on(id, &graph.of_feed(first))
                }
                _ => true,
            }
    }

    /// The place of the switch that feeds an element from its other inlet; of several the nearest.
    pub fn saved_by(&self, graph: &Graph, id: ElementId) -> Option<usize> {
        let above = graph.switches_above(id);
        // A cut behind a switch is nothing to it, nor to those that it hangs on.
        let mut cut = above.take_while(|at| self.is_cut_at(graph, *at));
        cut.find(|at| self.turns(graph, *at))
    }

    /// Whether a switch goes over to its other inlet.
    pub fn turns(&self, graph: &Graph, at: usize) -> bool {
        let switch = &graph.switches()[at];
        let goes = match self.loss {
            Some(Loss::Switch(on)) if on == switch.on => false,
            Some(Loss::Turned(on)) if on == switch.on => true,
            _ => switch.is_by_itself() && self.contains(graph, switch.on),
        };
        goes && switch
            .other
            .is_some_and(|other| !self.contains(graph, other))
    }

    /// Whether a switch has nothing any more of what usually feeds its outlets.
    fn is_cut_at(&self, graph: &Graph, at: usize) -> bool {
        let on = graph.switches()[at].on;
        let is_itself = matches!(self.loss, Some(Loss::Turned(of) | Loss::Switch(of)) if of == on);
        is_itself || self.cuts_off(graph, on)
    }
}

impl Graph {
    /// All that is dead after a loss.
    pub fn dead_after(&self, loss: Loss) -> Dead {
        let within = match loss {
            Loss::Of(id) | Loss::Line(id, _) => self.hull(id),
            Loss::Feed(first) => self.hull_of_feed(first),
            Loss::Turned(on) | Loss::Switch(on) => {
                let switch = self.switch_on(on).map(|at| &self.switches()[at]);
                switch.map_or(0..0, |switch| switch.behind.clone())
            }
        };
        Dead {
            first: within.start,
            end: within.end,
            loss: Some(loss),
        }
    }

    /// Whether an element is dead after a loss.
    pub fn is_dead_after(&self, id: ElementId, loss: Loss) -> bool {
        self.dead_after(loss).contains(self, id)
    }

    /// What hangs on the supplies of a feed themselves.
    pub(super) fn of_feed(&self, first: ElementId) -> Range<u32> {
        first.0..self.feed_ends[&first]
    }

    /// The loss of the whole feed that an element hangs on, where several supplies make it.
    pub fn feed_of(&self, id: ElementId) -> Option<Loss> {
        let feeds = self.feed_ends.range(..=id).next_back();
        let (first, _) = feeds.filter(|(_, end)| id.0 < **end)?;
        Some(Loss::Feed(*first))
    }

    /// The losses of single lines that take an element out.
    pub fn lines_of(&self, id: ElementId) -> impl Iterator<Item = Loss> + '_ {
        let is_split = |at: &ElementId| {
            let has_lines = matches!(
                self.kind(*at),
                ElementKind::Supply(_) | ElementKind::Circuit(_)
            );
            has_lines && self.conductors_of(*at).len() > 2
        };
        let is_single = self.conductors_of(id).len() <= 2;
        let lines = move || {
            self.poles(id)
                .filter(move |pole| is_single && *pole != Pole::N)
        };
        let split = self.upwards(id).chain(self.boards_above(id));
        let split = split.filter(is_split);
        split.flat_map(move |at| lines().map(move |line| Loss::Line(at, line)))
    }

    /// Everything whose loss takes an element out.
    pub fn losses_of(&self, id: ElementId) -> impl Iterator<Item = Loss> + '_ {
        // A transfer switch may save it.
        self.cuts_of(id)
            .filter(move |loss| self.switches().is_empty() || self.is_dead_after(id, *loss))
    }

    /// Everything that cuts an element off what it hangs on, be it that a switch feeds it otherwise.
    pub fn cuts_of(&self, id: ElementId) -> impl Iterator<Item = Loss> + '_ {
        let whole = self.upwards(id).chain(self.sources_above(id)).map(Loss::Of);
        let feeds = self
            .sources_above(id)
            .filter_map(|source| self.feed_of(source));
        let whole = whole.chain(self.feed_of(id)).chain(feeds);
        let switches = self.switches_above(id);
        let switches = switches.map(|at| Loss::Switch(self.switches()[at].on));
        whole.chain(switches).chain(self.lines_of(id))
    }

    /// The supplies that a loss takes out as a whole; none where it is further down.
    pub fn supplies_of(&self, loss: Loss) -> Vec<Id<Supply>> {
        match loss {
            Loss::Of(id) => self.heads_within(self.below(id)),
            Loss::Feed(first) => self.heads_within(self.of_feed(first)),
            Loss::Line(..) | Loss::Turned(_) | Loss::Switch(_) => Vec::new(),
        }
    }

    /// The supplies that stand in a range, each with those behind it.
    fn heads_within(&self, range: Range<u32>) -> Vec<Id<Supply>> {
        let end = range.end;
        let heads = std::iter::successors(Some(ElementId(range.start)), move |at| {
            let next = self.below(*at).end;
            (next < end).then_some(ElementId(next))
        });
        let supplies = heads.filter_map(|id| match self.kind(id) {
            ElementKind::Supply(supply) => Some(supply),
            _ => None,
        });
        self.with_all_behind(supplies.collect())
    }
}

/// The supplies in the order in which they stand in the graph: those of one feed side by side.
pub(super) fn by_feed(model: &Model) -> Vec<Vec<Id<Supply>>> {
    let mut feeds: Vec<Vec<Id<Supply>>> = Vec::new();
    let mut places = BTreeMap::new();
    for (supply, item) in model.supplies.iter() {
        let feed = match &item.feed {
            Field::Given(feed) => Some(feed.value.as_str()),
            Field::Absent | Field::Unreadable(_) => None,
        };
        let known = feed.and_then(|feed| places.get(feed).copied());
        let place = known.unwrap_or_else(|| {
            feeds.push(Vec::new());
            feeds.len() - 1
        });
        places.extend(feed.map(|feed| (feed, place)));
        feeds[place].push(supply);
    }
    feeds
}
