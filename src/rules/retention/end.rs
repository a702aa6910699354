//! The ends of cords and the plugs of power strips, each with its mate and the place it is in.
//!
//! An end is judged by where it is: a plug by the rack of its PDU, a connector by the rack of its
//! device. A plug in the receptacle of a circuit is taken to be where the cord's far end is.

use crate::graph::{CordFeed, PduFeed, Receiver};
use crate::model::cords::{Cord, CordType};
use crate::model::pdus::Pdu;
use crate::model::places::{Demand, Rack, Vibration, Zone};
use crate::model::text::CouplerRef;
use crate::model::value::{Field, Id, Name, Named, Spanned};
use crate::source::Span;
use crate::survey::Survey;
use crate::tables::couplers::Side;
use crate::tables::retention::Retention;

use super::hold::{Hold, Locks};

const ABSENT: &Field<Retention> = &Field::Absent;

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
    /// All cords, then all power strips.
    pub fn all(survey: &Survey<'_>) -> impl Iterator<Item = Self> {
        let cords = survey.model.cords.iter().map(|(cord, _)| Self::Cord(cord));
        cords.chain(survey.model.pdus.iter().map(|(pdu, _)| Self::Pdu(pdu)))
    }

    /// Its ends, in electrical order; those whose mate or coupler is not known are left out, which
    /// the rules of the records report.
    pub fn ends<'a>(self, survey: &Survey<'a>) -> impl Iterator<Item = End<'a>> {
        let kind = match self {
            Self::Cord(cord) => survey.graph.cord_type(survey.model, cord),
            Self::Pdu(_) => None,
        };
        self.ends_as(survey, kind)
    }

    /// Its ends, as they would be with a cord of this type.
    pub fn ends_as<'a>(
        self,
        survey: &Survey<'a>,
        kind: Option<&'a CordType>,
    ) -> impl Iterator<Item = End<'a>> {
        let survey = *survey;
        let (first, far) = match self {
            Self::Pdu(pdu) => (input(&survey, pdu), &[][..]),
            Self::Cord(cord) => (
                kind.and_then(|kind| plug(&survey, cord, kind)),
                survey.graph.links.cord_ends(cord),
            ),
        };
        let far = far
            .iter()
            .filter_map(move |end| connector(&survey, self, kind?, end.leg, end.at));
        first.into_iter().chain(far)
    }

    /// Its name.
    pub fn name<'a>(self, survey: &Survey<'a>) -> &'a Spanned<Name> {
        match self {
            Self::Cord(cord) => &survey.model.cords[cord].name,
            Self::Pdu(pdu) => &survey.model.pdus[pdu].name,
        }
    }

    /// The line to edit: the type of the cord, or the model of the strip.
    pub fn kind_at(self, survey: &Survey<'_>) -> Span {
        let kind = match self {
            Self::Cord(cord) => survey.model.cords[cord].cord_type.span(),
            Self::Pdu(pdu) => survey.model.pdus[pdu].model.span(),
        };
        kind.unwrap_or(self.name(survey).span)
    }
}

impl End<'_> {
    /// Whether it is held.
    pub fn hold(&self) -> Hold {
        self.locks.hold()
    }

    /// Whether something holds it.
    pub fn is_held(&self) -> bool {
        matches!(self.hold(), Hold::Held(_))
    }

    /// What is asked of it where it is.
    pub fn asked(&self) -> Asked {
        let Whereabouts::Zone(zone) = self.whereabouts else {
            return Asked::Unknown;
        };
        match (&zone.retention, &zone.vibration) {
            (Field::Given(demand), _) if demand.value == Demand::Required => Asked::Required,
            (_, Field::Given(vibration)) if vibration.value != Vibration::None => {
                Asked::Shaken(vibration.value)
            }
            (Field::Unreadable(_), _) | (_, Field::Absent | Field::Unreadable(_)) => Asked::Unknown,
            _ => Asked::Nothing,
        }
    }

    /// `the plug of cord W-1`, `the connector of leg a of cord W-1`, `the plug of PDU ph-1-a`.
    pub fn describe(&self, survey: &Survey<'_>) -> String {
        let name = &self.owner.name(survey).value;
        match (self.owner, self.mate) {
            (Owner::Pdu(_), _) => format!("the plug of PDU {name}"),
            (_, Mate::Feed(_)) => format!("the plug of cord {name}"),
            (_, Mate::Receiver(_, None)) => format!("the connector of cord {name}"),
            (Owner::Cord(cord), Mate::Receiver(_, Some(leg))) => {
                let kind = survey.graph.cord_type(survey.model, cord);
                let leg = kind.and_then(|kind| kind.legs.items().get(leg as usize));
                let leg = leg.map_or("", |leg| leg.name.value.as_str());
                format!("the connector of leg {leg} of cord {name}")
            }
        }
    }

    /// `outlet pdu-a/3`, `inlet rec-1/psu1`.
    pub fn mate_name(&self, survey: &Survey<'_>) -> String {
        match self.mate {
            Mate::Feed(feed) => survey
                .name_of_feed(feed)
                .unwrap_or_else(|| "its outlet".into()),
            Mate::Receiver(Receiver::Inlet(inlet), _) => {
                let link = &survey.graph.links.inlets[inlet as usize];
                format!("inlet {}", survey.inlet_name(link))
            }
            Mate::Receiver(Receiver::Pdu(pdu), _) => {
                format!("the input of PDU {}", survey.model.pdus[pdu].name.value)
            }
            Mate::Receiver(Receiver::Unknown, _) => "its mate".into(),
        }
    }

    /// `none`, or the name of the coupler.
    pub fn coupler_name(&self) -> &str {
        self.locks
            .coupler
            .get()
            .map_or("unknown", |coupler| coupler.name.as_str())
    }
}

fn plug<'a>(survey: &Survey<'a>, cord: Id<Cord>, kind: &'a CordType) -> Option<End<'a>> {
    let links = &survey.graph.links;
    let feed = links.cord_feeds[cord.index()]?;
    let whereabouts = match feed {
        CordFeed::Outlet(pdu, _) => at_pdu(survey, pdu),
        CordFeed::Receptacle(_) => {
            let far = links.cord_ends(cord).iter();
            far.filter_map(|end| at_receiver(survey, end.at)).next()?
        }
    };
    let own = kind.retention.get().map_or(ABSENT, |ends| &ends.plug);
    in_feed(
        survey,
        Owner::Cord(cord),
        feed,
        &kind.plug,
        own,
        whereabouts,
    )
}

/// The plug of a strip; none if a cord feeds it, which then has the coupler.
fn input<'a>(survey: &Survey<'a>, pdu: Id<Pdu>) -> Option<End<'a>> {
    let feed = match survey.graph.links.pdu_feeds[pdu.index()]? {
        PduFeed::Circuit(circuit) => CordFeed::Receptacle(circuit),
        PduFeed::Outlet(upper, outlet) => CordFeed::Outlet(upper, outlet),
        PduFeed::Cord(..) => return None,
    };
    let model = survey.graph.pdu_model(survey.model, pdu)?;
    in_feed(
        survey,
        Owner::Pdu(pdu),
        feed,
        &model.plug,
        &model.retention,
        at_pdu(survey, pdu),
    )
}

fn in_feed<'a>(
    survey: &Survey<'a>,
    owner: Owner,
    feed: CordFeed,
    coupler: &'a Field<CouplerRef>,
    own: &'a Field<Retention>,
    whereabouts: Whereabouts<'a>,
) -> Option<End<'a>> {
    let (offered, contacts) = match feed {
        CordFeed::Outlet(pdu, outlet) => {
            let outlet = survey.outlet(pdu, outlet)?;
            (&outlet.item.latch, &outlet.item.coupler)
        }
        CordFeed::Receptacle(circuit) => (ABSENT, &survey.model.circuits[circuit].item.receptacle),
    };
    Some(End {
        owner,
        mate: Mate::Feed(feed),
        mate_at: contacts.span()?,
        locks: Locks {
            coupler,
            side: Side::Pins,
            own,
            offered,
        },
        whereabouts,
    })
}

fn connector<'a>(
    survey: &Survey<'a>,
    owner: Owner,
    kind: &'a CordType,
    leg: Option<u32>,
    at: Receiver,
) -> Option<End<'a>> {
    let coupler = match leg {
        None => &kind.connector,
        Some(leg) => &kind.legs.items().get(leg as usize)?.item.connector,
    };
    let (offered, mate_at) = match at {
        Receiver::Inlet(number) => {
            let (device, inlet) = survey.inlet(number)?;
            let name = survey.model.devices[device].name.span;
            (
                &inlet.item.retention,
                inlet.item.coupler.span().unwrap_or(name),
            )
        }
        Receiver::Pdu(pdu) => (ABSENT, survey.model.pdus[pdu].name.span),
        Receiver::Unknown => return None,
    };
    Some(End {
        owner,
        mate: Mate::Receiver(at, leg),
        mate_at,
        locks: Locks {
            coupler,
            side: Side::Contacts,
            own: kind.retention.get().map_or(ABSENT, |ends| &ends.connector),
            offered,
        },
        whereabouts: at_receiver(survey, at)?,
    })
}

fn at_receiver<'a>(survey: &Survey<'a>, at: Receiver) -> Option<Whereabouts<'a>> {
    match at {
        Receiver::Inlet(number) => {
            let device = survey.graph.links.inlets[number as usize].device;
            let rack = survey.graph.links.device_racks[device.index()];
            Some(whereabouts(
                survey,
                rack,
                &survey.model.devices[device].name,
            ))
        }
        Receiver::Pdu(pdu) => Some(at_pdu(survey, pdu)),
        Receiver::Unknown => None,
    }
}

fn at_pdu<'a>(survey: &Survey<'a>, pdu: Id<Pdu>) -> Whereabouts<'a> {
    let rack = survey.graph.links.pdu_racks[pdu.index()];
    whereabouts(survey, rack, &survey.model.pdus[pdu].name)
}

fn whereabouts<'a>(
    survey: &Survey<'a>,
    rack: Option<Id<Rack>>,
    thing: &'a Spanned<Name>,
) -> Whereabouts<'a> {
    match (rack, survey.zone_of_rack(rack)) {
        (_, Some(zone)) => Whereabouts::Zone(zone),
        (Some(rack), None) => Whereabouts::Rack(&survey.model.racks[rack].name),
        (None, None) => Whereabouts::Thing(thing),
    }
}
