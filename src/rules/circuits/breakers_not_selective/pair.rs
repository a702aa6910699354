//! Two breakers in a row, held against each other by rating and curve.
//!
//! By rating and curve it can be shown only up to where the one ahead is sure to hold at once (IEC 60898-1). Above that
//! both may open; that the nearer one limits the current enough is known to its maker's table alone.

use crate::analysis::{Analysis, exceeds};
use crate::flow::protection::breaker_field;
use crate::graph::{ElementId, ElementKind};
use crate::model::circuits::Breaker;
use crate::model::value::Field;
use crate::quantity::{Current, InUnits};
use crate::tables::breakers::{self, Curve, instantaneous_band};

use super::claim::Claim;

/// A breaker and whose it is.
#[derive(Clone, Copy)]
pub(super) struct Placed<'a> {
    pub at: ElementId,
    pub breaker: &'a Field<Breaker>,
}

/// The breaker of a bank and the next one ahead.
pub(super) struct Pair<'a> {
    pub own: Placed<'a>,
    pub ahead: Placed<'a>,
}

/// What can be said of them.
pub(super) enum Verdict {
    /// The nearer one opens alone at every current there.
    Selective,
    /// The one ahead is not larger by enough: on an overload either may open first.
    Rating {
        /// What it should be rated at the least; of equal ones more than the nearer.
        needed: Option<Current>,
    },
    /// The one ahead may open at once at a current at which the nearer one need not yet.
    Bands { holds: Current, opens: Current },
    /// By its maker's table both may open there.
    Table { upto: Current },
    /// Only its maker's table can tell.
    NoTable { holds: Option<Current> },
    /// What a short circuit draws there is not known.
    NoFault,
    /// The rating of one of them is not known: of the one ahead, if not its own.
    NoRating { is_own: bool },
    /// The conductors up to it are not described well enough to tell what a short circuit draws there.
    NoWay { at: ElementId },
}

impl Verdict {
    /// Its place among the verdicts.
    pub fn number(&self) -> u8 {
        match self {
            Self::Selective => 0,
            Self::Rating { .. } => 1,
            Self::Bands { .. } => 2,
            Self::Table { .. } => 3,
            Self::NoTable { .. } => 4,
            Self::NoFault => 5,
            Self::NoRating { is_own } => 6 + u8::from(*is_own),
            Self::NoWay { .. } => 8,
        }
    }
}

impl<'a> Pair<'a> {
    /// `None` where nothing is ahead of a bank that could have a breaker.
    pub fn at(analysis: &Analysis<'a>, id: ElementId) -> Option<Self> {
        let (model, graph) = (analysis.model, analysis.graph);
        let placed = |at: ElementId| {
            let breaker = breaker_field(model, graph, at)?;
            Some(Placed { at, breaker })
        };
        let own = placed(id)?;
        // A bank of a strip ahead may have none; a circuit has one, written or not.
        let mut ahead = graph.upwards(id).skip(1).filter_map(placed);
        let ahead = ahead.find(|ahead| {
            let is_circuit = matches!(graph.kind(ahead.at), ElementKind::Circuit(_));
            is_circuit || !ahead.breaker.is_absent()
        })?;
        Some(Self { own, ahead })
    }

    pub fn verdict(&self, claim: &Claim<'_>, fault: Option<Current>) -> Verdict {
        let Some((own, own_rating)) = rated(&self.own) else {
            return Verdict::NoRating { is_own: true };
        };
        let Some((ahead, rating)) = rated(&self.ahead) else {
            return Verdict::NoRating { is_own: false };
        };
        if !exceeds(rating, own_rating) {
            return Verdict::Rating { needed: None };
        }
        let upto = claim.upto.map(|upto| upto.value);
        if let Some(upto) = upto {
            return match fault {
                None => Verdict::NoFault,
                Some(fault) if exceeds(fault, upto) => Verdict::Table { upto },
                Some(_) => Verdict::Selective,
            };
        }
        if let Some(needed) = least_ahead((own, own_rating), (ahead, rating))
            && exceeds(needed, rating)
        {
            return Verdict::Rating {
                needed: Some(needed),
            };
        }
        let (Some(holds), Some(opens)) = (holds(ahead, rating), opens(own, own_rating)) else {
            return Verdict::NoTable { holds: None };
        };
        match fault {
            _ if exceeds(opens, holds) => Verdict::Bands { holds, opens },
            None => Verdict::NoFault,
            Some(fault) if exceeds(fault, holds) => Verdict::NoTable { holds: Some(holds) },
            Some(_) => Verdict::Selective,
        }
    }
}

fn rated<'a>(placed: &Placed<'a>) -> Option<(&'a Breaker, Current)> {
    let breaker = placed.breaker.known()?;
    Some((breaker, breaker.rating.known().copied()?))
}

/// What the one ahead must be rated at so that it holds what is sure to open the nearer one; `None` where a curve is
/// not known, or of a standard that sets no such band.
fn least_ahead(
    (own, own_rating): (&Breaker, Current),
    (ahead, rating): (&Breaker, Current),
) -> Option<Current> {
    let curve = |breaker: &Breaker| {
        let curve = breaker.curve.known().copied();
        curve.filter(|curve| *curve != Curve::InverseTime)
    };
    let opens = breakers::conventional_tripping(curve(own)?, own_rating)?;
    let holds = breakers::conventional_holding(curve(ahead)?, rating)?;
    let tripping = own_rating * opens.value;
    Some(tripping * (1.0 / holds.value.in_parts_of_one()))
}

/// Up to where a breaker is sure to hold at once: by its maker's word or its standard's band. That of inverse-time
/// breakers is common practice, and shows nothing.
fn holds(breaker: &Breaker, rating: Current) -> Option<Current> {
    match &breaker.instantaneous {
        Field::Given(own) => own.value.holds.known().copied(),
        Field::Unreadable(_) => None,
        Field::Absent => Some(rating * band(breaker)?.holds_to),
    }
}

/// From where on it is sure to open at once.
fn opens(breaker: &Breaker, rating: Current) -> Option<Current> {
    match &breaker.instantaneous {
        Field::Given(own) => own.value.opens.known().copied(),
        Field::Unreadable(_) => None,
        Field::Absent => Some(rating * band(breaker)?.opens_from),
    }
}

fn band(breaker: &Breaker) -> Option<breakers::InstantaneousBand> {
    let curve = breaker.curve.known().copied();
    instantaneous_band(curve.filter(|curve| *curve != Curve::InverseTime)?)
}
