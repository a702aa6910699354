//! `supplies:` and `circuits:` — where the drawing starts, and the branch circuits that leave from there.

use std::ops::{Deref, DerefMut};

use serde_json::{Value, json};

use crate::quantity::{
    ApparentPower, ConductorSize, Current, EnergyLetThrough, Length, Power, Ratio, Resistance,
    SystemMarking, Temperature, Voltage,
};
use crate::source::Span;
use crate::tables::breakers::Curve;
use crate::tables::wiring::WiringInsulation;
use crate::yaml::NodeId;

use super::decode::{Decode, Reader, Slot, list, record, words};
use super::devices::PowerFactor;
use super::ingress::Ingress;
use super::optional::Optional;
use super::receptacle::Receptacle;
use super::residual::ResidualDevice;
use super::sources::{FaultCurrent, Modes};
use super::text::{YesNo, clip, unknown_word};
use super::value::{Field, Name, Spanned};

record! {
    /// Where the drawing starts: a transformer, a UPS output, a generator.
    Supply: "supply";
    /// The feed that it makes.
    "feed" => feed: Field<Name>,
    /// The supply that it is fed from: a UPS from a transformer, a board from a UPS. Left out: nothing ahead of it is
    /// drawn.
    "from" => from: Optional<Name>,
    /// What it delivers of what it takes, at the load that it has: of a UPS by its data sheet; `100 %` of a
    /// switchboard.
    "efficiency" (above_zero) => efficiency: Field<Ratio>,
    /// What it takes besides to charge its battery again; `0 W` where it has none.
    "recharge" => recharge: Field<Power>,
    /// Power factor at its input.
    "input-power-factor" => input_power_factor: Field<PowerFactor>,
    /// Its system, marked as in IEC 61293: `3/N/PE ~ 400/230 V 50 Hz`.
    "system" (required) => system: Field<SystemMarking>,
    /// Whether it is the public supply, or has its voltages and its frequency. `no` where a ship, a generator or a converter makes others on purpose; left out: `yes`.
    "public" => public: Optional<YesNo>,
    /// What it can carry.
    "capacity" (above_zero) => capacity: Field<ApparentPower>,
    /// Prospective short-circuit current at this point: one figure, or `{largest: …, smallest: …}`. A supply that
    /// runs in several modes has it in each of its `modes`.
    "fault-current" => fault_current: Field<FaultCurrent>,
    /// The modes that it can run in, each with what a fault draws in it: `mains`, `bypass`, `inverter`, `generator`.
    /// Left out: it has one, which its own keys tell.
    "modes" => modes: Modes,
    /// How it is earthed (grounded): `TN-S`, `TN-C-S` (also called `MEN` or `PME`), `TT` or `IT`.
    "earthing" => earthing: Field<Earthing>,
    /// Resistance of the earth (grounding) electrode of the installation, as measured; of a TT system.
    "electrode" (above_zero) => electrode: Optional<Resistance>,
    /// Whether an insulation monitor watches it all the time and tells people of a first earth (ground) fault; of an IT system.
    "insulation-monitor" => insulation_monitor: Field<YesNo>,
    /// Whether it brings a protective (equipment grounding) conductor, where its marking does not say: `yes` or `none`.
    "protective-conductor" => protective_conductor: Field<ProtectiveConductor>,
    /// Whether the phase sequence L1-L2-L3 has been proved; if not, the worse of both is taken.
    "sequence-proved" => sequence_proved: Field<YesNo>,
}

words! {
    /// How a supply is earthed (IEC 60364-1).
    Earthing: "a kind of earthing (grounding)";
    /// Separate neutral and protective conductor.
    TnS = "TN-S",
    /// Combined upstream, separate in the installation.
    TnCS = "TN-C-S" or "MEN" or "PME",
    /// Own earth electrode at the installation.
    Tt = "TT",
    /// Insulated from earth.
    It = "IT",
}

words! {
    /// Whether a supply brings a protective conductor.
    ProtectiveConductor: "whether there is a protective conductor";
    /// It was looked for, and is there.
    Yes = "yes",
    /// There is none.
    None = "none",
}

record! {
    /// A branch circuit: overcurrent device, fixed wiring, receptacle.
    Circuit: "circuit";
    /// The supply it leaves from.
    "from" (required) => from: Field<Name>,
    /// Its current-carrying poles, in the order of the receptacle's contacts.
    "poles" (required) => poles: CircuitPoles,
    /// The overcurrent device ahead of it.
    "breaker" (required) => breaker: Field<Breaker>,
    /// Its residual current (ground-fault) device: its rated residual current, or `{rated: …, type: …, delay: …}`. Left out: it has none.
    "rcd" (above_zero) => rcd: Optional<ResidualDevice>,
    /// `dedicated` where its receptacle is for one piece of equipment alone, and marked so. Left out: it is for whatever is plugged in.
    "purpose" => purpose: Optional<Purpose>,
    /// The paper in which it was weighed that its receptacle may do without a residual current device. Left out: none is on record.
    "risk-assessment" => risk_assessment: Optional<Name>,
    /// Its fixed wiring.
    "wiring" => wiring: Field<Wiring>,
    /// What is known at its receptacle, where the wiring is a landlord's and not known. Left out: the wiring is known.
    "at-receptacle" => at_receptacle: Optional<AtReceptacle>,
    /// The receptacle at its end: its coupler, or `{coupler: …, latch: …, ip: …, hot-air: …}`.
    "receptacle" => receptacle: Receptacle,
    /// Degree of protection of the receptacle with a plug in it, as marked: `IP44`.
    "receptacle-ip" => receptacle_ip: Field<Ingress>,
    /// Whether what it feeds is wired to it, without plug and receptacle.
    "wired" => wired: Optional<YesNo>,
    /// How many receptacles of that kind it feeds: 2 for a duplex one. Where it is not written, it is not known.
    "receptacles" (above_zero) => receptacles: Field<u32>,
    /// Whether it has the earthing that IEC 60364-5-54 543.7 asks for above 10 mA.
    "high-integrity-earth" => high_integrity_earth: Field<YesNo>,
}

words! {
    /// What a receptacle is for.
    Purpose: "a purpose of a receptacle";
    /// One piece of equipment alone.
    Dedicated = "dedicated",
    /// Whatever is plugged in.
    General = "general",
}

impl Circuit {
    /// What its landlord says of its receptacle, if it is said whence he has it.
    pub fn landlords(&self) -> Option<&AtReceptacle> {
        let figures = &self.at_receptacle.written().ok()??.value;
        figures.source.known().map(|_| figures)
    }

    /// The same, where nothing is written of the wiring itself.
    pub fn landlords_alone(&self) -> Option<&AtReceptacle> {
        self.landlords().filter(|_| self.wiring.is_absent())
    }

    /// Degree of protection of the receptacle, and the key that says it.
    pub fn mark_of_receptacle(&self) -> (&Field<Ingress>, &'static str) {
        match self.receptacle.ip.is_absent() {
            true => (&self.receptacle_ip, "receptacle-ip"),
            false => (&self.receptacle.ip, "receptacle.ip"),
        }
    }
}

record! {
    /// What is known at a receptacle whose wiring is somebody else's: measured there, or promised by the landlord.
    AtReceptacle: "figures at the receptacle";
    /// Largest prospective fault current there.
    "fault-current" (above_zero) => fault_current: Field<Current>,
    /// Impedance of the earth-fault loop there, as measured with cold conductors.
    "earth-loop" (above_zero) => earth_loop: Field<Resistance>,
    /// Voltage there while the contracted current flows.
    "voltage" (above_zero) => voltage: Field<Voltage>,
    /// Current that the contract allows, each line.
    "contracted" (above_zero) => contracted: Field<Current>,
    /// Where these are from: the test report, the contract.
    "source" (required) => source: Field<Name>,
}

/// A pole of a circuit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Pole {
    /// First line conductor.
    L1,
    /// Second line conductor.
    L2,
    /// Third line conductor.
    L3,
    /// Neutral conductor.
    N,
}

/// How the three lines are marked elsewhere: North America, older installations, panels (from memory).
const LINES_ELSEWHERE: [[&str; 3]; 3] = [["A", "B", "C"], ["R", "S", "T"], ["X", "Y", "Z"]];

impl Pole {
    /// All poles in order.
    pub const ALL: [Self; 4] = [Self::L1, Self::L2, Self::L3, Self::N];

    /// The marking (IEC 60445).
    pub fn word(self) -> &'static str {
        match self {
            Self::L1 => "L1",
            Self::L2 => "L2",
            Self::L3 => "L3",
            Self::N => "N",
        }
    }

    /// Place among [`Pole::ALL`].
    pub fn index(self) -> usize {
        self as usize
    }

    /// The pole with this marking, or with that of its line in another system.
    pub fn parse(text: &str) -> Option<Self> {
        let lines = [Self::L1, Self::L2, Self::L3];
        let elsewhere = |letters: &[&str; 3]| {
            let at = letters.iter().position(|letter| *letter == text)?;
            lines.get(at).copied()
        };
        let known = Self::ALL.into_iter().find(|pole| pole.word() == text);
        known.or_else(|| LINES_ELSEWHERE.iter().find_map(elsewhere))
    }

    /// A pattern of all its markings, for the description of the format.
    pub fn pattern() -> String {
        let own = Self::ALL.into_iter().map(Self::word);
        let all: Vec<&str> = own.chain(LINES_ELSEWHERE.into_iter().flatten()).collect();
        format!("(?:{})", all.join("|"))
    }
}

/// The poles of a circuit; none where one of them cannot be read, for the others alone are another circuit.
#[derive(Clone, Debug, Default)]
pub struct CircuitPoles(Vec<Spanned<Pole>>);

impl Deref for CircuitPoles {
    type Target = Vec<Spanned<Pole>>;
    fn deref(&self) -> &Self::Target {
        &self.0
    }
}

impl DerefMut for CircuitPoles {
    fn deref_mut(&mut self) -> &mut Self::Target {
        &mut self.0
    }
}

impl Slot for CircuitPoles {
    fn fill(&mut self, reader: &mut Reader<'_>, node: NodeId) {
        let read = list(reader, node, "a list", |reader, item| {
            let span = reader.tree.span(item);
            Pole::decode(reader, item).map(|value| Spanned { value, span })
        });
        self.0 = read.unwrap_or_default();
    }

    fn spoil(&mut self, _: Span) {
        self.0.clear();
    }

    fn schema() -> Value {
        json!({"type": "array", "items": Pole::schema()})
    }
}

impl Decode for Pole {
    fn decode(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let text = reader.scalar(node, "a pole like L1")?;
        let found = Self::parse(text.trim());
        if found.is_none() {
            // One letter is like any other: none is offered.
            let is_letter = text.chars().nth(1).is_none();
            match is_letter {
                true => reader.bad(
                    reader.tree.span(node),
                    format!("`{}` is not a pole", clip(text)),
                    "Write which line it is: L1, L2 or L3; or N for the neutral.".to_owned(),
                ),
                false => unknown_word(reader, node, "a pole", &["L1", "L2", "L3", "N"]),
            }
        }
        found
    }

    fn schema() -> Value {
        json!({"type": "string", "pattern": format!("^{}$", Self::pattern()), "examples": ["L1", "L2", "L3", "N"]})
    }
}

record! {
    /// An overcurrent device.
    Breaker: "breaker", short for "rating";
    /// Its rated current.
    "rating" (required, above_zero) => rating: Field<Current>,
    /// Its tripping curve: `B`, `C` or `D` (IEC 60898-1), or `inverse-time` (UL 489).
    "curve" => curve: Field<Curve>,
    /// Its rated short-circuit (breaking) capacity.
    "breaking-capacity" (above_zero) => breaking_capacity: Field<Current>,
    /// From which current on it is sure to open at once, by its maker's curve, where that is not the band of its
    /// `curve`.
    "instantaneous" => instantaneous: Field<InstantaneousTrip>,
    /// Energy it lets through at the prospective fault current, from its maker's data, in A²s.
    "let-through" (above_zero) => let_through: Field<EnergyLetThrough>,
    /// What opens it on an overload: `thermal`, or `hydraulic-magnetic`, which the air does not move. Left out: thermal.
    "trip" => trip: Optional<Trip>,
    /// Air in which it carries its rated current, where its maker marks it. Left out: 30 °C (IEC 60898-1), or 40 °C (UL 489).
    "calibrated-at" => calibrated_at: Optional<Temperature>,
    /// Hottest air at it: of a circuit in its panel. Left out of a strip: that of its place.
    "ambient" => ambient: Optional<Temperature>,
    /// Share of its rating that it may carry without end; 100 % only where device and enclosure are listed so.
    "continuous" => continuous: Optional<Ratio>,
}

words! {
    /// What opens a breaker on an overload.
    Trip: "a kind of trip";
    /// A strip of two metals that the current warms.
    Thermal = "thermal",
    /// A coil whose core moves through a fluid.
    HydraulicMagnetic = "hydraulic-magnetic",
}

record! {
    /// The instantaneous trip of an overcurrent device, tolerance and setting within.
    InstantaneousTrip: "instantaneous trip", short for "opens";
    /// From this current on it is sure to open within 0.1 s.
    "opens" (required, above_zero) => opens: Field<Current>,
    /// Up to this current it is sure not to open at once.
    "holds" (above_zero) => holds: Field<Current>,
}

record! {
    /// The fixed wiring of a circuit.
    Wiring: "wiring";
    /// Line and neutral conductors.
    "conductor" => conductor: Field<ConductorSize>,
    /// Protective (equipment grounding) conductor, where it is not of the same size.
    "earth-conductor" => earth_conductor: Optional<ConductorSize>,
    /// Length of the run, one way; of a ring, once round.
    "length" => length: Field<Length>,
    /// Whether it is a ring: from the breaker past the sockets and back to it.
    "ring" => ring: Optional<YesNo>,
    /// Resistance of one line conductor over the whole run, hot, where it is known better than from its size.
    "resistance" => resistance: Optional<Resistance>,
    /// Resistance of the protective (equipment grounding) conductor over the whole run, hot, where it is known better than from its size.
    "earth-resistance" => earth_resistance: Optional<Resistance>,
    /// Insulation: `pvc-70`, `xlpe-90`, or by its NEC type, like `thhn` or `thwn`.
    "insulation" => insulation: Field<WiringInsulation>,
    /// What both its ends are marked for, breaker and receptacle (NEC 110.14(C)): 75 °C. Left out: 60 °C.
    "terminals" => terminals: Optional<Temperature>,
    /// How many loaded circuits lie bunched with it, itself included.
    "grouped" (above_zero) => grouped: Field<u32>,
}
