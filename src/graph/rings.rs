//! Strips and devices that feed themselves through outlets of their own.

use crate::model::Model;
use crate::model::value::Id;

use super::fault::LinkFault;
use super::links::{Hop, Links};

/// Each ring once, from the strip or cord in it that was written first.
pub(super) fn rings(model: &Model, links: &Links) -> Vec<LinkFault> {
    let strips = (0..model.pdus.len()).map(|pdu| Hop::Pdu(Id::new(pdu)));
    let cords = (0..model.cords.len()).map(|cord| Hop::Cord(Id::new(cord)));
    let mut walks = Walks {
        pdus: vec![0; model.pdus.len()],
        cords: vec![0; model.cords.len()],
    };
    let starts = strips.chain(cords).zip(1..);
    let rings = starts.filter_map(|(start, walk)| walks.ring(links, start, walk));
    rings.map(|ring| LinkFault::Loop { ring }).collect()
}

/// On which walk each strip and cord was met; 0 for none yet.
struct Walks {
    pdus: Vec<u32>,
    cords: Vec<u32>,
}

impl Walks {
    /// Walks up from a thing as far as nobody has walked; the ring that this walk ends in, if it does.
    fn ring(&mut self, links: &Links, start: Hop, walk: u32) -> Option<Vec<Hop>> {
        let mut at = Some(start);
        while let Some(hop) = at {
            match self.met(hop) {
                Some(met) if *met == walk => return Some(ring(links, hop)),
                Some(met) if *met > 0 => return None,
                Some(met) => *met = walk,
                None => {}
            }
            at = links.above(hop);
        }
        None
    }

    fn met(&mut self, hop: Hop) -> Option<&mut u32> {
        match hop {
            Hop::Pdu(pdu) => self.pdus.get_mut(pdu.index()),
            Hop::Cord(cord) => self.cords.get_mut(cord.index()),
            Hop::Circuit(_) | Hop::Through(..) => None,
        }
    }
}

/// The ring that a thing is in, each thing fed from the next.
fn ring(links: &Links, first: Hop) -> Vec<Hop> {
    let above = std::iter::successors(links.above(first), |at| links.above(*at));
    let mut ring = vec![first];
    ring.extend(above.take_while(|hop| *hop != first));
    // Begin at the strip or cord that was written first, whatever the walk met first.
    let is_start = |hop: &Hop| matches!(hop, Hop::Pdu(_) | Hop::Cord(_));
    let starts = (0..ring.len()).filter(|&place| is_start(&ring[place]));
    let least = starts.min_by_key(|&place| ring[place]).unwrap_or(0);
    ring.rotate_left(least);
    ring
}
