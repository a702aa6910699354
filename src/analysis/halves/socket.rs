//! What a plug is pushed into, and what a connector is pushed onto: looked up here for all that asks.

use crate::analysis::Analysis;
use crate::graph::{CordFeed, PduFeed, Receiver};
use crate::model::cords::Cord;
use crate::model::pdus::Pdu;
use crate::model::text::CouplerRef;
use crate::model::value::{Field, Id};
use crate::quantity::Current;
use crate::tables::couplers::Coupler;
use crate::tables::retention;

/// One half of a pair as the definitions give it, fed or not.
#[derive(Clone, Copy, Debug)]
pub struct Socket<'a> {
    /// Its coupler.
    pub coupler: &'a Field<CouplerRef>,
    /// The rated current that the part itself is marked with.
    pub mark: &'a Field<Current>,
    /// What it has to hold the other half.
    pub latch: Field<&'a retention::Kind>,
}

impl<'a> Analysis<'a> {
    /// The contacts that a plug is pushed into: an outlet, a receptacle, or the connector of another cord, of which a
    /// leg's bears no mark of its trunk. `None` where there is no such thing.
    pub fn socket(&self, feed: CordFeed) -> Option<Socket<'a>> {
        Some(match feed {
            CordFeed::Outlet(outlet) => {
                let outlet = &self.outlet(outlet)?.item;
                Socket {
                    coupler: &outlet.coupler,
                    mark: &outlet.rating,
                    latch: outlet.latch.as_row(),
                }
            }
            CordFeed::Receptacle(circuit) => {
                let receptacle = &self.model.circuits[circuit].item.receptacle;
                Socket {
                    coupler: &receptacle.coupler,
                    mark: &Field::Absent,
                    latch: receptacle.latch.as_row(),
                }
            }
            CordFeed::Cord((cord, number)) => {
                let kind = self.graph.cord_type(self.model, cord)?;
                let leg = match number {
                    None => None,
                    Some(number) => Some(&kind.leg(number)?.item),
                };
                Socket {
                    coupler: kind.connector_of(leg),
                    mark: leg.map_or(&kind.rating, |leg| &leg.rating),
                    latch: kind.connector_hold(leg),
                }
            }
        })
    }

    /// The coupler that the plug of a cord is pushed into, if it is known.
    pub fn contacts(&self, cord: Id<Cord>) -> Option<&'a Coupler> {
        let feed = self.graph.links.cord_feeds[cord.index()]?;
        self.socket(feed)?.coupler.coupler()
    }

    /// What the plug or the inlet of a strip is pushed into; `None` where nothing is known to feed it.
    pub fn feed_of_pdu(&self, pdu: Id<Pdu>) -> Option<CordFeed> {
        Some(match self.graph.links.pdu_feeds[pdu.index()]? {
            PduFeed::Circuit(circuit) => CordFeed::Receptacle(circuit),
            PduFeed::Outlet(outlet) => CordFeed::Outlet(outlet),
            PduFeed::Cord(cord, leg) => CordFeed::Cord((cord, leg)),
        })
    }

    /// The pins that a connector is pushed onto: an inlet, or the plug of a cord in line. That of a strip is its plug,
    /// which has its say there.
    pub fn pins(&self, end: Receiver) -> Option<Socket<'a>> {
        match end {
            Receiver::Inlet(number) => {
                let inlet = &self.inlet(number)?.1.item;
                Some(Socket {
                    coupler: &inlet.coupler,
                    mark: &inlet.rating,
                    latch: inlet.retention.as_row(),
                })
            }
            Receiver::Cord(lower) => {
                let kind = self.graph.cord_type(self.model, lower)?;
                Some(Socket {
                    coupler: &kind.plug,
                    mark: &kind.rating,
                    latch: kind.plug_hold(),
                })
            }
            Receiver::Pdu(_) | Receiver::Unknown => None,
        }
    }
}
