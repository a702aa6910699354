//! Cords that are plugged into cords: what hangs on each connector, and whether both records say so.

use std::collections::BTreeMap;

use crate::graph::fault::LinkFault;
use crate::graph::links::{CordEnd, CordFeed, FarEnd, Receiver};
use crate::graph::part::name_of;
use crate::model::cords::{Cord, Ends};
use crate::model::decode::Record;
use crate::model::fault::{Fault, Noted};
use crate::model::text::Reference;
use crate::model::value::{Id, Name, Spanned};
use crate::source::Span;

use super::{Resolver, words};

/// The first cord that is plugged into each connector, and where it says so.
pub(super) type Hung = BTreeMap<FarEnd, (Id<Cord>, Span)>;

impl Resolver<'_> {
    /// What is plugged into the connectors of cords. Two plugs for one connector are a fault.
    pub(super) fn hung(&mut self) -> Hung {
        let mut hung = Hung::new();
        let feeds = self.links.cord_feeds.iter().enumerate();
        for (cord, feed) in feeds {
            let cord = Id::new(cord);
            let Some(from) = self.model.cords[cord].from.given() else {
                continue;
            };
            let Some(CordFeed::Cord(end)) = *feed else {
                continue;
            };
            let first = *hung.entry(end).or_insert((cord, from.span));
            if first.0 != cord {
                self.faults.push(LinkFault::DoubleBooked {
                    what: "connector",
                    name: from.value.plain(),
                    first,
                    again: (cord, from.span),
                });
            }
        }
        hung
    }

    /// Adds the ends of a cord that other cords name and it does not name itself; where it names something else,
    /// or nothing where it must, that is a fault.
    pub(super) fn ends_of_line(&mut self, cord: Id<Cord>, hung: &Hung) {
        let first = (cord, None)..=(cord, Some(u32::MAX));
        let own: Vec<_> = hung.range(first).map(|(end, by)| (end.1, *by)).collect();
        if own.is_empty() {
            return self.must_lead_on(cord);
        }
        for (leg, (lower, span)) in own {
            let Some(written) = self.written_end(cord, leg) else {
                let at = Receiver::Cord(lower);
                self.push_end(cord, CordEnd { leg, span, at });
                continue;
            };
            if !matches!(written.at, Receiver::Unknown | Receiver::Cord(_)) {
                let name = self.model.cords[lower].from.known();
                self.faults.push(LinkFault::DoubleBooked {
                    what: "connector",
                    name: name.map(Reference::plain).unwrap_or_default(),
                    first: (cord, written.span),
                    again: (lower, span),
                });
            }
        }
    }

    /// An end of the cord whose ends are being added.
    fn written_end(&self, cord: Id<Cord>, leg: Option<u32>) -> Option<CordEnd> {
        let first = self.links.first_end[cord.index()] as usize;
        let mut own = self.links.ends[first..].iter();
        own.find(|end| end.leg == leg).copied()
    }

    /// A cord that no other is plugged into must say itself what it feeds.
    fn must_lead_on(&mut self, cord: Id<Cord>) {
        let item = &self.model.cords[cord];
        let key = Cord::KEYS.iter().find(|key| key.name == "to");
        let (Ends::Absent, Some(key)) = (&item.to, key) else {
            return;
        };
        if self.model.is_to_come(&item.name.value) {
            return;
        }
        let fault = Fault::MissingKey {
            span: item.name.span,
            owner: Cord::WHAT,
            name: item.name.value.clone(),
            key: key.name,
            holds: key.doc,
        };
        let path = ["cords".into(), item.name.value.clone()];
        self.written.push(Noted::new(fault, path));
    }

    /// A cord that another one names in its `to` must say that it is plugged in there.
    pub(super) fn cords_that_are_named(&mut self, hung: &Hung) {
        for upper in 0..self.model.cords.len() {
            let upper = Id::new(upper);
            let range =
                self.links.first_end[upper.index()]..self.links.first_end[upper.index() + 1];
            for place in range {
                let end = self.links.ends[place as usize];
                let Receiver::Cord(lower) = end.at else {
                    continue;
                };
                if hung.get(&(upper, end.leg)).map(|by| by.0) == Some(lower) {
                    continue;
                }
                self.links.ends[place as usize].at = Receiver::Unknown;
                // What is missing or leads nowhere is told there.
                let says = self.links.cord_feeds[lower.index()];
                if let (Some(from), Some(says)) = (self.model.cords[lower].from.span(), says)
                    && says != CordFeed::Cord((upper, end.leg))
                {
                    self.faults.push(LinkFault::DoubleBooked {
                        what: "plug of cord",
                        name: self.model.cords[lower].name.value.clone(),
                        first: (lower, from),
                        again: (upper, end.span),
                    });
                }
            }
        }
    }

    /// Says what of a cord's `from` leads nowhere.
    pub(super) fn explain_feed(&mut self, from: &Spanned<Reference>, owner: &Name) {
        let cords = &self.model.cords;
        if let Some(upper) = cords.find(&from.value.0) {
            return self.leg_unsaid(upper, from, owner);
        }
        match (cords.find(from.value.owner()), from.value.part()) {
            (Some(upper), Some(part)) if self.lookup().carrier(from.value.owner()).is_none() => {
                let (span, _) = super::span_of(&name_of(from), part);
                let value = part.into();
                self.leg(upper, owner, &Spanned { value, span });
            }
            _ => self.explain_outlet(from, owner),
        }
    }

    /// A splitter has several connectors: which of them is meant must be said.
    fn leg_unsaid(&mut self, upper: Id<Cord>, from: &Spanned<Reference>, owner: &Name) {
        let name = &self.model.cords[upper].name.value;
        let kind = self.links.cord_types[upper.index()].map(|kind| &self.model.cord_types[kind]);
        let legs = kind.map(|kind| words(&kind.legs));
        let legs: Vec<&str> = legs.into_iter().flatten().collect();
        let example = legs.first().copied().unwrap_or("a");
        let fault = Fault::BadValue {
            span: from.span,
            headline: format!(
                "{name} is a splitter with the legs {}, and nothing says which of them cord {owner} is plugged into",
                legs.join(", ")
            ),
            advice: format!("Follow it by hand, and write the leg: `{name}/{example}`."),
            edit: None,
        };
        let path = ["cords".into(), owner.clone(), "from".into()];
        self.written.push(Noted::new(fault, path));
    }
}
