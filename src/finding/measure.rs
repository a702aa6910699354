//! The number that a fault is about, held against the limit that it crosses.

use std::cmp::Ordering;
use std::hash::{Hash, Hasher};

use crate::model::signed::Signed;
use crate::quantity::{Amount, Quantity};

/// What a finding measured, and the limit that it lies beyond.
#[derive(Clone, Copy, Debug)]
pub struct Measure {
    /// What was measured or worked out.
    pub value: Amount,
    /// What it may be.
    pub limit: Amount,
    /// To which side it gets worse.
    pub worse: Side,
}

/// The side of a limit on which a value is wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Side {
    /// Too much of it, as of a current.
    Above,
    /// Too little of it, as of a length that does not reach.
    Below,
}

/// How a measure moved between two judgements.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Move {
    /// Away from the limit, or the limit came down on it.
    Worse,
    /// Neither the value nor its share of the limit moved by anything that could be measured.
    Same,
    /// Towards the limit.
    Better,
}

/// Moves by less than this part of the limit come of rounding, and of currents elsewhere that shift
/// a voltage by a hair; common practice, below what a clamp can read.
const NOTICED: f64 = 1e-3;

impl Measure {
    /// A value above what it may be.
    pub fn above(value: impl Into<Amount>, limit: impl Into<Amount>) -> Self {
        Self {
            value: value.into(),
            limit: limit.into(),
            worse: Side::Above,
        }
    }

    /// A value below what it must be.
    pub fn below(value: impl Into<Amount>, limit: impl Into<Amount>) -> Self {
        Self {
            worse: Side::Below,
            ..Self::above(value, limit)
        }
    }

    /// Whether the two can be held against each other.
    pub fn is_like(&self, other: &Self) -> bool {
        self.value.is_like(other.value) && self.worse == other.worse
    }

    /// How this measure stands to an `earlier` one of the same fault. By the value, or by its share
    /// of the limit: 10.2 A on a thinner cord is worse though no current grew. What cannot be
    /// compared is worse, for nobody has looked at it.
    pub fn moved_since(&self, earlier: &Self) -> Move {
        if !self.is_like(earlier) {
            return Move::Worse;
        }
        let by_value = self.step(
            self.value.number() - earlier.value.number(),
            self.limit.number(),
        );
        let by_share = self.step(self.share() - earlier.share(), 1.0);
        match (by_value, by_share) {
            (Move::Worse, _) | (_, Move::Worse) => Move::Worse,
            (Move::Same, Move::Same) => Move::Same,
            _ => Move::Better,
        }
    }

    /// Whether this lies further beyond its limit than `other` beyond that one's.
    pub fn is_beyond(&self, other: &Self) -> bool {
        self.step(self.share() - other.share(), 1.0) == Move::Worse
    }

    /// `12.2 A against 10 A`.
    pub fn show(&self) -> String {
        format!("{} against {}", self.value.show(), self.limit.show())
    }

    /// The value as a part of the limit.
    fn share(&self) -> f64 {
        self.value.number() / self.limit.number()
    }

    fn step(&self, by: f64, whole: f64) -> Move {
        let worse = match self.worse {
            Side::Above => by,
            Side::Below => -by,
        };
        // A limit of nothing, or one that is no number, leaves the value alone to go by.
        let noticed = NOTICED * whole.abs();
        match worse {
            worse if worse > noticed => Move::Worse,
            worse if worse < -noticed => Move::Better,
            _ => Move::Same,
        }
    }

    fn key(&self) -> (&'static str, Side, u64, u64) {
        let bits = |amount: Amount| amount.number().to_bits();
        (
            self.value.unit(),
            self.worse,
            bits(self.value),
            bits(self.limit),
        )
    }
}

impl From<&Measure> for Signed {
    fn from(measure: &Measure) -> Self {
        Self {
            value: measure.value,
            limit: measure.limit,
        }
    }
}

impl PartialEq for Measure {
    fn eq(&self, other: &Self) -> bool {
        self.key() == other.key()
    }
}

impl Eq for Measure {}

impl PartialOrd for Measure {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

/// An order like any other, so that findings have one: nothing of weight lies in it.
impl Ord for Measure {
    fn cmp(&self, other: &Self) -> Ordering {
        self.key().cmp(&other.key())
    }
}

impl Hash for Measure {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.key().hash(state);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{amperes, degrees_celsius, volts};

    fn over(value: f64, limit: f64) -> Measure {
        Measure::above(amperes(value), amperes(limit))
    }

    #[test]
    fn a_fault_grows_by_its_number_or_by_its_share_of_the_limit() {
        let before = over(10.2, 10.0);
        assert_eq!(over(12.2, 10.0).moved_since(&before), Move::Worse);
        assert_eq!(over(10.2, 6.0).moved_since(&before), Move::Worse);
        assert_eq!(over(12.2, 16.0).moved_since(&before), Move::Worse);
        assert_eq!(over(10.1, 10.0).moved_since(&before), Move::Better);
        assert_eq!(over(10.2, 10.1).moved_since(&before), Move::Better);
        assert_eq!(before.moved_since(&before), Move::Same);
    }

    #[test]
    fn a_hair_of_rounding_is_no_move_and_ten_hairs_are() {
        let before = over(10.2, 10.0);
        assert_eq!(over(10.209, 10.0).moved_since(&before), Move::Same);
        assert_eq!(over(10.22, 10.0).moved_since(&before), Move::Worse);
    }

    #[test]
    fn voltages_worsen_downward() {
        let low = |value: f64| Measure::below(volts(value), volts(207.0));
        assert_eq!(low(190.0).moved_since(&low(200.0)), Move::Worse);
        assert_eq!(low(204.0).moved_since(&low(200.0)), Move::Better);
    }

    #[test]
    fn what_cannot_be_compared_is_worse() {
        let volts = Measure::above(volts(10.2), volts(10.0));
        assert_eq!(volts.moved_since(&over(10.2, 10.0)), Move::Worse);
        let below = Measure::below(amperes(10.2), amperes(10.0));
        assert_eq!(below.moved_since(&over(10.2, 10.0)), Move::Worse);
    }

    #[test]
    fn a_limit_of_nothing_still_lets_values_be_compared() {
        let freezing = |value: f64| Measure::above(degrees_celsius(value), degrees_celsius(0.0));
        assert_eq!(freezing(5.0).moved_since(&freezing(4.0)), Move::Worse);
        let nothing = over(1.0, 0.0);
        assert_eq!(nothing.moved_since(&nothing), Move::Same);
        assert_eq!(over(2.0, 0.0).moved_since(&nothing), Move::Worse);
    }
}
