//! The ends of cords and the plugs of power strips, each with its mate and the place it is in.
//!
//! An end is judged by where it is: a plug by the rack of its PDU, a connector by the rack of its
//! device. A plug in the receptacle of a circuit, or in the connector of another cord, is taken to be where
//! the far end is.

use crate::analysis::Analysis;
use crate::graph::{CordFeed, Receiver};
use crate::model::cords::Cord;
use crate::model::optional::Optional;
use crate::model::pdus::Pdu;
use crate::model::places::{Vibration, Zone};
use crate::model::value::{Field, Id, Name, Named, Spanned};
use crate::source::Span;
use crate::tables::couplers::Side;

use super::hold::{Hold, Locks};

/// What brings a coupler.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Owner {
    /// A cord, with a plug and one or more connectors.
    Cord(Id<Cord>),
    /// A power strip, with the plug of its input.
    Pdu(Id<Pdu>),
}

/// One coupler in its mate.
#[derive(Clone, Copy, Debug)]
pub(super) struct End<'a> {
    /// What brings it.
    pub owner: Owner,
    /// What it is in or on.
    pub mate: Mate,
    /// Where the mate stands in the definitions.
    pub mate_at: Span,
    /// What holds it.
    pub locks: Locks<'a>,
    /// Where it is.
    pub whereabouts: Whereabouts<'a>,
}

/// The fixed half.
#[derive(Clone, Copy, Debug)]
pub(super) enum Mate {
    /// An outlet or the receptacle of a circuit.
    Feed(CordFeed),
    /// An inlet or the input of a PDU, and the leg that goes there.
    Receiver(Receiver, Option<u32>),
}

/// Where an end is, as far as it is said.
#[derive(Clone, Copy, Debug)]
pub(super) enum Whereabouts<'a> {
    /// In this zone.
    Zone(&'a Named<Zone>),
    /// In a rack that stands in no known zone.
    Rack(&'a Spanned<Name>),
    /// At a device or PDU that is in no known rack.
    Thing(&'a Spanned<Name>),
}

/// What is asked of an end where it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Asked {
    /// Nothing.
    Nothing,
    /// It is shaken, so it ought to be held.
    Shaken(Vibration),
    /// The zone requires it to be held.
    Required,
    /// Nobody says whether it is shaken.
    Unknown,
}

impl Owner {
    /// Its name.
    pub fn name<'a>(self, analysis: &Analysis<'a>) -> &'a Spanned<Name> {
        match self {
            Self::Cord(cord) => &analysis.model.cords[cord].name,
            Self::Pdu(pdu) => &analysis.model.pdus[pdu].name,
        }
    }

    /// The line to edit: the type of the cord, or the model of the strip.
    pub fn kind_at(self, analysis: &Analysis<'_>) -> Span {
        let kind = match self {
            Self::Cord(cord) => analysis.model.cords[cord].cord_type.span(),
            Self::Pdu(pdu) => analysis.model.pdus[pdu].model.span(),
        };
        kind.unwrap_or(self.name(analysis).span)
    }
}

impl Whereabouts<'_> {
    /// What is asked of couplers there.
    pub fn asked(&self) -> Asked {
        let Whereabouts::Zone(zone) = self else {
            return Asked::Unknown;
        };
        match (&zone.retention, &zone.vibration) {
            (demand, _) if demand.requires() => Asked::Required,
            (_, Field::Given(vibration)) if vibration.value != Vibration::None => {
                Asked::Shaken(vibration.value)
            }
            (Optional::Unreadable(_), _) | (_, Field::Absent | Field::Unreadable(_)) => {
                Asked::Unknown
            }
            _ => Asked::Nothing,
        }
    }
}

impl<'a> End<'a> {
    /// Whether it is held.
    pub fn hold(&self) -> Hold<'a> {
        self.locks.hold()
    }

    /// Whether something holds it.
    pub fn is_held(&self) -> bool {
        matches!(self.hold(), Hold::Held(_))
    }

    /// What is asked of it where it is.
    pub fn asked(&self) -> Asked {
        self.whereabouts.asked()
    }

    /// `the plug of cord W-1`, `the connector of leg a of cord W-1`, `the plug of PDU ph-1-a`.
    pub fn describe(&self, analysis: &Analysis<'_>) -> String {
        let name = &self.owner.name(analysis).value;
        match (self.owner, self.mate) {
            (Owner::Pdu(_), _) => format!("the plug of PDU {name}"),
            (_, Mate::Feed(_)) => format!("the plug of cord {name}"),
            (_, Mate::Receiver(_, None)) => format!("the connector of cord {name}"),
            (Owner::Cord(cord), Mate::Receiver(_, Some(leg))) => {
                let kind = analysis.graph.cord_type(analysis.model, cord);
                let leg = kind.and_then(|kind| kind.leg(leg));
                let leg = leg.map_or("", |leg| leg.name.value.as_str());
                format!("the connector of leg {leg} of cord {name}")
            }
        }
    }

    /// `outlet pdu-a/3`, `inlet rec-1/psu1`.
    pub fn mate_name(&self, analysis: &Analysis<'_>) -> String {
        match self.mate {
            Mate::Feed(feed) => analysis
                .name_of_feed(feed)
                .unwrap_or_else(|| "its outlet".into()),
            Mate::Receiver(Receiver::Inlet(inlet), _) => {
                let link = &analysis.graph.links.inlets[inlet as usize];
                format!("inlet {}", analysis.inlet_name(link))
            }
            Mate::Receiver(Receiver::Pdu(pdu), _) => {
                format!("the input of PDU {}", analysis.model.pdus[pdu].name.value)
            }
            Mate::Receiver(Receiver::Cord(_) | Receiver::Unknown, _) => "its mate".into(),
        }
    }

    /// `the plug of cord W-1 in outlet pdu-a/3`, `the connector of cord W-1 on inlet rec-1/psu1`.
    pub fn in_mate(&self, analysis: &Analysis<'_>) -> String {
        let word = match self.locks.side {
            Side::Pins => "in",
            Side::Contacts => "on",
        };
        format!(
            "{} {word} {}",
            self.describe(analysis),
            self.mate_name(analysis)
        )
    }

    /// `plug` or `connector`.
    pub fn half(&self) -> &'static str {
        match self.locks.side {
            Side::Pins => "plug",
            Side::Contacts => "connector",
        }
    }

    /// Whether it is a plug in the connector of another cord.
    pub fn is_joint(&self) -> bool {
        matches!(self.mate, Mate::Feed(CordFeed::Cord(_)))
    }

    /// What the mate is: `outlet`, `inlet`, or the `connector` of another cord.
    pub fn mate_half(&self) -> &'static str {
        match self.locks.side {
            Side::Pins if self.is_joint() => "connector",
            Side::Pins => "outlet",
            Side::Contacts => "inlet",
        }
    }

    /// The name of the zone it is in; empty if that is not known.
    pub fn zone_name(&self) -> &str {
        match self.whereabouts {
            Whereabouts::Zone(zone) => zone.name.value.as_str(),
            Whereabouts::Rack(_) | Whereabouts::Thing(_) => "",
        }
    }

    /// The name of its coupler.
    pub fn coupler_name(&self) -> &str {
        self.locks
            .coupler
            .known()
            .map_or("unknown", |coupler| coupler.name.as_str())
    }
}
