//! Finds the ends of cords and power strips, with what is offered to each.

use crate::analysis::Analysis;
use crate::graph::{Carrier, CordFeed, Receiver};
use crate::model::cords::{Cord, CordType};
use crate::model::pdus::Pdu;
use crate::model::text::CouplerRef;
use crate::model::value::{Field, Id};
use crate::tables::couplers::Side;
use crate::tables::retention::Kind;

use super::end::{Asked, End, Mate, Owner, Whereabouts};
use super::hold::Locks;

impl Owner {
    /// All cords, then all power strips.
    pub fn all(analysis: &Analysis<'_>) -> impl Iterator<Item = Self> {
        let cords = analysis
            .model
            .cords
            .iter()
            .map(|(cord, _)| Self::Cord(cord));
        let strips = analysis.model.pdus.iter().map(|(pdu, _)| Self::Pdu(pdu));
        cords.chain(strips)
    }

    /// Its ends, in electrical order; those whose mate or coupler is not known are left out, which
    /// the rules of the records report.
    pub fn ends<'a>(self, analysis: &Analysis<'a>) -> impl Iterator<Item = End<'a>> {
        let kind = match self {
            Self::Cord(cord) => analysis.graph.cord_type(analysis.model, cord),
            Self::Pdu(_) => None,
        };
        self.ends_as(analysis, kind)
    }

    /// Its ends, as they would be with a cord of this type.
    pub fn ends_as<'a>(
        self,
        analysis: &Analysis<'a>,
        kind: Option<&'a CordType>,
    ) -> impl Iterator<Item = End<'a>> {
        let analysis = *analysis;
        let (first, far) = match self {
            Self::Pdu(pdu) => (input(&analysis, pdu), &[][..]),
            Self::Cord(cord) => (
                kind.and_then(|kind| plug(&analysis, cord, kind)),
                analysis.graph.links.cord_ends(cord),
            ),
        };
        let far = far
            .iter()
            .filter_map(move |end| connector(&analysis, self, kind?, end.leg, end.at));
        first.into_iter().chain(far)
    }
}

fn plug<'a>(analysis: &Analysis<'a>, cord: Id<Cord>, kind: &'a CordType) -> Option<End<'a>> {
    let links = &analysis.graph.links;
    let feed = links.cord_feeds[cord.index()]?;
    let whereabouts = match feed {
        CordFeed::Outlet(outlet) => at_carrier(analysis, outlet.on),
        CordFeed::Receptacle(_) => {
            let mut far = links.line_ends(cord);
            far.find_map(|end| at_receiver(analysis, end))?
        }
        CordFeed::Cord(_) => at_joint(analysis, cord)?,
    };
    in_feed(
        analysis,
        Owner::Cord(cord),
        feed,
        &kind.plug,
        kind.plug_hold(),
        whereabouts,
    )
}

/// The plug of a strip; none if it is wired in, or a cord feeds it, which then has the coupler.
fn input<'a>(analysis: &Analysis<'a>, pdu: Id<Pdu>) -> Option<End<'a>> {
    let feed = analysis.feed_of_pdu(pdu)?;
    let model = analysis.graph.pdu_model(analysis.model, pdu)?;
    if model.plug.wired().is_some() || matches!(feed, CordFeed::Cord(_)) {
        return None;
    }
    in_feed(
        analysis,
        Owner::Pdu(pdu),
        feed,
        &model.plug,
        model.retention.as_row(),
        at_carrier(analysis, Carrier::Pdu(pdu)),
    )
}

fn in_feed<'a>(
    analysis: &Analysis<'a>,
    owner: Owner,
    feed: CordFeed,
    coupler: &'a Field<CouplerRef>,
    own: Field<&'a Kind>,
    whereabouts: Whereabouts<'a>,
) -> Option<End<'a>> {
    let socket = analysis.socket(feed)?;
    Some(End {
        owner,
        mate: Mate::Feed(feed),
        mate_at: socket.coupler.span()?,
        locks: Locks {
            coupler: coupler.as_row(),
            side: Side::Pins,
            own,
            offered: socket.latch,
        },
        whereabouts,
    })
}

fn connector<'a>(
    analysis: &Analysis<'a>,
    owner: Owner,
    kind: &'a CordType,
    leg: Option<u32>,
    at: Receiver,
) -> Option<End<'a>> {
    let of_leg = match leg {
        None => None,
        Some(leg) => Some(&kind.leg(leg)?.item),
    };
    let (offered, mate_at) = match at {
        Receiver::Inlet(number) => {
            let (device, _) = analysis.inlet(number)?;
            let pins = analysis.pins(at)?;
            let name = analysis.model.devices[device].name.span;
            (pins.latch, pins.coupler.span().unwrap_or(name))
        }
        Receiver::Pdu(pdu) => (Field::Absent, analysis.model.pdus[pdu].name.span),
        // The joint is judged once, as the end of the cord that is plugged in there.
        Receiver::Cord(_) | Receiver::Unknown => return None,
    };
    Some(End {
        owner,
        mate: Mate::Receiver(at, leg),
        mate_at,
        locks: Locks {
            coupler: kind.connector_of(of_leg).as_row(),
            side: Side::Contacts,
            own: kind.connector_hold(of_leg),
            offered,
        },
        whereabouts: at_receiver(analysis, at)?,
    })
}

fn at_receiver<'a>(analysis: &Analysis<'a>, at: Receiver) -> Option<Whereabouts<'a>> {
    match at {
        Receiver::Inlet(number) => {
            let device = analysis.graph.links.inlets[number as usize].device;
            Some(at_carrier(analysis, Carrier::Device(device)))
        }
        Receiver::Pdu(pdu) => Some(at_carrier(analysis, Carrier::Pdu(pdu))),
        Receiver::Cord(_) | Receiver::Unknown => None,
    }
}

/// Nobody says where a joint lies: it may be anywhere on the way, and is taken to be where most is asked.
fn at_joint<'a>(analysis: &Analysis<'a>, cord: Id<Cord>) -> Option<Whereabouts<'a>> {
    let upper = analysis.carrier_of(cord);
    let upper = upper.map(|carrier| at_carrier(analysis, carrier));
    let lower = analysis.graph.links.line_ends(cord);
    let lower = lower.filter_map(|end| at_receiver(analysis, end));
    let all: Vec<Whereabouts<'a>> = upper.into_iter().chain(lower).collect();
    let rank = |place: &&Whereabouts<'_>| match place.asked() {
        Asked::Required => 3,
        Asked::Shaken(_) => 2,
        Asked::Unknown => 1,
        Asked::Nothing => 0,
    };
    all.iter().max_by_key(rank).copied()
}

fn at_carrier<'a>(analysis: &Analysis<'a>, carrier: Carrier) -> Whereabouts<'a> {
    let zone = analysis.zone_of_carrier(carrier);
    match (zone, analysis.rack_of_carrier(carrier)) {
        (Some(zone), _) => Whereabouts::Zone(zone),
        (None, Some(rack)) => Whereabouts::Rack(&analysis.model.racks[rack].name),
        (None, None) => Whereabouts::Thing(analysis.name_of_carrier(carrier)),
    }
}
