//! Circuits and strips in electrical order, and the strips of every rack: what else is near.

use rustc_hash::FxHashMap;

use crate::graph::{ElementId, ElementKind};
use crate::model::pdus::Pdu;
use crate::model::places::Rack;
use crate::model::value::Id;

use super::Analysis;

/// What stands near what.
#[derive(Debug)]
pub(super) struct Order {
    circuits: Vec<ElementId>,
    pdus: Vec<ElementId>,
    by_rack: FxHashMap<Id<Rack>, Vec<Id<Pdu>>>,
}

impl Order {
    pub(super) fn of(analysis: &Analysis<'_>) -> Self {
        let mut order = Self {
            circuits: Vec::new(),
            pdus: Vec::new(),
            by_rack: FxHashMap::default(),
        };
        for (id, element) in analysis.graph.elements() {
            match element.kind {
                ElementKind::Circuit(_) => order.circuits.push(id),
                ElementKind::Pdu(_) => order.pdus.push(id),
                _ => {}
            }
        }
        for (pdu, rack) in analysis.graph.links.pdu_racks.iter().enumerate() {
            if let Some(rack) = rack {
                order.by_rack.entry(*rack).or_default().push(Id::new(pdu));
            }
        }
        order
    }
}

impl<'a> Analysis<'a> {
    /// All circuits that hang on a supply, the one nearest to an element first.
    pub fn circuits_near(&self, id: ElementId) -> impl Iterator<Item = ElementId> + use<'a> {
        nearest_first(&self.shared.order(self).circuits, id)
    }

    /// All strips that hang on a supply, the one nearest to an element first.
    pub fn pdus_near(&self, id: ElementId) -> impl Iterator<Item = ElementId> + use<'a> {
        nearest_first(&self.shared.order(self).pdus, id)
    }

    /// The strips in a rack, in the order of the definitions.
    pub fn pdus_in_rack(&self, rack: Id<Rack>) -> &'a [Id<Pdu>] {
        let pdus = self.shared.order(self).by_rack.get(&rack);
        pdus.map_or(&[], Vec::as_slice)
    }
}

/// Elements from a place on; of two that are as near the first.
fn nearest_first(all: &[ElementId], id: ElementId) -> impl Iterator<Item = ElementId> + '_ {
    let (before, after) = all.split_at(all.partition_point(|at| *at < id));
    let mut before = before.iter().rev().copied().peekable();
    let mut after = after.iter().copied().peekable();
    std::iter::from_fn(move || match (before.peek(), after.peek()) {
        (Some(a), Some(b)) if id.0 - a.0 <= b.0 - id.0 => before.next(),
        (_, Some(_)) => after.next(),
        (_, None) => before.next(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_come_first_and_of_two_the_earlier() {
        let all = [1, 4, 5, 6, 9].map(ElementId);
        let near = |id: u32| -> Vec<u32> {
            let near = nearest_first(&all, ElementId(id));
            near.map(|id| id.0).collect()
        };
        assert_eq!(near(5), [5, 4, 6, 1, 9]);
        assert_eq!(near(0), [1, 4, 5, 6, 9]);
        assert_eq!(near(7), [6, 5, 9, 4, 1]);
        assert_eq!(near(99), [9, 6, 5, 4, 1]);
    }
}
