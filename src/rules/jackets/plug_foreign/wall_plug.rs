//! The plugs that go into receptacles of circuits.

use std::collections::BTreeMap;

use crate::analysis::Analysis;
use crate::graph::{CordFeed, PduFeed};
use crate::model::circuits::Circuit;
use crate::model::cords::Cord;
use crate::model::pdus::Pdu;
use crate::model::text::CouplerRef;
use crate::model::value::{Id, Name, Spanned};
use crate::source::Span;
use crate::tables::couplers::Family;

/// A plug that goes into a receptacle, and the things that have it.
pub(super) struct WallPlug<'a> {
    /// `cord type` or `PDU model`.
    pub what: &'static str,
    pub kind: &'a Spanned<Name>,
    pub plug: &'a Spanned<CouplerRef>,
    pub receptacle: Id<Circuit>,
    /// `cord` or `PDU`.
    pub user_word: &'static str,
    /// The first cord of that type, or PDU of that model.
    pub user: &'a Spanned<Name>,
    /// All of them that go into receptacles.
    pub users: Vec<&'a Name>,
}

/// The kinds of plug that go into receptacles of circuits, by where they stand.
pub(super) fn wall_plugs<'a>(analysis: &Analysis<'a>) -> BTreeMap<Span, WallPlug<'a>> {
    let model = analysis.model;
    let cords = model
        .cords
        .iter()
        .filter_map(|(cord, _)| of_cord(analysis, cord));
    let strips = model
        .pdus
        .iter()
        .filter_map(|(pdu, _)| of_pdu(analysis, pdu));
    let mut plugs = BTreeMap::new();
    for plug in cords.chain(strips).filter(WallPlug::belongs_to_a_country) {
        let user = &plug.user.value;
        plugs.entry(plug.plug.span).or_insert(plug).users.push(user);
    }
    plugs
}

impl WallPlug<'_> {
    pub fn belongs_to_a_country(&self) -> bool {
        matches!(self.plug.value.family, Family::Nema | Family::National)
    }
}

fn of_cord<'a>(analysis: &Analysis<'a>, cord: Id<Cord>) -> Option<WallPlug<'a>> {
    let links = &analysis.graph.links;
    let Some(CordFeed::Receptacle(receptacle)) = links.cord_feeds[cord.index()] else {
        return None;
    };
    let kind = &analysis.model.cord_types[links.cord_types[cord.index()]?];
    Some(WallPlug {
        what: "cord type",
        kind: &kind.name,
        plug: kind.plug.given()?,
        receptacle,
        user_word: "cord",
        user: &analysis.model.cords[cord].name,
        users: Vec::new(),
    })
}

fn of_pdu<'a>(analysis: &Analysis<'a>, pdu: Id<Pdu>) -> Option<WallPlug<'a>> {
    let links = &analysis.graph.links;
    let Some(PduFeed::Circuit(receptacle)) = links.pdu_feeds[pdu.index()] else {
        return None;
    };
    let kind = &analysis.model.pdu_models[links.pdu_models[pdu.index()]?];
    Some(WallPlug {
        what: "PDU model",
        kind: &kind.name,
        plug: kind.plug.given()?,
        receptacle,
        user_word: "PDU",
        user: &analysis.model.pdus[pdu].name,
        users: Vec::new(),
    })
}
