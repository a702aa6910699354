//! How the worst current of an element stands to the lowest of its limits: what every output shows
//! beside each other, and what the check would say of it.

use crate::flow::Worst;
use crate::graph::{ElementId, ElementKind, Loss};
use crate::model::circuits::Pole;
use crate::quantity::{
    ApparentPower, Current, InUnits, Scalar, amperes, show_rounded, volt_amperes,
};

use super::excess::{self, Excess, Part as Delivering};
use super::{Analysis, Limit, Limits, exceeds};

/// What is left up to a limit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Margin<Q> {
    /// So much; negative where the limit is passed.
    Known(Q),
    /// So much at the most, since a load or another limit is not known.
    AtMost(Q),
    /// Nobody can tell.
    Unknown,
    /// Nothing of its own bounds it.
    Unbounded,
}

impl<Q: Scalar> Margin<Q> {
    /// As words: `2.1 A to spare`, `at most 2.1 A to spare`, `0.3 A above it`.
    pub fn words(self) -> Option<String> {
        let is_above = |left: Q| left.to_si() < 0.0;
        Some(match self {
            Self::Known(left) | Self::AtMost(left) if is_above(left) => {
                let more = show_rounded(Q::from_si(-left.to_si()));
                match self {
                    Self::Known(_) => format!("{more} above it"),
                    _ => format!("at least {more} above it"),
                }
            }
            Self::Known(left) => format!("{} to spare", show_rounded(left)),
            Self::AtMost(left) => format!("at most {} to spare", show_rounded(left)),
            Self::Unknown => "what is to spare is not known".to_owned(),
            Self::Unbounded => return None,
        })
    }
}

/// What the check would say.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stands {
    /// No limit is passed, and nothing that counts is unknown.
    Within,
    /// Not known to pass a limit, but nobody can tell.
    Open,
    /// A limit is passed.
    Above,
}

impl Stands {
    /// Its words; none where there is nothing to say.
    pub fn words(self) -> &'static str {
        match self {
            Self::Within => "",
            Self::Open => "not decided",
            Self::Above => "above",
        }
    }
}

/// A current beside its limit.
#[derive(Clone, Debug)]
pub struct Standing {
    /// In the normal state; `None` if it is not known.
    pub normal: Option<Current>,
    /// Over the normal state and every single loss; `None` if it is not known.
    pub worst: Option<Worst>,
    /// Whether more may flow than is known.
    pub more_may_flow: bool,
    /// The lowest limit that is known.
    pub limit: Option<Limit>,
    /// The gravest limit that is passed.
    pub passed: Option<Limit>,
    /// Limits that cannot be told and may lie lower, each with why.
    pub untold: Vec<String>,
}

impl Standing {
    /// What is left up to the lowest limit at the worst.
    pub fn margin(&self) -> Margin<Current> {
        let (worst, limit) = (self.worst.as_ref(), self.limit.as_ref());
        let is_bound = self.more_may_flow || !self.untold.is_empty();
        match worst.zip(limit) {
            Some((worst, limit)) => {
                let left = limit.current.in_amperes() - worst.current.in_amperes();
                match is_bound {
                    true => Margin::AtMost(amperes(left)),
                    false => Margin::Known(amperes(left)),
                }
            }
            None if limit.is_none() && self.untold.is_empty() => Margin::Unbounded,
            None => Margin::Unknown,
        }
    }

    /// What the check would say.
    pub fn stands(&self) -> Stands {
        let is_bounded = self.limit.is_some() || !self.untold.is_empty();
        let is_open = self.more_may_flow || self.worst.is_none() || !self.untold.is_empty();
        match self.passed {
            Some(_) => Stands::Above,
            None if is_bounded && is_open => Stands::Open,
            None => Stands::Within,
        }
    }
}

/// What a supply delivers beside its capacity.
#[derive(Clone, Debug)]
pub struct Delivery {
    /// In the normal state.
    pub normal: ApparentPower,
    /// Over the normal state and every single loss.
    pub worst: ApparentPower,
    /// What is lost then; `None` in the normal state.
    pub lost: Option<Loss>,
    /// Whether more may be delivered than is known.
    pub more_may_flow: bool,
    /// What it can deliver, if anybody says.
    pub capacity: Option<ApparentPower>,
    /// The line alone that has more than its part of the capacity, where the whole is within it.
    pub line_above: Option<Pole>,
}

impl Delivery {
    /// What is left of the capacity at the worst.
    pub fn margin(&self) -> Margin<ApparentPower> {
        let Some(capacity) = self.capacity else {
            return Margin::Unknown;
        };
        let left = volt_amperes(capacity.in_volt_amperes() - self.worst.in_volt_amperes());
        match self.more_may_flow {
            true => Margin::AtMost(left),
            false => Margin::Known(left),
        }
    }

    /// What the check would say of all lines together, and of each.
    pub fn stands(&self) -> Stands {
        match self.line_above {
            Some(_) => Stands::Above,
            None => self.whole_stands(),
        }
    }

    /// What the check would say of all lines together.
    pub fn whole_stands(&self) -> Stands {
        let is_loaded = self.more_may_flow || self.worst.in_volt_amperes() > 0.0;
        match self.capacity {
            Some(capacity) if excess::is_above(self.worst, capacity) => Stands::Above,
            Some(_) if !self.more_may_flow => Stands::Within,
            None if !is_loaded => Stands::Within,
            _ => Stands::Open,
        }
    }
}

/// An element with everything that bounds it, for whoever asks several things of it.
pub struct Held<'s> {
    analysis: &'s Analysis<'s>,
    id: ElementId,
    limits: Limits,
    more_may_flow: bool,
}

impl Held<'_> {
    /// The lines of the element beside its lowest limit.
    pub fn lines(&self) -> Standing {
        let Analysis { graph, flows, .. } = *self.analysis;
        let normal = flows.normal(graph, self.id);
        self.against(
            normal.map(|normal| normal.current),
            flows.worst(graph, self.id),
        )
    }

    /// One pole of the element beside what bounds it there: a line as all of them, the neutral of several
    /// by what it may carry itself.
    pub fn on(&self, pole: Pole) -> Standing {
        let Analysis { graph, flows, .. } = *self.analysis;
        let mut normal = flows.normal_currents(graph, self.id);
        let normal = normal.find_map(|(at, current)| (at == pole).then_some(current));
        let standing = self.against(normal, flows.worst_on(graph, self.id, pole));
        match pole == Pole::N && self.has_several_lines() {
            true => self.of_neutral(standing),
            false => standing,
        }
    }

    /// Whether a line or the neutral passes a limit.
    pub fn is_above(&self) -> bool {
        let is_above = |standing: Standing| standing.stands() == Stands::Above;
        let mut poles = self.analysis.graph.poles(self.id);
        let has_neutral = self.has_several_lines() && poles.any(|pole| pole == Pole::N);
        is_above(self.lines()) || (has_neutral && is_above(self.on(Pole::N)))
    }

    fn has_several_lines(&self) -> bool {
        self.analysis.graph.conductors_of(self.id).len() > 2
    }

    /// A load that is not known may as well relieve a neutral as burden it.
    fn of_neutral(&self, standing: Standing) -> Standing {
        let worst = standing.worst.filter(|_| !self.more_may_flow);
        let limit = self.analysis.neutral_limit(self.id);
        let is_above =
            |limit: &&Limit| worst.is_some_and(|worst| exceeds(worst.current, limit.current));
        Standing {
            normal: standing.normal.filter(|_| !self.more_may_flow),
            passed: limit.as_ref().filter(is_above).cloned(),
            worst,
            limit,
            ..standing
        }
    }

    fn against(&self, normal: Option<Current>, worst: Option<Worst>) -> Standing {
        let is_known = self.analysis.leads_on(self.id);
        let worst = worst.filter(|_| is_known);
        let carried = worst.map(|worst| worst.current);
        let passed = carried.and_then(|carried| self.limits.crossed_by(carried));
        let untold = self.limits.untold(carried.filter(|_| !self.more_may_flow));
        Standing {
            normal: normal.filter(|_| is_known),
            worst,
            more_may_flow: self.more_may_flow,
            limit: self.limits.lowest().cloned(),
            passed: passed.cloned(),
            untold: untold.map(String::from).collect(),
        }
    }
}

impl<'a> Analysis<'a> {
    /// An element with everything that bounds it.
    pub fn held(&self, id: ElementId) -> Held<'_> {
        Held {
            analysis: self,
            id,
            limits: self.limits(id),
            // Of supplies that are fed from it only their power is known, not on which lines.
            more_may_flow: self.more_may_flow(id) || self.graph.feeds_supplies(id),
        }
    }

    /// What a supply delivers; `None` for everything else.
    pub fn delivery(&self, id: ElementId) -> Option<Delivery> {
        let ElementKind::Supply(supply) = self.graph.kind(id) else {
            return None;
        };
        let capacity = self.model.supplies[supply].capacity.known().copied();
        let (worst, lost) = self.flows.worst_power(supply);
        let excess = capacity.and_then(|capacity| excess::worst(self, id, supply, capacity));
        let line_above = match excess {
            Some(Excess {
                part: Delivering::Line(pole),
                ..
            }) => Some(pole),
            _ => None,
        };
        Some(Delivery {
            normal: self.flows.normal_power(self.graph, id),
            worst,
            lost,
            more_may_flow: self.more_is_delivered(id),
            capacity,
            line_above,
        })
    }
}
