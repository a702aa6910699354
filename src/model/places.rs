//! `zones:` and `racks:` — where things stand and what the air and the floor do to them.

use crate::quantity::{Length, RackUnits, Temperature};

use super::decode::{record, words};
use super::ingress::Ingress;
use super::optional::Optional;
use super::text::YesNo;
use super::value::{Field, Name};

record! {
    /// A part of the site where the same air, vibration and rules hold.
    Zone: "zone";
    /// Air temperature at the cords and couplers.
    "ambient" => ambient: Field<Temperature>,
    /// What shakes the equipment: `none`, `machinery`, `seismic` or `transport`.
    "vibration" => vibration: Field<Vibration>,
    /// Who uses the sockets here: `ordinary`, `instructed` or `skilled` people (IEC 60050-195).
    "users" => users: Field<Users>,
    /// Whether couplers must be held here: `required`.
    "retention" => retention: Optional<Demand>,
    /// The air that the cords lie in: `room`, `plenum` or `underfloor`.
    "air" => air: Optional<Air>,
    /// Whether cordage must be halogen-free: `required`.
    "halogen-free" => halogen_free: Optional<Demand>,
    /// Whether the place is wet.
    "wet" => wet: Optional<YesNo>,
    /// Whether oil reaches the cords.
    "oil" => oil: Optional<YesNo>,
    /// How hard the cords are used: `light`, `ordinary` or `heavy`.
    "duty" => duty: Optional<Duty>,
    /// Whether the room meets NEC Article 645 (information technology equipment room).
    "article-645" => article_645: Optional<YesNo>,
}

words! {
    /// Who uses the sockets of a place, the least trained first.
    Users: "a kind of users";
    /// Whoever comes by.
    Ordinary = "ordinary",
    /// People who were told by skilled ones what to beware of.
    Instructed = "instructed",
    /// Electricians, and who has learned as much.
    Skilled = "skilled",
}

words! {
    /// What shakes the equipment.
    Vibration: "a kind of vibration";
    /// Nothing worth naming.
    None = "none",
    /// Engines, pumps, compressors.
    Machinery = "machinery",
    /// Earthquakes, by the duty the site has set itself.
    Seismic = "seismic",
    /// Vehicles and vessels.
    Transport = "transport",
}

words! {
    /// Whether a thing is demanded.
    Demand: "a demand";
    /// It is demanded.
    Required = "required",
    /// It is not.
    NotRequired = "not-required",
}

words! {
    /// The air that cords lie in.
    Air: "a kind of air space";
    /// The room itself.
    Room = "room",
    /// A space that carries environmental air.
    Plenum = "plenum",
    /// Under a raised floor.
    Underfloor = "underfloor",
}

words! {
    /// How hard cords are used.
    Duty: "a duty";
    /// Hardly moved, no load on the jacket.
    Light = "light",
    /// Ordinary use.
    Ordinary = "ordinary",
    /// Trodden on, dragged, bent often.
    Heavy = "heavy",
}

record! {
    /// A rack.
    Rack: "rack";
    /// The zone it stands in.
    "zone" => zone: Field<Name>,
    /// Height of its mounting space.
    "height" => height: Field<RackUnits>,
    /// Outer width.
    "width" => width: Field<Length>,
    /// Outer depth.
    "depth" => depth: Field<Length>,
    /// Degree of protection of its enclosure, doors shut: `IP54`.
    "ip" => ip: Field<Ingress>,
}

impl Optional<Demand> {
    /// Whether it is required for certain.
    pub fn requires(&self) -> bool {
        matches!(self, Self::Given(demand) if demand.value == Demand::Required)
    }
}
