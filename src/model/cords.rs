//! `cord-types:`, `cords:` and `departures:` — what is ordered, where it runs, and what was agreed about it.

use serde_json::{Value, json};

use crate::date::Date;
use crate::quantity::{ConductorSize, Current, Length, Resistance, Temperature};
use crate::source::Span;
use crate::tables::retention;
use crate::yaml::{Kind, NodeId};

use super::decode::{Reader, Slot, record, words};
use super::dual_marks::{Marked, MarkedRating};
use super::ingress::Ingress;
use super::marks::Marks;
use super::optional::{Optional, Stated};
use super::schema;
use super::signed::SignedAt;
use super::text::{CordageRef, CouplerRef, Reference, RetentionRef, YesNo};
use super::value::{Field, Name, Named, Section, Spanned};

record! {
    /// A kind of cord set, as it is ordered.
    CordType: "cord type";
    /// The make that it is of: what stands there need not stand here.
    "make" => make: Field<Name>,
    /// The plug: the end at the outlet.
    "plug" (required, or_make) => plug: Field<CouplerRef>,
    /// The connector: the end at the device.
    "connector" => connector: Field<CouplerRef>,
    /// Degree of protection of the connector on its inlet, as marked; of a splitter, of each of its
    /// connectors.
    "connector-ip" => connector_ip: Field<Ingress>,
    /// Its conductors; of a cord marked in both systems, a list: `[1.0 mm², 18 AWG]`.
    "conductor" (required, or_make, or_adapter, above_zero) => conductor: Marked<ConductorSize>,
    /// Its cordage type: `H05VV-F`, `SJT`, …; of a cord marked with several, a list of them.
    "cordage" => cordage: Marked<CordageRef>,
    /// Temperature marked on the cordage, where its type allows several.
    "temperature" => temperature: Field<Temperature>,
    /// Cores of the cordage: 2 without a protective (equipment grounding) conductor, 3 with it.
    "cores" (above_zero) => cores: Field<u32>,
    /// Its length from plug to connector (or to the split).
    "length" (required, or_adapter, above_zero) => length: Field<Length>,
    /// Whether it is an adapter: plug and connector in one body, with no length of cord between them.
    "adapter" => adapter: Optional<YesNo>,
    /// Resistance of one conductor over the whole cord, hot, where it is known better than from its size.
    "resistance" => resistance: Optional<Resistance>,
    /// Rated current, as marked on the cord set: one, or one for each practice, `{iec: 10 A, nec: 13 A}`.
    "rating" (above_zero) => rating: MarkedRating,
    /// Fuse in the plug (BS 1363).
    "fuse" (above_zero) => fuse: Optional<Current>,
    /// Jacket colour.
    "colour" => colour: Field<Name>,
    /// Approval marks on the cord set, a list of them or one: `VDE`, `UL Listed`, `<PS>E`, …
    "approvals" => approvals: Marks,
    /// What holds its ends.
    "retention" => retention: Field<EndRetention>,
    /// The way the cord leaves its ends.
    "angle" => angle: Optional<EndAngle>,
    /// How far its ends stand out.
    "stand-out" => stand_out: Field<StandOut>,
    /// What its maker states where the cordage type leaves it open.
    "service" => service: Field<StatedService>,
    /// What its maker declares for its couplers in air hotter than 40 °C.
    "hot-air" => hot_air: Field<HotAir>,
    /// The legs of a splitter cord.
    "legs" => legs: Section<CordLeg>,
}

impl CordType {
    /// Whether it is said to be an adapter.
    pub fn is_adapter(&self) -> bool {
        self.adapter.says_yes() == Ok(true)
    }

    /// Its length from plug to connector; that of an adapter is none, which it says itself.
    pub fn whole_length(&self) -> Option<Length> {
        match self.is_adapter() {
            true => Some(Length::default()),
            false => self.length.known().copied(),
        }
    }

    /// The length of a leg; where nothing is written, that of an adapter has none.
    pub fn leg_length(&self, leg: &CordLeg) -> Option<Length> {
        match leg.length.is_absent() && self.is_adapter() {
            true => Some(Length::default()),
            false => leg.length.known().copied(),
        }
    }

    /// The fuse in its plug. A plug without one has none, whatever is written.
    pub fn plug_fuse(&self) -> Option<&Spanned<Current>> {
        let fuse = self.fuse.written().ok().flatten();
        fuse.filter(|_| self.plug.is_fused())
    }

    /// What holds the plug and the connector, as far as it is said.
    pub fn locks(&self) -> [Option<&retention::Kind>; 2] {
        let ends = self.retention.known();
        [
            ends.and_then(|ends| ends.plug.row()),
            ends.and_then(|ends| ends.connector.row()),
        ]
    }

    /// The way the cord leaves its plug; `None` for one that leaves straight, since nothing is written.
    ///
    /// # Errors
    /// Where it stands, if it cannot be read.
    pub fn plug_angle(&self) -> Result<Option<&Spanned<Angle>>, Span> {
        let ends = self.angle.written()?;
        ends.map_or(Ok(None), |ends| ends.value.plug.written())
    }

    /// The way it leaves its connector, or that of a leg, which says its own or has the cord's; `None` for straight,
    /// since nothing is written.
    ///
    /// # Errors
    /// Where it stands, if it cannot be read.
    pub fn connector_angle<'a>(
        &'a self,
        leg: Option<&'a CordLeg>,
    ) -> Result<Option<&'a Spanned<Angle>>, Span> {
        if let Some(leg) = leg.filter(|leg| !leg.angle.is_absent()) {
            return leg.angle.written();
        }
        let ends = self.angle.written()?;
        ends.map_or(Ok(None), |ends| ends.value.connector.written())
    }

    /// What holds the plug in its outlet.
    pub fn plug_hold(&self) -> Field<&retention::Kind> {
        self.hold(|ends| &ends.plug)
    }

    /// What holds the connector, or that of a leg, on its inlet: the leg says its own or has the cord's.
    pub fn connector_hold<'a>(&'a self, leg: Option<&'a CordLeg>) -> Field<&'a retention::Kind> {
        match leg.filter(|leg| !leg.retention.is_absent()) {
            Some(leg) => leg.retention.as_row(),
            None => self.hold(|ends| &ends.connector),
        }
    }

    fn hold(&self, end: fn(&EndRetention) -> &Field<RetentionRef>) -> Field<&retention::Kind> {
        match &self.retention {
            Field::Absent => Field::Absent,
            Field::Unreadable(at) => Field::Unreadable(*at),
            Field::Given(ends) => end(&ends.value).as_row(),
        }
    }
}

record! {
    /// What the maker of a cord states about it, where its cordage type leaves it open.
    StatedService: "service";
    /// Whether it gives off no halogen acid gas in a fire (IEC 60754-1).
    "halogen-free" => halogen_free: Field<YesNo>,
    /// Whether its jacket resists oil.
    "oil" => oil: Field<YesNo>,
    /// Whether it may lie in wet places.
    "wet" => wet: Field<YesNo>,
}

record! {
    /// What the maker of a cord or a receptacle declares for its couplers in air hotter than their plain ratings hold in
    /// (IEC 60320-1:2021, Annex E).
    HotAir: "hot-air";
    /// The hottest air that it is declared for.
    "at" (required) => at: Field<Temperature>,
    /// What its couplers may carry up to there.
    "amperes" (required, above_zero) => amperes: Field<Current>,
}

record! {
    /// How far an end of a cord stands out from the face it is plugged into, bend and all.
    StandOut: "stand-out";
    /// The connector, from the back of the device.
    "connector" => connector: Field<Length>,
}

record! {
    /// A leg of a splitter cord.
    CordLeg: "leg";
    /// Its connector.
    "connector" (required) => connector: Field<CouplerRef>,
    /// What holds its connector on the inlet, where it is not the cord's.
    "retention" => retention: Field<RetentionRef>,
    /// The way it leaves its connector, where it is not the cord's.
    "angle" => angle: Optional<Angle>,
    /// How far its connector stands out from the back of the device, where it is not the cord's.
    "stand-out" => stand_out: Field<Length>,
    /// Its conductors; of a cord marked in both systems, a list.
    "conductor" (above_zero) => conductor: Marked<ConductorSize>,
    /// Its cordage type, where it is not the trunk's; of a cord marked with several, a list of them.
    "cordage" => cordage: Marked<CordageRef>,
    /// Its length from the split.
    "length" (above_zero) => length: Field<Length>,
    /// Rated current, as marked: one, or one for each practice.
    "rating" (above_zero) => rating: MarkedRating,
}

record! {
    /// What holds the two ends of a cord.
    EndRetention: "retention";
    /// What holds the plug in the outlet.
    "plug" => plug: Field<RetentionRef>,
    /// What holds the connector on the inlet.
    "connector" => connector: Field<RetentionRef>,
}

record! {
    /// The way the cord leaves its two ends.
    EndAngle: "angle";
    /// At the plug.
    "plug" => plug: Optional<Angle>,
    /// At the connector.
    "connector" => connector: Optional<Angle>,
}

words! {
    /// The way a cord leaves a coupler, seen with the earth (ground) pin uppermost.
    Angle: "a direction";
    /// Straight out.
    Straight = "straight",
    /// Towards the earth pin.
    Up = "up",
    /// Away from the earth pin.
    Down = "down",
    /// To the left.
    Left = "left",
    /// To the right.
    Right = "right",
}

record! {
    /// A cord of the site; its name is the label on both ends.
    Cord: "cord";
    /// Its type.
    "type" (required) => cord_type: Field<Name>,
    /// The outlet it is plugged into, `pdu/outlet`, or `device/outlet` where a device passes power on; the
    /// circuit whose receptacle it is plugged into; or the cord, or the leg of a splitter, `cord/leg`, whose
    /// connector it is plugged into.
    "from" (required) => from: Field<Reference>,
    /// The inlet it feeds, `device/inlet`; for a splitter, one for every leg. Left out where another cord is plugged
    /// into its connector, which says so itself.
    "to" (required, told_later) => to: Ends,
    /// Its length, where it is not its type's.
    "length" (above_zero) => length: Field<Length>,
    /// The bundle it lies in: cords of one bundle warm each other.
    "bundle" => bundle: Field<Name>,
    /// What is done with surplus length: `hung`, `folded` or `coiled`.
    "surplus" => surplus: Field<Surplus>,
    /// How far it has come: `to-fit`, `on-order`, `in-store`, `fitted` or `to-pull`. Left out it is fitted.
    "state" => state: Field<CordState>,
    /// The day on which it was fitted.
    "fitted" => fitted: Field<Date>,
}

words! {
    /// How far a cord has come.
    CordState: "a state of a cord";
    /// Planned, and not yet ordered.
    ToFit = "to-fit",
    /// Ordered.
    OnOrder = "on-order",
    /// There, and not yet fitted.
    InStore = "in-store",
    /// Fitted: it hangs in the rack.
    Fitted = "fitted",
    /// Fitted, and to be pulled.
    ToPull = "to-pull",
}

words! {
    /// What is done with surplus length.
    Surplus: "a way to stow surplus cord";
    /// Hangs free.
    Hung = "hung",
    /// Folded into a loose loop.
    Folded = "folded",
    /// Coiled up.
    Coiled = "coiled",
}

/// Where a cord ends.
#[derive(Clone, Debug, Default)]
pub enum Ends {
    /// Left out.
    #[default]
    Absent,
    /// There, but not readable.
    Unreadable(Span),
    /// At one inlet.
    One(Spanned<Reference>),
    /// At one inlet for each leg, under the leg's name.
    Legs(Vec<Named<Reference>>),
}

impl Stated for Ends {
    fn place(&self) -> Option<Span> {
        match self {
            Self::Absent => None,
            Self::Unreadable(span) => Some(*span),
            Self::One(end) => Some(end.span),
            Self::Legs(legs) => legs.first().map(|leg| leg.name.span),
        }
    }

    fn is_unreadable(&self) -> bool {
        matches!(self, Self::Unreadable(_))
    }
}

impl Slot for Ends {
    fn fill(&mut self, reader: &mut Reader<'_>, node: NodeId) {
        if reader.tree.kind(node) != Kind::Mapping {
            let mut one = Field::Absent;
            one.fill(reader, node);
            *self = match one {
                Field::Given(one) => Self::One(one),
                Field::Unreadable(span) => Self::Unreadable(span),
                Field::Absent => Self::Absent,
            };
            return;
        }
        let mut legs = Vec::new();
        reader.entries(node, "leg", |reader, name, value| {
            let mut end: Field<Reference> = Field::Absent;
            end.fill(reader, value);
            if let Field::Given(end) = end {
                legs.push(Named {
                    name,
                    body: end.span,
                    note: None,
                    item: end.value,
                });
            }
        });
        *self = match legs.is_empty() {
            true => Self::Unreadable(reader.tree.span(node)),
            false => Self::Legs(legs),
        };
    }

    fn spoil(&mut self, at: Span) {
        *self = Self::Unreadable(at);
    }

    fn schema() -> Value {
        let end = schema::defined("name");
        json!({
            "anyOf": [end.clone(), schema::named(end)],
            "examples": ["tide-01/psu1", {"a": "gauge-02/psu1", "b": "gauge-03/psu1"}],
        })
    }
}

record! {
    /// A recorded, reasoned, time-limited deviation from a rule.
    Departure: "departure";
    /// The rule that is departed from.
    "rule" (required) => rule: Field<Name>,
    /// The thing at which it is: a cord, device, PDU, circuit or supply.
    "at" (required) => at: Field<Name>,
    /// Why the rule is departed from.
    "reason" => reason: Field<Name>,
    /// Who agreed.
    "agreed-by" => agreed_by: Field<Name>,
    /// The last day on which it holds.
    "until" => until: Field<Date>,
    /// The number that it was signed at. Beyond it, or beyond its share of the limit, the departure no
    /// longer holds. Written by the program with the departure; without it, any number is let through.
    "signed-at" => signed_at: Field<SignedAt>,
}
