//! Couplers in pairs, the walk that the rules of this room share: the outlet with the plug in it,
//! the connector with the inlet it is pushed on.

use smol_str::SmolStr;

use crate::citation::Citation;
use crate::finding::{Level, Place};
use crate::graph::{CordFeed, ElementId, ElementKind, PduFeed, Receiver};
use crate::model::circuits::Circuit;
use crate::model::cords::{Cord, CordType};
use crate::model::pdus::Pdu;
use crate::model::text::CouplerRef;
use crate::model::value::{Field, Id, Spanned};
use crate::quantity::Current;
use crate::survey::{Survey, place};
use crate::tables::mating::{self, Mate};

/// Whose half a coupler is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Owner {
    /// An outlet of a PDU, by its number in the model.
    Outlet(Id<Pdu>, u32),
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
}

/// One half of a pair.
#[derive(Clone, Copy, Debug)]
pub struct Half<'a> {
    /// The coupler and where it is named.
    pub coupler: &'a Spanned<CouplerRef>,
    /// The rated current that the part itself is marked with.
    pub mark: Option<&'a Current>,
    /// Whose it is.
    pub owner: Owner,
}

impl<'a> Half<'a> {
    fn new(
        coupler: &'a Field<CouplerRef>,
        mark: Option<&'a Current>,
        owner: Owner,
    ) -> Option<Self> {
        let coupler = coupler.given()?;
        Some(Self {
            coupler,
            mark,
            owner,
        })
    }

    /// The name of the coupler: `C13`.
    pub fn name(&self) -> &'static str {
        self.coupler.value.name.as_str()
    }

    /// What it is, for the middle of a sentence: `the connector of cord W-1`.
    pub fn what(&self, survey: &Survey<'_>) -> String {
        let model = survey.model;
        match self.owner {
            Owner::Outlet(pdu, outlet) => {
                let name = outlet_name(survey, pdu, outlet);
                format!("outlet {}/{name}", model.pdus[pdu].name.value)
            }
            Owner::Receptacle(circuit) => format!(
                "the receptacle of circuit {}",
                model.circuits[circuit].name.value
            ),
            Owner::Plug(cord) => format!("the plug of cord {}", model.cords[cord].name.value),
            Owner::Connector(id) => format!("the connector of {}", survey.describe(id)),
            Owner::Inlet(inlet) => {
                let link = &survey.graph.links.inlets[inlet as usize];
                format!("inlet {}", survey.inlet_name(link))
            }
            Owner::PduPlug(pdu) => format!("the plug of PDU {}", model.pdus[pdu].name.value),
        }
    }

    /// The half as a place: what it is, its name, and what is to be seen there.
    pub fn place(&self, survey: &Survey<'_>, seen: &str) -> Place {
        let what = self.what(survey);
        place(self.coupler.span, format!("{what}: {}{seen}", self.name()))
    }
}

fn outlet_name(survey: &Survey<'_>, pdu: Id<Pdu>, outlet: u32) -> SmolStr {
    let table = survey.graph.links.outlet_table(pdu);
    let model = survey.graph.pdu_model(survey.model, pdu);
    table
        .zip(model)
        .map(|(table, model)| table.outlet(model, outlet).name.value.clone())
        .unwrap_or_default()
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
        Some(mating::mates(contacts.coupler.value, pins.coupler.value))
    }
}

/// The pairs at an element, in electrical order: of a cord its plug and its connector, of a leg its
/// connector, of a PDU its plug.
pub fn pairs<'a>(survey: &Survey<'a>, id: ElementId) -> impl Iterator<Item = Pair<'a>> + use<'a> {
    let [first, second] = match survey.graph.kind(id) {
        ElementKind::Pdu(pdu) => [pdu_pair(survey, id, pdu), None],
        ElementKind::Cord(cord) => match survey.graph.cord_type(survey.model, cord) {
            Some(kind) => [
                Some(plug_pair(survey, id, cord, kind)),
                far_pair(survey, id, &kind.connector, kind.rating.get()),
            ],
            None => [None, None],
        },
        ElementKind::Leg(cord, leg) => {
            let kind = survey.graph.cord_type(survey.model, cord);
            let leg = kind.and_then(|kind| kind.legs.items().get(leg as usize));
            // The trunk's mark says nothing of a leg's connector.
            let pair = leg.and_then(|leg| far_pair(survey, id, &leg.connector, leg.rating.get()));
            [pair, None]
        }
        ElementKind::Supply(_) | ElementKind::Circuit(_) | ElementKind::Bank(..) => [None, None],
    };
    first.into_iter().chain(second)
}

fn plug_pair<'a>(
    survey: &Survey<'a>,
    id: ElementId,
    cord: Id<Cord>,
    kind: &'a CordType,
) -> Pair<'a> {
    let contacts = match survey.graph.links.cord_feeds[cord.index()] {
        Some(CordFeed::Outlet(pdu, outlet)) => outlet_half(survey, pdu, outlet),
        Some(CordFeed::Receptacle(circuit)) => receptacle_half(survey, circuit),
        None => None,
    };
    Pair {
        id,
        contacts,
        pins: Half::new(&kind.plug, kind.rating.get(), Owner::Plug(cord)),
    }
}

/// The pair at the far end of a cord or leg; a PDU's plug makes its pair at the PDU.
fn far_pair<'a>(
    survey: &Survey<'a>,
    id: ElementId,
    connector: &'a Field<CouplerRef>,
    mark: Option<&'a Current>,
) -> Option<Pair<'a>> {
    let Some(&Receiver::Inlet(number)) = survey.graph.receiver(id) else {
        return None;
    };
    let (_, inlet) = survey.inlet(number)?;
    let inlet = &inlet.item;
    Some(Pair {
        id,
        contacts: Half::new(connector, mark, Owner::Connector(id)),
        pins: Half::new(&inlet.coupler, inlet.rating.get(), Owner::Inlet(number)),
    })
}

fn pdu_pair<'a>(survey: &Survey<'a>, id: ElementId, pdu: Id<Pdu>) -> Option<Pair<'a>> {
    let contacts = match survey.graph.links.pdu_feeds[pdu.index()]? {
        PduFeed::Circuit(circuit) => receptacle_half(survey, circuit),
        PduFeed::Outlet(upper, outlet) => outlet_half(survey, upper, outlet),
        PduFeed::Cord(..) => {
            let feeder = survey.graph.element(id).feeder?;
            connector_half(survey, feeder)
        }
    };
    let model = survey.graph.pdu_model(survey.model, pdu)?;
    Some(Pair {
        id,
        contacts,
        pins: Half::new(&model.plug, None, Owner::PduPlug(pdu)),
    })
}

fn connector_half<'a>(survey: &Survey<'a>, id: ElementId) -> Option<Half<'a>> {
    let (ElementKind::Cord(cord) | ElementKind::Leg(cord, _)) = survey.graph.kind(id) else {
        return None;
    };
    let kind = survey.graph.cord_type(survey.model, cord)?;
    let ElementKind::Leg(_, leg) = survey.graph.kind(id) else {
        return Half::new(&kind.connector, kind.rating.get(), Owner::Connector(id));
    };
    let leg = kind.legs.items().get(leg as usize)?;
    Half::new(&leg.connector, leg.rating.get(), Owner::Connector(id))
}

fn outlet_half<'a>(survey: &Survey<'a>, pdu: Id<Pdu>, outlet: u32) -> Option<Half<'a>> {
    let table = survey.graph.links.outlet_table(pdu)?;
    let item = &table
        .outlet(survey.graph.pdu_model(survey.model, pdu)?, outlet)
        .item;
    Half::new(&item.coupler, item.rating.get(), Owner::Outlet(pdu, outlet))
}

fn receptacle_half<'a>(survey: &Survey<'a>, circuit: Id<Circuit>) -> Option<Half<'a>> {
    let receptacle = &survey.model.circuits[circuit].item.receptacle;
    Half::new(receptacle, None, Owner::Receptacle(circuit))
}

/// A level that a limit bears: what is known from memory or practice alone makes no error.
pub fn borne_by(level: Level, basis: &[Citation]) -> Level {
    let is_firm = basis.iter().all(|citation| citation.confidence.is_firm());
    if is_firm {
        level
    } else {
        level.min(Level::Warning)
    }
}

/// Names in a list that may be long: `W-1, W-2, W-3 and 5 more`.
pub fn listed<N: AsRef<str>>(names: &[N]) -> String {
    const SHOWN: usize = 4;
    let shown: Vec<&str> = names.iter().take(SHOWN).map(AsRef::as_ref).collect();
    match names.len().saturating_sub(SHOWN) {
        0 => shown.join(", "),
        more => format!("{} and {more} more", shown.join(", ")),
    }
}
