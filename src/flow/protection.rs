//! What overcurrent devices do for conductors: which device stands ahead, whether it holds an overload
//! within what the conductor bears, and whether it opens soon enough on a fault.

use crate::graph::{ElementId, ElementKind, Graph};
use crate::model::Model;
use crate::model::circuits::Breaker;
use crate::model::value::Field;
use crate::quantity::{
    Area, Current, EnergyLetThrough, InUnits, Ratio, Resistance, Time, Voltage, percent, seconds,
};
use crate::tables::breakers::{self, Curve, instantaneous_band};
use crate::tables::withstand::AdiabaticConstant;

/// An overcurrent device and the element it belongs to: a circuit, or a bank of a PDU.
#[derive(Clone, Copy, Debug)]
pub struct Device<'m> {
    /// The circuit or bank.
    pub at: ElementId,
    /// What the definitions say of it.
    pub breaker: &'m Breaker,
}

/// The overcurrent devices that a current to an element passes, the nearest first. A device of the
/// element itself stands at its near end, so it counts.
pub fn devices_ahead<'m>(
    model: &'m Model,
    graph: &'m Graph,
    id: ElementId,
) -> impl Iterator<Item = Device<'m>> {
    graph.upwards(id).filter_map(move |at| {
        let breaker = breaker_field(model, graph, at)?.known()?;
        Some(Device { at, breaker })
    })
}

/// The nearest of an element and its feeders that may have a device of its own: a bank, a circuit, or
/// else the supply. Cords, legs and PDUs have none, so that all elements with the same head have the
/// same [`devices_ahead`], the same circuit and the same supply.
pub fn head(graph: &Graph, id: ElementId) -> ElementId {
    let has_none = |kind| {
        matches!(
            kind,
            ElementKind::Pdu(_) | ElementKind::Cord(_) | ElementKind::Leg(..)
        )
    };
    let mut upwards = graph.upwards(id);
    upwards.find(|&at| !has_none(graph.kind(at))).unwrap_or(id)
}

/// Where the definitions give the overcurrent device of an element; `None` for what cannot have one.
pub fn breaker_field<'m>(
    model: &'m Model,
    graph: &Graph,
    id: ElementId,
) -> Option<&'m Field<Breaker>> {
    match graph.kind(id) {
        ElementKind::Circuit(circuit) => Some(&model.circuits[circuit].item.breaker),
        ElementKind::Bank(pdu, bank) => {
            let banks = &graph.pdu_model(model, pdu)?.banks;
            Some(&banks.items().get(bank as usize)?.item.breaker)
        }
        _ => None,
    }
}

impl Device<'_> {
    /// The time by which the device is sure to have opened at a current; `Some(None)` if it need not
    /// open at all, `None` if its rating or curve is not known.
    pub fn opens_by(&self, current: Current) -> Option<Option<Time>> {
        let rating = self.breaker.rating.known().copied()?;
        let by_curve = || {
            let curve = self.breaker.curve.known().copied()?;
            Some(breakers::open_by(curve, rating, current / rating))
        };
        match self.opens_at_once_from() {
            AtOnce::ByCurve => by_curve(),
            AtOnce::From(opens) if current >= opens => Some(Some(at_once())),
            // Below its own instantaneous trip the thermal part alone opens it.
            AtOnce::From(_) => Some(by_curve()?.filter(|time| *time > at_once())),
            AtOnce::Unreadable => None,
        }
    }

    /// The currents from each of which on it is sure to open sooner.
    pub fn steps(self) -> impl Iterator<Item = Current> {
        let (rating, curve) = (self.breaker.rating.known(), self.breaker.curve.known());
        let by_curve = rating.copied().zip(curve.copied());
        let by_curve = by_curve.into_iter().flat_map(|(rating, curve)| {
            breakers::steps(curve, rating).map(move |multiple| rating * multiple)
        });
        let own = match self.opens_at_once_from() {
            AtOnce::From(opens) => Some(opens),
            AtOnce::ByCurve | AtOnce::Unreadable => None,
        };
        by_curve.chain(own)
    }

    /// From which current on the device is sure to open at once, by its own record.
    pub fn opens_at_once_from(&self) -> AtOnce {
        match &self.breaker.instantaneous {
            Field::Absent => AtOnce::ByCurve,
            Field::Unreadable(_) => AtOnce::Unreadable,
            Field::Given(own) => match own.value.opens.known() {
                Some(opens) => AtOnce::From(*opens),
                None => AtOnce::Unreadable,
            },
        }
    }

    /// Whether no standard settles if the device opens at once: an inverse-time breaker in the band in
    /// which such breakers are usually found to (UL 489 fixes none).
    pub fn is_unsettled_at(&self, current: Current) -> bool {
        let (Some(rating), Some(curve)) = (
            self.breaker.rating.known().copied(),
            self.breaker.curve.known().copied(),
        ) else {
            return false;
        };
        let multiple = current / rating;
        curve == Curve::InverseTime
            && self.breaker.instantaneous.is_absent()
            && instantaneous_band(curve)
                .is_some_and(|band| (band.holds_to..band.opens_from).contains(&multiple))
    }
}

/// What a device's own record says of its instantaneous trip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum AtOnce {
    /// Nothing: its curve says it.
    ByCurve,
    /// From this current on.
    From(Current),
    /// Something that cannot be read.
    Unreadable,
}

/// The border between a delayed and an instantaneous opening, 0.1 s (IEC 60898-1 Table 7).
pub fn at_once() -> Time {
    seconds(0.1)
}

/// A device held against the conductor behind it (IEC 60364-4-43 433.1).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Coordination {
    /// Rated current of the device, In.
    pub rating: Current,
    /// Current that is sure to open the device in its conventional time, I2.
    pub tripping: Current,
    /// What the conductor carries, Iz.
    pub capacity: Current,
    /// The largest I2 that the conductor bears: a multiple of Iz.
    pub limit: Current,
}

impl Coordination {
    /// Holds a device against a conductor. `tripping` is I2 as a multiple of In, `limit` the multiple of
    /// Iz that it may not exceed.
    pub fn new(rating: Current, tripping: Ratio, capacity: Current, limit: Ratio) -> Self {
        Self {
            rating,
            tripping: rating * tripping,
            capacity,
            limit: capacity * limit,
        }
    }

    /// Whether In ≤ Iz and I2 ≤ the limit; at the limit it holds.
    pub fn holds(&self) -> bool {
        let within = |value: Current, limit: Current| {
            value.in_amperes() <= limit.in_amperes() * (1.0 + 1e-9)
        };
        within(self.rating, self.capacity) && within(self.tripping, self.limit)
    }
}

/// A tabulated capacity times all its factors.
pub fn derated(table: Current, factors: &[Ratio]) -> Current {
    factors
        .iter()
        .fold(table, |current, factor| current * *factor)
}

/// The largest loop impedance at which a fault still drives `opening` at the minimum voltage.
pub fn largest_loop(to_earth: Voltage, voltage_factor: Ratio, opening: Current) -> Resistance {
    to_earth * voltage_factor / opening
}

/// Heat that a current makes in each ohm over a time, I²t.
pub fn heat(current: Current, time: Time) -> EnergyLetThrough {
    let amperes = current.in_amperes();
    EnergyLetThrough(amperes * amperes * time.in_seconds())
}

/// Heat that a conductor bears, k²S².
pub fn bearable(k: AdiabaticConstant, section: Area) -> EnergyLetThrough {
    let charge = k.value() * section.in_square_millimetres();
    EnergyLetThrough(charge * charge)
}

/// Voltage lost along a two-pole run, there and back: 2·I·R.
pub fn drop_there_and_back(current: Current, one_way: Resistance) -> Voltage {
    current * one_way * 2.0
}

/// A voltage as a share of another.
pub fn share(part: Voltage, whole: Voltage) -> Ratio {
    percent(100.0 * part.in_volts() / whole.in_volts())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{amperes, seconds, square_millimetres};
    use crate::tables::cordage::Insulation;
    use crate::tables::withstand::{ConductorRole, k};

    #[test]
    fn coordination_holds_at_the_limit_and_not_above_it() {
        let holds = |rating, capacity| {
            let (tripping, limit) = (percent(145.0), percent(145.0));
            Coordination::new(amperes(rating), tripping, amperes(capacity), limit).holds()
        };
        assert!(holds(16.0, 16.0));
        assert!(!holds(16.0, 15.99));
        // gG fuses: I2 is 1.6 In (IEC 60269-1), so In must be 0.906 Iz.
        let fuse = |rating| {
            let (tripping, limit) = (percent(160.0), percent(145.0));
            Coordination::new(amperes(rating), tripping, amperes(20.0), limit).holds()
        };
        assert!(fuse(18.0) && !fuse(20.0));
    }

    /// Textbook example: 10 mm² PVC bears 4 000 A for 82.66 ms, so k²S² is what that current makes.
    #[test]
    fn heat_and_what_a_conductor_bears_meet_at_the_withstand_time() {
        let k = *k(Insulation::Pvc70, ConductorRole::Line).value().unwrap();
        let bears = bearable(k, square_millimetres(10.0)).0;
        assert!((bears - 1_322_500.0).abs() < 1e-6);
        let made = heat(amperes(4000.0), seconds(0.082_66)).0;
        assert!((made / bears - 1.0).abs() < 1e-4);
    }
}
