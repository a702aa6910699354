//! `device-models:` and `devices:` — the loads.

use crate::date::Date;
use crate::quantity::{Current, Length, LoadPower, Power, RackUnits, Ratio, Time, VoltageRange};

use super::decode::{record, words};
use super::optional::Optional;
use super::passed_on::PassedOn;
use super::text::{CouplerRef, RetentionRef, YesNo};
use super::transfer::Transfer;
use super::value::{Field, Name, Section};

record! {
    /// A kind of equipment.
    DeviceModel: "device model";
    /// Height in the rack.
    "height" => height: Field<RackUnits>,
    /// Protective class (IEC 61140): `I`, `II` or `III`.
    "class" => class: Field<ProtectiveClass>,
    /// Supply voltage it is made for.
    "voltage" => voltage: Field<VoltageRange>,
    /// Nameplate rating of the device: watts, volt-amperes, or amperes at the lowest voltage; without what may be
    /// plugged into outlets of its own.
    "rating" (above_zero) => rating: Field<LoadPower>,
    /// Power factor at the load that counts.
    "power-factor" => power_factor: Field<PowerFactor>,
    /// Its inlets.
    "inlets" (required) => inlets: Section<Inlet>,
    /// Its outlets, where it passes the power of an inlet on: a name or a range of numbers, and the coupler. A
    /// cord is plugged into one by `from: DEVICE/OUTLET`.
    "outlets" => outlets: PassedOn,
    /// Where it is a transfer switch: how it feeds its outlets from one of its two inlets, and from the other
    /// where that one is dead.
    "transfer" => transfer: Optional<Transfer>,
    /// How long it runs on without voltage at its inlets, at the load that counts.
    "ride-through" (above_zero) => ride_through: Field<Time>,
    /// How many inlets must stay fed for the device to stay up.
    "inlets-needed" (above_zero) => inlets_needed: Optional<u32>,
    /// How the inlets divide the load: `equal`, or `standby` (the first fed one carries all).
    "sharing" => sharing: Field<Sharing>,
    /// Protective conductor current of each inlet: what it leaks to earth (ground).
    "earth-current" => earth_current: Field<Current>,
    /// Peak inrush current of each inlet.
    "inrush" (above_zero) => inrush: Optional<Current>,
    /// Third-harmonic share of its current.
    "third-harmonic" => third_harmonic: Field<Ratio>,
    /// Free depth behind the inlets, up to the door or the next thing behind.
    "rear-clearance" => rear_clearance: Optional<Length>,
    /// How far it slides out on its rails; left out for a device that does not slide.
    "rail-travel" => rail_travel: Field<Length>,
}

record! {
    /// Where a device takes power in.
    Inlet: "inlet", short for "coupler";
    /// Its coupler.
    "coupler" (required) => coupler: Field<CouplerRef>,
    /// The feed it must be on.
    "feed" => feed: Field<Name>,
    /// Its share of the device's load while all inlets are fed.
    "share" => share: Optional<Ratio>,
    /// What the power supply behind it can deliver.
    "capacity" (above_zero) => capacity: Optional<Power>,
    /// Its rated current, as marked.
    "rating" (above_zero) => rating: Field<Current>,
    /// What it offers to hold a connector, by how it holds.
    "retention" => retention: Field<RetentionRef>,
    /// Side of the device, seen from behind: `left`, `middle` or `right`.
    "side" => side: Field<InletSide>,
}

words! {
    /// Side of a device, seen from behind.
    InletSide: "a side of the device";
    /// On the left.
    Left = "left",
    /// In the middle.
    Middle = "middle",
    /// On the right.
    Right = "right",
}

words! {
    /// Protective class of equipment (IEC 61140).
    ProtectiveClass: "a protective class";
    /// Relies on the protective conductor.
    I = "I",
    /// Double or reinforced insulation.
    II = "II",
    /// Extra-low voltage.
    III = "III",
}

words! {
    /// How the inlets of a device divide its load.
    Sharing: "a way of sharing";
    /// Equal parts, or by `share` where inlets give it.
    Equal = "equal",
    /// The first fed inlet carries all, the others stand by.
    Standby = "standby",
}

/// Real power over apparent power: from 0.01, below which nothing real lies (common practice), to 1.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct PowerFactor(f64);

impl PowerFactor {
    /// Checks the range; `None` outside it.
    pub fn new(value: f64) -> Option<Self> {
        (Self::LEAST..=1.0).contains(&value).then_some(Self(value))
    }

    const LEAST: f64 = 0.01;

    /// Power factor 1.
    pub const UNITY: Self = Self(1.0);

    /// The plain number.
    pub fn value(self) -> f64 {
        self.0
    }
}

impl super::decode::Decode for PowerFactor {
    fn decode(reader: &mut super::decode::Reader<'_>, node: crate::yaml::NodeId) -> Option<Self> {
        let text = reader.scalar(node, "a power factor like 0.95")?;
        let factor = text.parse().ok().and_then(Self::new);
        if factor.is_none() {
            let headline = format!("`{}` is not a power factor", super::text::clip(text));
            reader.bad(
                reader.tree.span(node),
                headline,
                "Write a number from 0.01 to 1, like 0.95.".into(),
            );
        }
        factor
    }

    fn schema() -> serde_json::Value {
        serde_json::json!({
            "anyOf": [
                {"type": "number", "minimum": PowerFactor::LEAST, "maximum": 1},
                {"type": "string", "pattern": r"^(?:0?\.(?:0?[1-9])[0-9]*|1(?:\.0*)?)$"},
            ],
            "examples": [0.95],
        })
    }
}

record! {
    /// A device of the site.
    Device: "device";
    /// Its model.
    "model" (required) => model: Field<Name>,
    /// The rack it is in.
    "rack" => rack: Field<Name>,
    /// The zone it stands in, where it is in no rack.
    "zone" => zone: Field<Name>,
    /// The lowest rack unit it takes.
    "at" => at: Field<RackUnits>,
    /// Measured or planned load of the device, without what is plugged into outlets of its own; without it
    /// the nameplate counts.
    "draw" => draw: Field<LoadPower>,
    /// Day on which the draw was measured.
    "measured" => measured: Optional<Date>,
    /// Whether its loss hurts: it should then be on more than one path.
    "critical" => critical: Optional<YesNo>,
    /// Of a transfer switch the inlet that feeds its outlets while both are live, where that is not what its
    /// model says.
    "preferred" => preferred: Optional<Name>,
    /// What is different about single inlets of this device.
    "inlets" => inlets: Section<DeviceInlet>,
}

record! {
    /// What is different about one inlet of a device.
    DeviceInlet: "inlet of a device";
    /// The feed it must be on.
    "feed" => feed: Field<Name>,
    /// Why nothing is plugged in here.
    "unused" => unused: Field<Name>,
}
