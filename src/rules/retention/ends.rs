//! Finds the ends of cords and power strips, with what is offered to each.

use crate::graph::{CordFeed, PduFeed, Receiver};
use crate::model::cords::{Cord, CordType, EndRetention};
use crate::model::pdus::Pdu;
use crate::model::places::{Rack, Zone};
use crate::model::text::CouplerRef;
use crate::model::value::{Field, Id, Name, Named, Spanned};
use crate::survey::Survey;
use crate::tables::couplers::Side;
use crate::tables::retention::Retention;

use super::end::{End, Mate, Owner, Whereabouts};
use super::hold::Locks;

const ABSENT: &Field<Retention> = &Field::Absent;

impl Owner {
    /// All cords, then all power strips.
    pub fn all(survey: &Survey<'_>) -> impl Iterator<Item = Self> {
        let cords = survey.model.cords.iter().map(|(cord, _)| Self::Cord(cord));
        let strips = survey.model.pdus.iter().map(|(pdu, _)| Self::Pdu(pdu));
        cords.chain(strips)
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
    let own = own(kind, |ends| ends.plug);
    in_feed(
        survey,
        Owner::Cord(cord),
        feed,
        &kind.plug,
        own,
        whereabouts,
    )
}

/// What holds an end of a cord, by its type.
fn own(kind: &CordType, end: impl Fn(&EndRetention) -> Field<Retention>) -> Field<Retention> {
    match &kind.retention {
        Field::Absent => Field::Absent,
        Field::Unreadable(at) => Field::Unreadable(*at),
        Field::Given(ends) => end(&ends.value),
    }
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
        model.retention,
        at_pdu(survey, pdu),
    )
}

fn in_feed<'a>(
    survey: &Survey<'a>,
    owner: Owner,
    feed: CordFeed,
    coupler: &'a Field<CouplerRef>,
    own: Field<Retention>,
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
            own: own(kind, |ends| ends.connector),
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
            let name = &survey.model.devices[device].name;
            Some(whereabouts(
                survey,
                survey.zone_of_device(device),
                rack,
                name,
            ))
        }
        Receiver::Pdu(pdu) => Some(at_pdu(survey, pdu)),
        Receiver::Unknown => None,
    }
}

fn at_pdu<'a>(survey: &Survey<'a>, pdu: Id<Pdu>) -> Whereabouts<'a> {
    let rack = survey.graph.links.pdu_racks[pdu.index()];
    let name = &survey.model.pdus[pdu].name;
    whereabouts(survey, survey.zone_of_pdu(pdu), rack, name)
}

fn whereabouts<'a>(
    survey: &Survey<'a>,
    zone: Option<&'a Named<Zone>>,
    rack: Option<Id<Rack>>,
    thing: &'a Spanned<Name>,
) -> Whereabouts<'a> {
    match (zone, rack) {
        (Some(zone), _) => Whereabouts::Zone(zone),
        (None, Some(rack)) => Whereabouts::Rack(&survey.model.racks[rack].name),
        (None, None) => Whereabouts::Thing(thing),
    }
}
