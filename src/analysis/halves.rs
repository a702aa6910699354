//! Couplers in pairs: the outlet with the plug in it, the connector with the inlet it is pushed on.

mod kinds;
mod pairing;
mod socket;
mod whereabouts;

use crate::finding::Place;
use crate::graph::{ElementId, OutletId};
use crate::model::circuits::Circuit;
use crate::model::cords::Cord;
use crate::model::pdus::Pdu;
use crate::model::text::CouplerRef;
use crate::model::value::{Field, Id, Spanned};
use crate::quantity::Current;
use crate::tables::couplers::Side;
use crate::tables::mating::{self, Mate};

use super::{Analysis, place};

pub(super) use kinds::OutletKinds;
pub use pairing::{pairs, unused};

/// Whose half a coupler is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Owner {
    /// An outlet of a PDU, or of a device that passes power on.
    Outlet(OutletId),
    /// The receptacle of a circuit.
    Receptacle(Id<Circuit>),
    /// The plug of a cord.
    Plug(Id<Cord>),
    /// The connector of a cord or of a leg.
    Connector(ElementId),
    /// The inlet of this number in the graph.
    Inlet(u32),
    /// The plug of a PDU.
    PduPlug(Id<Pdu>),
}

impl Owner {
    /// Whether it belongs to the thing that is ordered and changed: a cord, or a PDU's own cord.
    pub fn is_of_cord(self) -> bool {
        matches!(self, Self::Plug(_) | Self::Connector(_) | Self::PduPlug(_))
    }

    /// Which half of a pair it is.
    pub fn side(self) -> Side {
        match self {
            Self::Outlet(_) | Self::Receptacle(_) | Self::Connector(_) => Side::Contacts,
            Self::Plug(_) | Self::Inlet(_) | Self::PduPlug(_) => Side::Pins,
        }
    }
}

/// One half of a pair.
#[derive(Clone, Copy, Debug)]
pub struct Half<'a> {
    /// The coupler and where it is named.
    pub coupler: &'a Spanned<CouplerRef>,
    /// The rated current that the part itself is marked with.
    pub mark: &'a Field<Current>,
    /// Whose it is.
    pub owner: Owner,
}

impl<'a> Half<'a> {
    fn new(coupler: &'a Field<CouplerRef>, mark: &'a Field<Current>, owner: Owner) -> Option<Self> {
        let coupler = coupler.given()?;
        Some(Self {
            coupler,
            mark,
            owner,
        })
    }

    /// The name of the coupler: `C13`.
    pub fn name(&self) -> &'a str {
        self.coupler.value.name.as_str()
    }

    /// What it is, for the middle of a sentence: `the connector of cord W-1`.
    pub fn what(&self, analysis: &Analysis<'_>) -> String {
        let model = analysis.model;
        match self.owner {
            Owner::Outlet(outlet) => format!("outlet {}", analysis.outlet_name(outlet)),
            Owner::Receptacle(circuit) => analysis
                .words()
                .socket_of(&model.circuits[circuit].name.value),
            Owner::Plug(cord) => format!("the plug of cord {}", model.cords[cord].name.value),
            Owner::Connector(id) => format!("the connector of {}", analysis.describe(id)),
            Owner::Inlet(inlet) => {
                let link = &analysis.graph.links.inlets[inlet as usize];
                format!("inlet {}", analysis.inlet_name(link))
            }
            Owner::PduPlug(pdu) => format!("the plug of PDU {}", model.pdus[pdu].name.value),
        }
    }

    /// The half as a place: what it is, its name, and what is to be seen there.
    pub fn place(&self, analysis: &Analysis<'_>, seen: &str) -> Place {
        let what = self.what(analysis);
        place(self.coupler.span, format!("{what}: {}{seen}", self.name()))
    }
}

/// A pair that is pushed together, at the element whose plug or connector it is.
#[derive(Clone, Copy, Debug)]
pub struct Pair<'a> {
    /// The cord, leg or PDU.
    pub id: ElementId,
    /// Outlet, receptacle or connector.
    pub contacts: Option<Half<'a>>,
    /// Plug or inlet.
    pub pins: Option<Half<'a>>,
}

impl<'a> Pair<'a> {
    /// An outlet or receptacle of a bank or circuit, with nothing plugged in.
    pub fn without_mate(id: ElementId, contacts: Half<'a>) -> Self {
        Self {
            id,
            contacts: Some(contacts),
            pins: None,
        }
    }

    /// Both halves, contacts first, where both are known.
    pub fn both(&self) -> Option<(Half<'a>, Half<'a>)> {
        self.contacts.zip(self.pins)
    }

    /// The halves that are known, contacts first.
    pub fn halves(&self) -> impl Iterator<Item = Half<'a>> + use<'a> {
        self.contacts.into_iter().chain(self.pins)
    }

    /// Whether the two mate; `None` unless both are known.
    pub fn mate(&self) -> Option<Mate> {
        let (contacts, pins) = self.both()?;
        Some(mating::mates(&contacts.coupler.value, &pins.coupler.value))
    }
}
