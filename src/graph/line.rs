//! Cords that are plugged into each other: the line from an outlet to what it feeds.

use crate::model::cords::Cord;
use crate::model::value::Id;

use super::links::{CordFeed, FarEnd, Links, Receiver};

impl Links {
    /// The connector that a cord is plugged into, where it hangs on another cord.
    pub fn joint_above(&self, cord: Id<Cord>) -> Option<FarEnd> {
        match self.cord_feeds[cord.index()]? {
            CordFeed::Cord(end) => Some(end),
            CordFeed::Outlet(_) | CordFeed::Receptacle(_) => None,
        }
    }

    /// The far end of a cord and those it hangs on, up to the one at the outlet.
    pub fn line_above(&self, end: FarEnd) -> impl Iterator<Item = FarEnd> + '_ {
        let ends = std::iter::successors(Some(end), |end| self.joint_above(end.0));
        ends.take(self.most_in_a_row + 1)
    }

    /// What the first cord of a line is plugged into; `None` where nobody knows, in a ring, and where more cords
    /// hang on each other than are looked at.
    pub fn line_feed(&self, cord: Id<Cord>) -> Option<CordFeed> {
        let (first, _) = self.line_above((cord, None)).last()?;
        self.cord_feeds[first.index()].filter(|feed| !matches!(feed, CordFeed::Cord(_)))
    }

    /// What a cord feeds in the end, through the cords that are plugged into it: never a cord.
    pub fn line_ends(&self, cord: Id<Cord>) -> impl Iterator<Item = Receiver> + '_ {
        let below = self.line_below(cord);
        below.filter(|at| !matches!(at, Receiver::Cord(_)))
    }

    /// What a cord feeds, and what those that are plugged into it feed, in electrical order.
    pub fn line_below(&self, cord: Id<Cord>) -> LineBelow<'_> {
        LineBelow {
            links: self,
            cord,
            next: 0,
            others: Vec::new(),
        }
    }
}

/// What a cord feeds, and what those that are plugged into it feed.
pub struct LineBelow<'a> {
    links: &'a Links,
    cord: Id<Cord>,
    /// The next end of the cord.
    next: usize,
    /// Cords above it, and their next ends.
    others: Vec<(Id<Cord>, usize)>,
}

impl Iterator for LineBelow<'_> {
    type Item = Receiver;

    fn next(&mut self) -> Option<Receiver> {
        loop {
            let Some(end) = self.links.cord_ends(self.cord).get(self.next) else {
                (self.cord, self.next) = self.others.pop()?;
                continue;
            };
            self.next += 1;
            let Receiver::Cord(lower) = end.at else {
                return Some(end.at);
            };
            if self.others.len() >= self.links.most_in_a_row {
                return Some(Receiver::Unknown);
            }
            self.others.push((self.cord, self.next));
            (self.cord, self.next) = (lower, 0);
            return Some(end.at);
        }
    }
}
