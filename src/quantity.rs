//! Physical quantities: the dimension is in the type, the unit appears only on reading and writing.

pub use uom::si::f64::{
    Area, ElectricCurrent as Current, ElectricPotential as Voltage,
    ElectricalResistance as Resistance, Frequency, Length, Power, Ratio,
    ThermodynamicTemperature as Temperature, Time,
};

/// Apparent power, in volt-amperes. A type of its own, so that watts cannot stand in for it.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct ApparentPower(pub Power);
