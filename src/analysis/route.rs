//! The way of a cord from its outlet to an inlet, measured along the rack it lies in.
//!
//! Height differences and level runs are added up, not drawn as a straight line: cords are led along
//! the rack's posts. All heights are counted from the foot of U1. The model is common practice; every
//! constant stands in `site.routing`, and the arithmetic says which ones the site has left out.

mod allowance;
mod pieces;

use crate::finding::{Fact, FactState};
use crate::graph::{Carrier, CordFeed, FarEnd, OutletId, Receiver};
use crate::model::cords::Cord;
use crate::model::devices::Device;
use crate::model::value::{Field, Id};
use crate::quantity::{Length, Quantity, Ratio, millimetres};

use super::Analysis;
use allowance::in_millimetres;
use pieces::{Height, LevelRun};

pub use allowance::Allowance;
pub(crate) use allowance::usual_allowance;

/// A place that the length of a way depends on and that the definitions do not give.
#[derive(Clone, Debug)]
pub struct Lack {
    /// What is missing: `its \`at\` (lowest rack unit)`.
    pub missing: &'static str,
    /// The same as a key of the format.
    pub fact: Fact,
}

impl Lack {
    /// Whether it `is missing` or `cannot be read`.
    pub fn how(&self) -> &'static str {
        match self.fact.state {
            FactState::Unreadable => "cannot be read",
            FactState::Absent | FactState::Written => "is missing",
        }
    }
}

/// Why a way cannot be measured: what is missing at the outlet's end, and at the inlet's.
pub type Lacks = [Option<Lack>; 2];

/// The way of a cord from its outlet to one inlet.
#[derive(Clone, Copy, Debug)]
pub struct Route {
    outlet: Height,
    inlet: Height,
    level: LevelRun,
    /// From the front of the rack to the back, for a strip in front.
    depth: Option<Length>,
    bend: Allowance<Length>,
    service_loop: Allowance<Length>,
    rails: Option<Rails>,
}

/// What a sliding device takes with it.
#[derive(Clone, Copy, Debug)]
struct Rails {
    travel: Length,
    slack: Allowance<Ratio>,
}

impl Rails {
    fn length(&self) -> Length {
        self.travel * self.slack.value
    }
}

impl Route {
    /// Length of the way, allowances and all: what a cord must have at least.
    pub fn length(&self) -> Length {
        let mut length = self.vertical() + self.level.length + self.bend.value * 2.0;
        length += self.service_loop.value;
        length += self.depth.unwrap_or_default();
        length
            + self
                .rails
                .map_or_else(Length::default, |rails| rails.length())
    }

    /// The straight line between outlet and inlet, as far as their places are known: no cord below
    /// it can be fitted, whatever the allowances.
    pub fn straight_line(&self) -> Length {
        let level = if self.level.is_measured() {
            self.level.length
        } else {
            Length::default()
        };
        let depth = self.depth.unwrap_or_default();
        let up = self.vertical();
        (up * up + level * level + depth * depth).sqrt()
    }

    /// Whether a part of the length is a default that nobody at the site has chosen.
    pub fn rests_on_defaults(&self) -> bool {
        self.level.is_default()
            || self.bend.is_default
            || self.service_loop.is_default
            || self.rails.is_some_and(|rails| rails.slack.is_default)
    }

    fn vertical(&self) -> Length {
        (self.outlet.length() - self.inlet.length()).abs()
    }

    /// The sum, a line for each part.
    pub fn working(&self) -> Vec<String> {
        let (outlet, inlet) = (self.outlet.length(), self.inlet.length());
        let shown = in_millimetres;
        let mut lines = vec![
            format!(
                "outlet: {} = {} above the foot of U1",
                self.outlet,
                shown(outlet)
            ),
            format!(
                "inlet: {} = {} above the foot of U1",
                self.inlet,
                shown(inlet)
            ),
            format!("up or down: {}", difference(outlet, inlet)),
            format!("across: {}", self.level),
        ];
        if let Some(depth) = self.depth {
            lines.push(format!(
                "front to back: {}, the depth of the rack",
                shown(depth)
            ));
        }
        let bend = self.bend.remark("connector-bend");
        lines.push(format!("connectors: 2 × {}{bend}", shown(self.bend.value)));
        let service_loop = self.service_loop.remark("service-loop");
        lines.push(format!(
            "service loop: {}{service_loop}",
            shown(self.service_loop.value)
        ));
        if let Some(rails) = self.rails {
            let remark = rails.slack.remark("rail-slack");
            let (travel, length) = (shown(rails.travel), shown(rails.length()));
            lines.push(format!(
                "rails: {travel} × {} = {length}{remark}",
                rails.slack.value.show()
            ));
        }
        lines.push(self.sum());
        lines
    }

    fn sum(&self) -> String {
        let mut parts = vec![self.vertical(), self.level.length];
        parts.extend(self.depth);
        parts.extend([self.bend.value * 2.0, self.service_loop.value]);
        parts.extend(self.rails.map(|rails| rails.length()));
        let parts: Vec<String> = parts.into_iter().map(in_millimetres).collect();
        format!("{} = {}", parts.join(" + "), in_millimetres(self.length()))
    }
}

/// `422.3 mm − 160.5 mm = 261.8 mm`, the greater first.
fn difference(a: Length, b: Length) -> String {
    let (more, less) = if a < b { (b, a) } else { (a, b) };
    let shown = in_millimetres;
    format!("{} − {} = {}", shown(more), shown(less), shown(more - less))
}

impl<'a> Analysis<'a> {
    /// Whether the site says anywhere where things are in a rack; a site that never does has its
    /// routes judged by nobody, and one word about it is enough.
    pub fn gives_positions(&self) -> bool {
        let model = self.model;
        let strips = model.pdus.items().iter();
        let mut strips = strips.map(|pdu| pdu.mount.is_absent());
        let devices = model.devices.items().iter();
        let mut devices = devices.map(|device| device.at.is_absent());
        !(model.site.routing.is_absent()
            && strips.all(|absent| absent)
            && devices.all(|absent| absent))
    }

    /// Whether a device stands in no rack on purpose: it names its zone instead.
    pub fn stands_outside_racks(&self, device: Id<Device>) -> bool {
        let device = &self.model.devices[device];
        device.rack.is_absent() && !device.zone.is_absent()
    }

    /// Length that a connector and its first bend take; `None` if the site's own figure cannot be read.
    pub fn connector_bend(&self) -> Option<Allowance<Length>> {
        let routing = self.model.site.routing.written().ok()?;
        let own = routing.map(|routing| &routing.value.connector_bend);
        Allowance::new(own, millimetres(allowance::CONNECTOR_BEND)).ok()
    }

    /// The length of a cord from plug to connector, by its own record or its type's; for a leg of a
    /// splitter that of trunk and leg.
    pub fn length_of(&self, cord: Id<Cord>, leg: Option<u32>) -> Option<Length> {
        let own = &self.model.cords[cord].length;
        let kind = self.graph.cord_type(self.model, cord)?;
        let trunk = match own {
            Field::Absent => kind.whole_length()?,
            own => own.known().copied()?,
        };
        let Some(leg) = leg else {
            return Some(trunk);
        };
        let leg = kind.leg(leg)?;
        Some(trunk + kind.leg_length(leg)?)
    }

    /// The length from the outlet to a far end: of the cord, and of all that it hangs on.
    pub fn line_length(&self, end: FarEnd) -> Option<Length> {
        let line = self.graph.links.line_above(end);
        let mut lengths = line.map(|(cord, leg)| self.length_of(cord, leg));
        lengths.try_fold(Length::default(), |sum, length| Some(sum + length?))
    }

    /// The way of a line of cords, mostly one alone, from its outlet to the inlet at its end. `None` where no way
    /// can be measured: from a wall receptacle, to another strip, between two racks, or to a device outside racks.
    pub fn route(&self, cord: Id<Cord>, end: Receiver) -> Option<Result<Route, Lacks>> {
        match self.graph.links.line_feed(cord)? {
            CordFeed::Outlet(outlet) => self.route_from(outlet, end),
            CordFeed::Receptacle(_) | CordFeed::Cord(_) => None,
        }
    }

    /// The way that a cord would have from an outlet; `None` as for [`Analysis::route`].
    pub fn route_from(&self, from: OutletId, end: Receiver) -> Option<Result<Route, Lacks>> {
        let links = &self.graph.links;
        let Receiver::Inlet(inlet) = end else {
            return None;
        };
        let device = links.inlets[inlet as usize].device;
        let racks = (
            self.rack_of_carrier(from.on),
            links.device_racks[device.index()],
        );
        if racks.0.is_some() && racks.1.is_some() && racks.0 != racks.1 {
            return None;
        }
        let is_outside = match from.on {
            Carrier::Device(upper) => self.stands_outside_racks(upper),
            Carrier::Pdu(_) => false,
        };
        if is_outside || self.stands_outside_racks(device) {
            return None;
        }
        let outlet = self.outlet_height(from);
        let inlet_height = self.device_height(device);
        Some(match (outlet, inlet_height) {
            (Ok(outlet), Ok(height)) => self
                .route_between(from.on, outlet, inlet, height)
                .map_err(|lack| [Some(lack), None]),
            (outlet, inlet) => Err([outlet.err(), inlet.err()]),
        })
    }
}
