//! What fails together: one element with all that hangs on it, or all supplies of a feed.

use std::collections::BTreeMap;
use std::ops::Range;

use super::{ElementId, ElementKind, Graph};
use crate::model::Model;
use crate::model::circuits::Supply;
use crate::model::value::{Field, Id};

/// A single loss.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Loss {
    /// Of an element.
    Of(ElementId),
    /// Of a feed that several supplies make; the first of them.
    Feed(ElementId),
}

impl Loss {
    /// The element that is lost; of a feed its first supply.
    pub fn first(self) -> ElementId {
        match self {
            Self::Of(id) | Self::Feed(id) => id,
        }
    }
}

impl Graph {
    /// All that is dead after a loss, as a range of ids.
    pub fn dead_after(&self, loss: Loss) -> Range<u32> {
        match loss {
            Loss::Of(id) => self.below(id),
            Loss::Feed(first) => first.0..self.feed_ends[&first],
        }
    }

    /// Whether an element is dead after a loss.
    pub fn is_dead_after(&self, id: ElementId, loss: Loss) -> bool {
        self.dead_after(loss).contains(&id.0)
    }

    /// The loss of the whole feed that an element hangs on, where several supplies make it.
    pub fn feed_of(&self, id: ElementId) -> Option<Loss> {
        let feeds = self.feed_ends.range(..=id).next_back();
        let (first, _) = feeds.filter(|(_, end)| id.0 < **end)?;
        Some(Loss::Feed(*first))
    }

    /// Everything whose loss takes an element out.
    pub fn losses_of(&self, id: ElementId) -> impl Iterator<Item = Loss> + '_ {
        self.upwards(id).map(Loss::Of).chain(self.feed_of(id))
    }

    /// The supplies that a loss takes out; none where it is further down.
    pub fn supplies_of(&self, loss: Loss) -> impl Iterator<Item = Id<Supply>> + '_ {
        let dead = self.dead_after(loss);
        let heads = std::iter::successors(Some(loss.first()), move |at| {
            let next = self.below(*at).end;
            (next < dead.end).then_some(ElementId(next))
        });
        heads.filter_map(|id| match self.kind(id) {
            ElementKind::Supply(supply) => Some(supply),
            _ => None,
        })
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
