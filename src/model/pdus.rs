//! `pdu-models:` and `pdus:` — rack power strips: their banks, outlets and places.

use std::ops::{Deref, DerefMut};

use serde_json::{Value, json};

use crate::quantity::{ConductorSize, Current, Length, RackUnits, Temperature};
use crate::source::Span;
use crate::yaml::{Kind, NodeId};

use super::circuits::{Breaker, Pole};
use super::cords::StatedService;
use super::decode::{Decode, Reader, Record, Slot, record, words};
use super::dual_marks::Marked;
use super::fault::Fault;
use super::ingress::Ingress;
use super::optional::{Optional, Stated};
use super::schema;
use super::text::{CordageRef, CouplerRef, Reference, RetentionRef, YesNo, clip};
use super::value::{Field, Name, Named, Section, Spanned};

record! {
    /// A kind of power strip.
    PduModel: "PDU model";
    /// Its plug; `none` where it is wired to terminals and has none.
    "plug" (required) => plug: Plug,
    /// Fuse in its plug (BS 1363).
    "fuse" (above_zero) => fuse: Optional<Current>,
    /// What holds its plug in the receptacle, where the plug does not hold by its shape.
    "retention" => retention: Field<RetentionRef>,
    /// Its rated input current, each line.
    "rating" (required, above_zero) => rating: Field<Current>,
    /// Its input cord.
    "cord" => cord: Field<InputCord>,
    /// `none` says that banks without a breaker on record have none.
    "breakers" => breakers: Field<NoBreakers>,
    /// Its banks: groups of outlets behind one breaker, each between two of its poles.
    "banks" (required) => banks: Section<Bank>,
    /// Distance between the middles of neighbouring outlets.
    "outlet-pitch" (above_zero) => outlet_pitch: Field<Length>,
    /// Distance from the foot of the strip to its first outlet.
    "first-outlet" => first_outlet: Field<Length>,
    /// Where the earth (ground) contact of its outlets lies, seen with the foot of the strip at the bottom:
    /// `up`, `down`, `left` or `right`.
    "outlet-earth" => outlet_earth: Field<Direction>,
    /// Hottest air it is made for.
    "ambient-limit" => ambient_limit: Field<Temperature>,
}

impl PduModel {
    /// The first bank that wants a neutral.
    pub fn wants_neutral(&self) -> Option<&Named<Bank>> {
        let mut banks = self.banks.items().iter();
        banks.find(|bank| {
            let between = bank.between.known();
            between.is_some_and(|between| between.has_neutral())
        })
    }

    /// The fuse in its plug. A plug without one has none, whatever is written.
    pub fn plug_fuse(&self) -> Option<&Spanned<Current>> {
        let fuse = self.fuse.written().ok().flatten();
        fuse.filter(|_| self.plug.is_fused())
    }
}

/// The plug of a strip, or that it has none since it is wired in.
#[derive(Clone, Debug, Default)]
pub struct Plug {
    /// The coupler; left out where there is none.
    coupler: Field<CouplerRef>,
    wired: Option<Span>,
}

impl Plug {
    /// Where it is written that there is none.
    pub fn wired(&self) -> Option<Span> {
        self.wired
    }
}

impl Deref for Plug {
    type Target = Field<CouplerRef>;
    fn deref(&self) -> &Field<CouplerRef> {
        &self.coupler
    }
}

impl DerefMut for Plug {
    fn deref_mut(&mut self) -> &mut Field<CouplerRef> {
        &mut self.coupler
    }
}

impl Stated for Plug {
    fn place(&self) -> Option<Span> {
        self.coupler.place().or(self.wired)
    }

    fn is_unreadable(&self) -> bool {
        self.coupler.is_unreadable()
    }
}

impl Slot for Plug {
    fn fill(&mut self, reader: &mut Reader<'_>, node: NodeId) {
        let is_scalar = matches!(reader.kind(node), Kind::Plain | Kind::Quoted);
        if is_scalar && reader.tree.tag(node).is_none() && reader.tree.text(node) == NO_PLUG {
            self.wired = Some(reader.tree.span(node));
        } else {
            self.coupler.fill(reader, node);
        }
    }

    fn spoil(&mut self, at: Span) {
        self.coupler.spoil(at);
    }

    fn schema() -> Value {
        json!({"anyOf": [CouplerRef::schema(), {"const": NO_PLUG}]})
    }
}

/// What stands for no plug.
const NO_PLUG: &str = "none";

words! {
    /// Whether a strip has breakers that are not on record.
    NoBreakers: "a word on the breakers of a strip";
    /// It was looked at: there are no others.
    None = "none",
}

record! {
    /// The cord that a power strip is fed by.
    InputCord: "input cord";
    /// Its conductors; of a cord marked in both systems, a list: `[1.5 mm², 16 AWG]`.
    "conductor" => conductor: Marked<ConductorSize>,
    /// Its cordage type; of a cord marked with several, a list of them.
    "cordage" => cordage: Marked<CordageRef>,
    /// Temperature marked on the cordage, where its type allows several.
    "temperature" => temperature: Field<Temperature>,
    /// Its length.
    "length" => length: Field<Length>,
    /// Whether the strip is listed together with this cord and its plug, and both are as they came (NEC 240.5(B)(1)).
    "listed" => listed: Field<YesNo>,
    /// What its maker states where the cordage type leaves it open.
    "service" => service: Field<StatedService>,
}

words! {
    /// A direction on a strip, its foot at the bottom.
    Direction: "a direction on the strip";
    /// Towards the head.
    Up = "up",
    /// Towards the foot.
    Down = "down",
    /// To the left.
    Left = "left",
    /// To the right.
    Right = "right",
}

record! {
    /// A group of outlets of a strip behind one breaker.
    Bank: "bank";
    /// The two poles it hangs between: `L1-N` or `L1-L2`.
    "between" (required) => between: Field<Between>,
    /// Its overcurrent device.
    "breaker" => breaker: Field<Breaker>,
    /// Whether its device opens alone on a fault behind it, and the one ahead of the strip holds. Left out: nobody says so.
    "selective" => selective: Optional<YesNo>,
    /// Up to which fault current it does, by its maker's table for the device ahead. Left out: nobody says so.
    "selective-up-to" (above_zero) => selective_up_to: Optional<Current>,
    /// Its outlets: a name or a range of numbers, and the coupler.
    "outlets" (required) => outlets: Outlets,
}

/// The two poles that a bank hangs between.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Between(pub Pole, pub Pole);

impl Between {
    /// The marking, `L1-N`.
    pub fn show(self) -> String {
        format!("{}-{}", self.0.word(), self.1.word())
    }

    /// Whether one of the two is the neutral.
    pub fn has_neutral(self) -> bool {
        self.0 == Pole::N || self.1 == Pole::N
    }
}

impl Decode for Between {
    fn decode(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let text = reader.scalar(node, "two poles like L1-N")?;
        let poles = text.split_once(['-', '–']).and_then(|(first, second)| {
            Some(Self(
                Pole::parse(first.trim())?,
                Pole::parse(second.trim())?,
            ))
        });
        let between = poles.filter(|between| between.0 != between.1);
        if between.is_none() {
            let headline = format!(
                "`{}` does not name two different poles, so that what hangs there is not judged",
                clip(text)
            );
            reader.bad(
                reader.tree.span(node),
                headline,
                "Write two of L1, L2, L3 and N, like L1-N or L1-L2.".into(),
            );
        }
        between
    }

    fn schema() -> Value {
        json!({
            "type": "string",
            "pattern": format!(r"^\s*{pole}\s*[-–]\s*{pole}\s*$", pole = Pole::pattern()),
            "examples": ["L1-N", "L1-L2"],
        })
    }
}

record! {
    /// One outlet, or several alike.
    Outlet: "outlet", short for "coupler";
    /// Its coupler.
    "coupler" (required) => coupler: Field<CouplerRef>,
    /// Its rated current, as marked, where it is not that of the plain coupler.
    "rating" (above_zero) => rating: Field<Current>,
    /// What it offers to hold a plug, by how it holds.
    "latch" => latch: Field<RetentionRef>,
    /// Degree of protection with a plug in it, as marked: `IPX4`.
    "ip" => ip: Field<Ingress>,
}

/// The outlets of a bank, ranges expanded, in the order written.
#[derive(Clone, Debug, Default)]
pub struct Outlets(pub Vec<Named<Outlet>>);

impl Outlets {
    /// The outlets, of a range only the first: what is written once for a range is the same for all of it.
    pub fn as_written(&self) -> impl Iterator<Item = &Named<Outlet>> {
        let ranges = self.0.chunk_by(|a, b| a.body == b.body);
        ranges.filter_map(<[_]>::first)
    }
}

/// More outlets than any strip has; a slip like `1-99999` must not fill the memory.
const MOST_OUTLETS: u32 = 200;

impl Slot for Outlets {
    fn fill(&mut self, reader: &mut Reader<'_>, node: NodeId) {
        each_outlet(reader, node, |_, outlet| self.0.push(outlet));
    }

    fn spoil(&mut self, _: Span) {}

    fn schema() -> Value {
        schema::named(schema::record::<Outlet>())
    }
}

/// Reads outlets under their names or the ranges of them, and hands on each by itself, with the key as written.
pub(super) fn each_outlet<R: Record + Clone>(
    reader: &mut Reader<'_>,
    node: NodeId,
    mut each: impl FnMut(&Name, Named<R>),
) {
    reader.entries(node, "outlet", |reader, name, value| {
        let body = reader.tree.span(value);
        let item: R = reader.record(value, Some(&name));
        for value in outlet_names(reader, &name) {
            let own = Spanned {
                value,
                span: name.span,
            };
            let outlet = Named {
                name: own,
                body,
                note: None,
                item: item.clone(),
            };
            each(&name.value, outlet);
        }
    });
}

/// `7` is one outlet, `1-6` are six.
fn outlet_names(reader: &mut Reader<'_>, name: &Spanned<Name>) -> Vec<Name> {
    let range = name.value.split_once(['-', '–']).and_then(|(first, last)| {
        Some((
            first.trim().parse::<u32>().ok()?,
            last.trim().parse::<u32>().ok()?,
        ))
    });
    let Some((first, last)) = range else {
        return vec![name.value.clone()];
    };
    if first > last || last - first >= MOST_OUTLETS {
        reader.push(Fault::BadValue {
            span: name.span,
            headline: format!("`{}` is not a range of outlets", clip(&name.value)),
            advice: format!(
                "Write the lower number first, and at most {MOST_OUTLETS} outlets, like 1-6."
            ),
            edit: None,
        });
        return Vec::new();
    }
    let count = (last - first) as usize + 1;
    if !reader.may_make(name.span, count) {
        return Vec::new();
    }
    (first..=last)
        .map(|number| number.to_string().into())
        .collect()
}

record! {
    /// A power strip of the site.
    Pdu: "PDU";
    /// Its model.
    "model" (required) => model: Field<Name>,
    /// The rack it is in.
    "rack" => rack: Field<Name>,
    /// The circuit it is plugged into; left out where a cord's `to` says what feeds it.
    "from" => from: Field<Reference>,
    /// Where in the rack it is mounted.
    "mount" => mount: Field<Mount>,
    /// Outlets that are kept in reserve: no plan takes them but that of a further device.
    "reserve" => reserve: Vec<Spanned<Name>>,
}

record! {
    /// Where in the rack a strip is mounted.
    Mount: "mount";
    /// Side of the rack: `rear-left`, `rear-right`, `front-left`, `front-right`, or `horizontal`.
    "side" => side: Field<MountSide>,
    /// Rack unit of its lower end.
    "foot" => foot: Field<RackUnits>,
    /// Rack unit of its upper end.
    "head" => head: Field<RackUnits>,
}

words! {
    /// Side of a rack.
    MountSide: "a side of the rack";
    /// Behind, on the left seen from behind.
    RearLeft = "rear-left",
    /// Behind, on the right seen from behind.
    RearRight = "rear-right",
    /// In front, on the left seen from the front.
    FrontLeft = "front-left",
    /// In front, on the right seen from the front.
    FrontRight = "front-right",
    /// Across the rack, in rack units of its own.
    Horizontal = "horizontal",
}
