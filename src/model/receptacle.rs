//! The receptacle of a circuit: its coupler alone, or with what is to be said of it besides.

use serde_json::Value;

use crate::source::Span;
use crate::yaml::NodeId;

use super::cords::HotAir;
use super::decode::{Reader, Record, Slot, record};
use super::ingress::Ingress;
use super::schema;
use super::text::{CouplerRef, RetentionRef};
use super::value::Field;

record! {
    /// A receptacle.
    Receptacle: "receptacle", short for "coupler";
    /// What it is: `IEC 60309 16 A 2P+E 6h`.
    "coupler" (required) => coupler: Field<CouplerRef>,
    /// The latch it offers to hold what is plugged into it.
    "latch" => latch: Field<RetentionRef>,
    /// Degree of protection with a plug in it, as marked: `IP44`; `receptacle-ip` of the circuit says the same.
    "ip" => ip: Field<Ingress>,
    /// What its maker declares for air hotter than 40 °C.
    "hot-air" => hot_air: Field<HotAir>,
}

impl Receptacle {
    /// The key of the circuit that says which coupler it is.
    pub fn coupler_key(&self) -> &'static str {
        match self.latch.is_absent() && self.ip.is_absent() && self.hot_air.is_absent() {
            true => "receptacle",
            false => "receptacle.coupler",
        }
    }
}

/// Left out as a whole it is not known, as any field is.
impl Slot for Receptacle {
    fn fill(&mut self, reader: &mut Reader<'_>, node: NodeId) {
        reader.record_into(self, node, None);
    }

    fn spoil(&mut self, at: Span) {
        for index in 0..Self::KEYS.len() {
            Record::spoil(self, index, at);
        }
    }

    fn schema() -> Value {
        schema::record::<Self>()
    }
}
