//! Lengths of flexible cord, each of one cordage and one size: the trunk of a cord, its legs, the input cord of a
//! strip. What is not written of a leg is as in its trunk; what cannot be read is not.

use crate::quantity::{ConductorSize, Length, Resistance, Temperature};

use super::cords::{Cord, CordLeg, CordType, StatedService};
use super::dual_marks::Marked;
use super::optional::Optional;
use super::pdus::InputCord;
use super::text::{CordageRef, CouplerRef};
use super::value::{Field, Named};

/// A length of flexible cord, as the definitions give it.
#[derive(Clone, Copy, Debug)]
pub struct Flex<'a> {
    /// Its conductors.
    pub conductor: &'a Marked<ConductorSize>,
    /// Its cordage type.
    pub cordage: &'a Marked<CordageRef>,
    /// The temperature marked on that cordage.
    pub mark: &'a Field<Temperature>,
    /// What its maker states where the cordage type leaves it open.
    pub service: &'a Field<StatedService>,
    /// Its length.
    pub length: &'a Field<Length>,
    /// Resistance of one of its conductors over that length, where it is given.
    pub resistance: &'a Optional<Resistance>,
    /// Whether its cordage is that of another length, which has its say there.
    pub shares_cordage: bool,
}

impl CordType {
    /// The cord from the plug to the connector, or to the split.
    pub fn trunk(&self) -> Flex<'_> {
        Flex {
            conductor: &self.conductor,
            cordage: &self.cordage,
            mark: &self.temperature,
            service: &self.service,
            length: &self.length,
            resistance: &self.resistance,
            shares_cordage: false,
        }
    }

    /// The leg of this number.
    pub fn leg(&self, number: u32) -> Option<&Named<CordLeg>> {
        self.legs.items().get(number as usize)
    }

    /// A leg from the split to its connector. Marks and statements belong to the cordage that they stand on: those of
    /// the trunk say nothing of a leg of another.
    pub fn flex_of<'a>(&'a self, leg: &'a CordLeg) -> Flex<'a> {
        let shares_cordage = leg.cordage.is_absent();
        let (mark, service) = match shares_cordage {
            true => (&self.temperature, &self.service),
            false => (&Field::Absent, &Field::Absent),
        };
        Flex {
            conductor: leg.conductor.or_further(&self.conductor),
            cordage: leg.cordage.or_further(&self.cordage),
            mark,
            service,
            length: &leg.length,
            resistance: &Optional::Absent,
            shares_cordage,
        }
    }

    /// The trunk, then its legs.
    pub fn flexes(&self) -> impl Iterator<Item = (Option<&Named<CordLeg>>, Flex<'_>)> {
        let legs = self.legs.items().iter();
        let legs = legs.map(|leg| (Some(leg), self.flex_of(leg)));
        std::iter::once((None, self.trunk())).chain(legs)
    }

    /// The connector of a leg, or, of a plain cord, its own.
    pub fn connector_of<'a>(&'a self, leg: Option<&'a CordLeg>) -> &'a Field<CouplerRef> {
        leg.map_or(&self.connector, |leg| &leg.connector)
    }

    /// How far that connector stands out from the back of the device: the leg says its own or has the cord's.
    pub fn stand_out_of<'a>(&'a self, leg: Option<&'a CordLeg>) -> Option<&'a Field<Length>> {
        match leg.map(|leg| &leg.stand_out) {
            Some(own) if !own.is_absent() => Some(own),
            _ => Some(&self.stand_out.known()?.connector),
        }
    }
}

impl<'a> Flex<'a> {
    /// The trunk of a cord, which may have a length of its own. A resistance belongs to the length of the type.
    pub fn of_cord(cord: &'a Cord, kind: &'a CordType) -> Self {
        let trunk = kind.trunk();
        match cord.length.is_absent() {
            true => trunk,
            false => Self {
                length: &cord.length,
                resistance: &Optional::Absent,
                ..trunk
            },
        }
    }
}

impl InputCord {
    /// The cord of a strip.
    pub fn flex(&self) -> Flex<'_> {
        Flex {
            conductor: &self.conductor,
            cordage: &self.cordage,
            mark: &self.temperature,
            service: &self.service,
            length: &self.length,
            resistance: &Optional::Absent,
            shares_cordage: false,
        }
    }
}
