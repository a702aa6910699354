//! The pieces of a route: heights, the level run, and where the definitions give them.

use std::fmt;

use crate::finding::Fact;
use crate::graph::{Carrier, OutletId};
use crate::model::decode::Record;
use crate::model::devices::{Device, InletSide};
use crate::model::optional::{Optional, Stated};
use crate::model::pdus::{MountSide, Pdu};
use crate::model::site::Routing;
use crate::model::value::{Field, Id, Name, Named};
use crate::quantity::{InUnits, Length, RackUnits, Ratio, millimetres};

use super::allowance::{self, Allowance, in_millimetres, share};
use super::{Analysis, Lack, Rails, Route};

/// A rack unit is 44.45 mm high (EIA-310, IEC 60297-3-100).
const RACK_UNIT: f64 = 44.45;
/// A 19-inch panel is 482.6 mm wide (EIA-310, IEC 60297-3-100). Millimetres.
const PANEL: f64 = 482.6;

/// A height above the foot of U1.
#[derive(Clone, Copy, Debug)]
pub(super) struct Height {
    /// The rack unit that the thing begins in; U1 begins at zero.
    unit: RackUnits,
    /// Height of the thing, of which half counts; of a strip that stands upright nothing.
    whole: RackUnits,
    /// Along an upright strip.
    along: Option<Along>,
    /// Along a strip that lies across the rack, from its left end seen from behind.
    across: Option<Along>,
}

/// The place of an outlet along its strip.
#[derive(Clone, Copy, Debug)]
struct Along {
    first: Length,
    pitch: Length,
    /// Outlets before this one.
    before: u32,
}

impl Along {
    fn length(self) -> Length {
        self.first + self.pitch * f64::from(self.before)
    }
}

impl Height {
    pub fn length(&self) -> Length {
        let units = self.unit.in_rack_units() - 1.0 + self.whole.in_rack_units() / 2.0;
        let along = self.along.map_or_else(Length::default, Along::length);
        millimetres(units * RACK_UNIT) + along
    }
}

/// `(2 − 1) × 44.45 mm + 60 mm + 2 × 28 mm`
impl fmt::Display for Height {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "({} − 1", self.unit.in_rack_units())?;
        if self.whole.halves() > 0 {
            write!(f, " + {} ÷ 2", self.whole.in_rack_units())?;
        }
        write!(f, ") × {RACK_UNIT} mm")?;
        match self.along {
            Some(along) => write!(
                f,
                " + {} + {} × {}",
                in_millimetres(along.first),
                along.before,
                in_millimetres(along.pitch)
            ),
            None => Ok(()),
        }
    }
}

/// The run across the rack.
#[derive(Clone, Copy, Debug)]
pub(super) struct LevelRun {
    pub length: Length,
    how: How,
}

/// Where a level run comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
enum How {
    /// From the places of strip and inlet, counted from the left seen from behind.
    Places { strip: Length, inlet: Length },
    /// The site's own figure.
    Site,
    /// To the middle of the rack, for want of the inlet's side.
    Middle,
    /// Nothing is known.
    Default,
}

impl LevelRun {
    /// Whether it follows from the places of strip and inlet alone.
    pub fn is_measured(&self) -> bool {
        matches!(self.how, How::Places { .. })
    }

    /// Whether nobody at the site has chosen it.
    pub fn is_default(&self) -> bool {
        matches!(self.how, How::Middle | How::Default)
    }
}

impl fmt::Display for LevelRun {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let length = in_millimetres(self.length);
        match self.how {
            How::Places { strip, inlet } => write!(
                f,
                "{length}, the strip {} and the inlet {} from the left, seen from behind",
                in_millimetres(strip),
                in_millimetres(inlet)
            ),
            How::Site => write!(f, "{length} (site.routing, cross-run)"),
            How::Middle => write!(
                f,
                "{length}, to the middle of the rack (common practice; the side of the inlet is not given)"
            ),
            How::Default => write!(
                f,
                "{length} (common practice; site.routing gives no cross-run)"
            ),
        }
    }
}

type Found<T> = Result<T, Lack>;

/// The value of a key of `owner`, or that it is missing.
fn given<T: Copy, R: Record>(
    field: &Field<T>,
    owner: &Named<R>,
    key: &'static str,
    missing: &'static str,
) -> Found<T> {
    match field {
        Field::Given(given) => Ok(given.value),
        Field::Absent | Field::Unreadable(_) => lacks(owner, key, Some(field), missing),
    }
}

fn lacks<T, V: Stated, R: Record>(
    owner: &Named<R>,
    key: &'static str,
    field: Option<&V>,
    missing: &'static str,
) -> Found<T> {
    let fact = Fact::of(owner, key, field);
    Err(Lack { missing, fact })
}

/// Without a rack, or in one that the definitions do not have.
fn no_rack<T, R: Record>(rack: &Field<Name>, owner: &Named<R>) -> Found<T> {
    let missing = match rack {
        Field::Given(_) => "a rack that is defined",
        Field::Absent | Field::Unreadable(_) => "its rack",
    };
    lacks(owner, "rack", Some(rack), missing)
}

impl<'a> Analysis<'a> {
    /// Where an outlet of a strip is.
    fn height_on_strip(&self, pdu: Id<Pdu>, outlet: u32) -> Found<Height> {
        let strip = &self.model.pdus[pdu];
        if self.graph.links.pdu_racks[pdu.index()].is_none() {
            return no_rack(&strip.rack, strip);
        }
        let Field::Given(mount) = &strip.mount else {
            return lacks(strip, "mount", Some(&strip.mount), "its mount");
        };
        let (foot, side) = (&mount.value.foot, &mount.value.side);
        let unit = given(foot, strip, "mount.foot", "the foot of its mount")?;
        let side = given(side, strip, "mount.side", "the side of its mount")?;
        let Some(number) = self.graph.links.pdu_models[pdu.index()] else {
            return lacks(
                strip,
                "model",
                Some(&strip.model),
                "a model that is defined",
            );
        };
        let model = &self.model.pdu_models[number];
        let lies = side == MountSide::Horizontal;
        let is_unsaid = model.outlet_pitch.is_absent() || model.first_outlet.is_absent();
        let is_read = !model.outlet_pitch.is_unreadable() && !model.first_outlet.is_unreadable();
        if lies && is_unsaid && is_read {
            // Across the rack the length that the site lays out answers for it.
            return Ok(Height {
                unit,
                whole: RackUnits::new(1),
                along: None,
                across: None,
            });
        }
        let along = Along {
            pitch: given(
                &model.outlet_pitch,
                model,
                "outlet-pitch",
                "its outlet-pitch",
            )?,
            first: given(
                &model.first_outlet,
                model,
                "first-outlet",
                "its first-outlet",
            )?,
            before: outlet,
        };
        Ok(Height {
            unit,
            whole: RackUnits::new(u16::from(lies)),
            along: (!lies).then_some(along),
            across: lies.then_some(along),
        })
    }

    /// Where an outlet is: on a strip where the model says, on the back of a device half way up it.
    pub(super) fn outlet_height(&self, outlet: OutletId) -> Found<Height> {
        match outlet.on {
            Carrier::Pdu(pdu) => self.height_on_strip(pdu, outlet.number),
            Carrier::Device(device) => self.device_height(device),
        }
    }

    /// Where the inlets of a device are, and outlets of its own: half way up it.
    pub(super) fn device_height(&self, device: Id<Device>) -> Found<Height> {
        let item = &self.model.devices[device];
        if self.graph.links.device_racks[device.index()].is_none() {
            return no_rack(&item.rack, item);
        }
        let unit = given(&item.at, item, "at", "its lowest rack unit (at)")?;
        let Some(number) = self.graph.links.device_models[device.index()] else {
            return lacks(item, "model", Some(&item.model), "a model that is defined");
        };
        let model = &self.model.device_models[number];
        let whole = given(&model.height, model, "height", "its height")?;
        Ok(Height {
            unit,
            whole,
            along: None,
            across: None,
        })
    }

    /// The route between two places in one rack.
    pub(super) fn route_between(
        &self,
        from: Carrier,
        outlet: Height,
        inlet: u32,
        inlet_height: Height,
    ) -> Found<Route> {
        let unreadable = |span| Lack {
            missing: "a constant of its routing",
            fact: Fact::unreadable_of_site("routing", span),
        };
        let routing = self.model.site.routing.written().map_err(unreadable)?;
        let routing = routing.map(|routing| &routing.value);
        let lengths = |own: fn(&Routing) -> &Optional<Length>, default: f64| {
            Allowance::new(routing.map(own), millimetres(default)).map_err(unreadable)
        };
        let house = lengths(|routing| &routing.cross_run, allowance::CROSS_RUN)?;
        let slack = share(routing.map(|routing| &routing.rail_slack)).map_err(unreadable)?;
        Ok(Route {
            outlet,
            inlet: inlet_height,
            level: self.level_run(from, outlet, inlet, house)?,
            depth: self.depth_run(from)?,
            bend: lengths(|routing| &routing.connector_bend, allowance::CONNECTOR_BEND)?,
            service_loop: lengths(|routing| &routing.service_loop, allowance::SERVICE_LOOP)?,
            rails: self.rails(from, inlet, slack)?,
        })
    }

    fn level_run(
        &self,
        from: Carrier,
        outlet: Height,
        inlet: u32,
        house: Allowance<Length>,
    ) -> Found<LevelRun> {
        let rack = self.rack_of_carrier(from);
        let rack = rack.map(|rack| &self.model.racks[rack]);
        if let Some(rack) = rack.filter(|rack| rack.width.is_unreadable()) {
            return lacks(rack, "width", Some(&rack.width), "its width");
        }
        let own = self.inlet(inlet).map(|(_, own)| &own.item.side);
        if let Some(Field::Unreadable(at)) = own {
            let link = &self.graph.links.inlets[inlet as usize];
            let fact = self.inlet_fact(link, "side", *at);
            return Err(Lack {
                missing: "the side of its inlet",
                fact,
            });
        }
        let width = rack.and_then(|rack| rack.width.known().copied());
        let strip = width.and_then(|width| self.strip_column(from, outlet, width));
        let side = own.and_then(|side| side.known().copied());
        Ok(match (width, strip, side) {
            (Some(width), Some(strip), Some(side)) => {
                let inlet = inlet_column(side, width);
                LevelRun {
                    length: (strip - inlet).abs(),
                    how: How::Places { strip, inlet },
                }
            }
            _ if !house.is_default => LevelRun {
                length: house.value,
                how: How::Site,
            },
            (Some(width), Some(strip), None) => LevelRun {
                length: (strip - width / 2.0).abs(),
                how: How::Middle,
            },
            _ => LevelRun {
                length: house.value,
                how: How::Default,
            },
        })
    }

    /// How far from the left of the rack, seen from behind, an outlet is; no key says it of one on a device.
    fn strip_column(&self, from: Carrier, outlet: Height, width: Length) -> Option<Length> {
        let Carrier::Pdu(pdu) = from else {
            return None;
        };
        Some(
            match self.model.pdus[pdu].mount.known()?.side.known().copied()? {
                MountSide::RearLeft | MountSide::FrontRight => Length::default(),
                MountSide::RearRight | MountSide::FrontLeft => width,
                MountSide::Horizontal => {
                    (width - millimetres(PANEL)) / 2.0 + outlet.across?.length()
                }
            },
        )
    }

    /// Cords go in at the back: a strip in front adds the depth of the rack.
    fn depth_run(&self, from: Carrier) -> Found<Option<Length>> {
        let Carrier::Pdu(pdu) = from else {
            return Ok(None);
        };
        let side = self.model.pdus[pdu]
            .mount
            .known()
            .and_then(|mount| mount.side.known().copied());
        let rack = self.graph.links.pdu_racks[pdu.index()];
        match (side, rack) {
            (Some(MountSide::FrontLeft | MountSide::FrontRight), Some(rack)) => {
                let rack = &self.model.racks[rack];
                given(&rack.depth, rack, "depth", "its depth").map(Some)
            }
            _ => Ok(None),
        }
    }

    /// What the cord must follow: of two devices that slide the one that slides further.
    fn rails(&self, from: Carrier, inlet: u32, slack: Allowance<Ratio>) -> Found<Option<Rails>> {
        let device = self.graph.links.inlets[inlet as usize].device;
        let own = self.rails_of(device, slack)?;
        let upper = match from {
            Carrier::Pdu(_) => None,
            Carrier::Device(upper) => self.rails_of(upper, slack)?,
        };
        let both = [own, upper].into_iter().flatten();
        Ok(both.reduce(|a, b| if b.travel > a.travel { b } else { a }))
    }

    fn rails_of(&self, device: Id<Device>, slack: Allowance<Ratio>) -> Found<Option<Rails>> {
        let Some(model) = self.graph.links.device_models[device.index()] else {
            return Ok(None);
        };
        let model = &self.model.device_models[model];
        match &model.rail_travel {
            Field::Absent => Ok(None),
            travel => given(travel, model, "rail-travel", "its rail-travel")
                .map(|travel| Some(Rails { travel, slack })),
        }
    }
}

/// How far from the left of the rack, seen from behind, an inlet is: at the edge of the panel, or in
/// the middle.
fn inlet_column(side: InletSide, width: Length) -> Length {
    match side {
        InletSide::Left => (width - millimetres(PANEL)) / 2.0,
        InletSide::Middle => width / 2.0,
        InletSide::Right => (width + millimetres(PANEL)) / 2.0,
    }
}
