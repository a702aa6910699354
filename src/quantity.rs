//! Physical quantities: the dimension is in the type, the unit appears only on reading and writing.

pub use uom::si::f64::{
    Area, ElectricCurrent as Current, ElectricPotential as Voltage,
    ElectricalResistance as Resistance, Frequency, Length, Power, Ratio,
    ThermodynamicTemperature as Temperature, Time,
};

/// Apparent power, in volt-amperes. A type of its own, so that watts cannot stand in for it.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct ApparentPower(pub Power);

/// The size of a conductor as it is marked: the two systems are never interchangeable.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ConductorSize {
    /// Nominal cross-section of IEC 60228.
    Metric(Area),
    /// American Wire Gauge (ASTM B258); 1/0 is 0, 2/0 is -1.
    Awg(i8),
}
