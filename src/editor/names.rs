//! Every place where a file names a thing: where the thing is defined, and where it is referred to.

use crate::model::Sections;
use crate::model::catalogued::{Called, Catalogued};
use crate::model::cords::{Cord, CordLeg, Departure, EndRetention, Ends};
use crate::model::devices::{Device, DeviceModel};
use crate::model::dual_marks::Marked;
use crate::model::optional::Optional;
use crate::model::pdus::PduModel;
use crate::model::text::{CordageRef, CouplerRef, Reference};
use crate::model::value::{Field, Name, Named, Section, Spanned};
use crate::source::Span;
use crate::tables::cordage::Cordage;
use crate::tables::couplers::Coupler;
use crate::tables::retention;

/// What a name stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// A feed of the site.
    Feed,
    /// A zone.
    Zone,
    /// A rack.
    Rack,
    /// A supply.
    Supply,
    /// A circuit.
    Circuit,
    /// A kind of power strip.
    PduModel,
    /// A power strip.
    Pdu,
    /// A kind of equipment.
    DeviceModel,
    /// A device.
    Device,
    /// A coupler of the site's own.
    CouplerType,
    /// A cordage of the site's own.
    CordageType,
    /// A latch system of the site's own.
    LatchSystem,
    /// A cord without length, colour and price.
    CordMake,
    /// A kind of cord set.
    CordType,
    /// A cord.
    Cord,
    /// An outlet, defined in a PDU model or in a device model.
    Outlet,
    /// An inlet, defined in a device model.
    Inlet,
    /// A leg, defined in a cord type.
    Leg,
    /// A rule.
    Rule,
}

impl Kind {
    /// The trade's word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Feed => "feed",
            Self::Zone => "zone",
            Self::Rack => "rack",
            Self::Supply => "supply",
            Self::Circuit => "circuit",
            Self::PduModel => "PDU model",
            Self::Pdu => "PDU",
            Self::DeviceModel => "device model",
            Self::Device => "device",
            Self::CouplerType => "coupler type",
            Self::CordageType => "cordage type",
            Self::LatchSystem => "latch system",
            Self::CordMake => "cord make",
            Self::CordType => "cord type",
            Self::Cord => "cord",
            Self::Outlet => "outlet",
            Self::Inlet => "inlet",
            Self::Leg => "leg",
            Self::Rule => "rule",
        }
    }
}

/// A place that names a thing.
#[derive(Clone, Copy, Debug)]
pub struct Mention<'a> {
    /// What it may name; where several are possible, the first that there is.
    pub kinds: &'static [Kind],
    /// The name: that of the thing alone, without what stands before or behind a `/`.
    pub name: &'a str,
    /// How many bytes of `name` count: all of it, or what stands before the last `/`.
    pub length: usize,
    /// Of an outlet, inlet or leg: the model or type that defines it, or the thing of that model or
    /// type that has it.
    pub owner: Option<&'a str>,
    /// The value or key that holds the name, quotes and all.
    pub span: Span,
    /// Whether the thing is defined here.
    pub defines: bool,
}

impl<'a> Mention<'a> {
    /// The name itself.
    pub fn text(&self) -> &'a str {
        match self.kinds {
            [Kind::Outlet | Kind::Inlet | Kind::Leg, ..] if !self.defines => self
                .name
                .get(self.name.len() - self.length..)
                .unwrap_or_default(),
            _ => self.name.get(..self.length).unwrap_or_default(),
        }
    }

    /// The bytes of the name itself in `source`, the text of its file; `None` where it is written
    /// with escapes.
    pub fn exact(&self, source: &str) -> Option<Span> {
        let written = source.get(self.span.range())?;
        let quotes = match written.len().checked_sub(self.name.len())? {
            0 => 0,
            2 => 1,
            _ => return None,
        };
        if written.get(quotes..written.len() - quotes)? != self.name {
            return None;
        }
        let text = self.text();
        let at = text.as_ptr() as usize - self.name.as_ptr() as usize;
        let lo = self.span.range().start + quotes + at;
        Some(Span::new(self.span.file, lo, lo + text.len()))
    }
}

/// Calls `each` for every mention in `sections`.
pub fn visit<'a>(sections: &'a Sections, each: &mut dyn FnMut(Mention<'a>)) {
    let mut visitor = Visitor { each };
    if let Some(site) = sections.site.known() {
        visitor.define(&site.feeds, &[Kind::Feed]);
        for level in site.levels.items() {
            visitor.whole(&level.name, &[Kind::Rule]);
        }
    }
    visitor.define(&sections.zones, &[Kind::Zone]);
    visitor.define(&sections.racks, &[Kind::Rack]);
    for rack in sections.racks.items() {
        visitor.field(&rack.zone, &[Kind::Zone]);
    }
    visitor.define(&sections.supplies, &[Kind::Supply]);
    for supply in sections.supplies.items() {
        visitor.field(&supply.feed, &[Kind::Feed]);
        if let Ok(Some(from)) = supply.from.written() {
            visitor.whole(from, &[Kind::Supply]);
        }
    }
    visitor.define(&sections.circuits, &[Kind::Circuit]);
    for circuit in sections.circuits.items() {
        visitor.field(&circuit.from, &[Kind::Supply]);
        visitor.part(&circuit.receptacle.coupler);
        visitor.part(&circuit.receptacle.latch);
    }
    visitor.pdus(sections);
    visitor.devices(sections);
    visitor.own_parts(sections);
    visitor.cords(sections);
    visitor.bought(sections);
    for departure in &sections.departures {
        visitor.departure(&departure.value);
    }
}

/// A part that a site may describe itself.
trait Described: Called {
    /// What its name stands for.
    const KINDS: &'static [Kind];
}

impl Described for Coupler {
    const KINDS: &'static [Kind] = &[Kind::CouplerType];
}

impl Described for Cordage {
    const KINDS: &'static [Kind] = &[Kind::CordageType];
}

impl Described for retention::Kind {
    const KINDS: &'static [Kind] = &[Kind::LatchSystem];
}

struct Visitor<'v, 'a> {
    each: &'v mut dyn FnMut(Mention<'a>),
}

/// What a departure may be at.
const AT: &[Kind] = &[
    Kind::Cord,
    Kind::Device,
    Kind::Pdu,
    Kind::Circuit,
    Kind::Supply,
];

impl<'a> Visitor<'_, 'a> {
    fn define<T>(&mut self, section: &'a Section<T>, kinds: &'static [Kind]) {
        for item in section.items() {
            self.defined(&item.name, kinds, None);
        }
    }

    fn defined(&mut self, name: &'a Spanned<Name>, kinds: &'static [Kind], owner: Option<&'a str>) {
        (self.each)(Mention {
            kinds,
            name: &name.value,
            length: name.value.len(),
            owner,
            span: name.span,
            defines: true,
        });
    }

    fn field(&mut self, field: &'a Field<Name>, kinds: &'static [Kind]) {
        if let Some(name) = field.given() {
            self.whole(name, kinds);
        }
    }

    fn whole(&mut self, name: &'a Spanned<Name>, kinds: &'static [Kind]) {
        self.used(&name.value, name.span, name.value.len(), kinds, None);
    }

    fn used(
        &mut self,
        name: &'a str,
        span: Span,
        length: usize,
        kinds: &'static [Kind],
        owner: Option<&'a str>,
    ) {
        (self.each)(Mention {
            kinds,
            name,
            length,
            owner,
            span,
            defines: false,
        });
    }

    /// A part of the site's own; those of the tables are defined nowhere in a site.
    fn part<T: Described>(&mut self, field: &'a Field<Catalogued<T>>) {
        if let Some(part) = field.given() {
            self.own_part(part);
        }
    }

    fn own_part<T: Described>(&mut self, part: &'a Spanned<Catalogued<T>>) {
        if let Catalogued::Own(own) = &part.value {
            let name = own.called();
            self.used(name, part.span, name.len(), T::KINDS, None);
        }
    }

    fn own_parts(&mut self, sections: &'a Sections) {
        self.define(&sections.coupler_types, Coupler::KINDS);
        for item in sections.coupler_types.items() {
            self.part(&item.like);
            let mates = item.mates.known().into_iter().flat_map(|mates| &mates.0);
            mates.for_each(|mate| self.own_part(mate));
        }
        self.define(&sections.cordage_types, Cordage::KINDS);
        for item in sections.cordage_types.items() {
            self.part(&item.like);
        }
        self.define(&sections.latch_systems, retention::Kind::KINDS);
        for item in sections.latch_systems.items() {
            self.part(&item.like);
            let mates = item.mates.known().into_iter().flat_map(|mates| &mates.0);
            mates.for_each(|mate| self.own_part(mate));
        }
    }

    /// `thing` or `thing/part`.
    fn reference(
        &mut self,
        name: &'a Name,
        span: Span,
        kinds: &'static [Kind],
        part: &'static [Kind],
    ) {
        match name.rsplit_once('/') {
            Some((owner, last)) => {
                self.used(name, span, owner.len(), kinds, None);
                self.used(name, span, last.len(), part, Some(owner));
            }
            None => self.used(name, span, name.len(), kinds, None),
        }
    }

    fn given(
        &mut self,
        field: &'a Field<Reference>,
        kinds: &'static [Kind],
        part: &'static [Kind],
    ) {
        if let Some(given) = field.given() {
            self.reference(&given.value.0, given.span, kinds, part);
        }
    }

    fn pdus(&mut self, sections: &'a Sections) {
        self.define(&sections.pdu_models, &[Kind::PduModel]);
        for model in sections.pdu_models.items() {
            self.part(&model.plug);
            self.part(&model.retention);
            if let Some(cord) = model.cord.known() {
                cord.cordage.marks().iter().for_each(|mark| self.part(mark));
            }
            self.outlets(model);
        }
        self.define(&sections.pdus, &[Kind::Pdu]);
        for pdu in sections.pdus.items() {
            self.field(&pdu.model, &[Kind::PduModel]);
            self.field(&pdu.rack, &[Kind::Rack]);
            self.given(
                &pdu.from,
                &[Kind::Circuit, Kind::Cord, Kind::Pdu, Kind::Device],
                &[Kind::Outlet, Kind::Leg],
            );
        }
    }

    fn outlets(&mut self, model: &'a Named<PduModel>) {
        for bank in model.banks.items() {
            for outlet in &bank.outlets.0 {
                self.defined(&outlet.name, &[Kind::Outlet], Some(&model.name.value));
            }
            for outlet in bank.outlets.as_written() {
                self.part(&outlet.coupler);
                self.part(&outlet.latch);
            }
        }
    }

    fn devices(&mut self, sections: &'a Sections) {
        self.define(&sections.device_models, &[Kind::DeviceModel]);
        for model in sections.device_models.items() {
            self.inlets(model);
            self.passed_on(model);
        }
        self.define(&sections.devices, &[Kind::Device]);
        for device in sections.devices.items() {
            self.device(device);
        }
    }

    fn inlets(&mut self, model: &'a Named<DeviceModel>) {
        for inlet in model.inlets.items() {
            self.defined(&inlet.name, &[Kind::Inlet], Some(&model.name.value));
            self.field(&inlet.feed, &[Kind::Feed]);
            self.part(&inlet.coupler);
            self.part(&inlet.retention);
        }
    }

    fn passed_on(&mut self, model: &'a Named<DeviceModel>) {
        let owner = Some(model.name.value.as_str());
        for (outlet, _) in model.outlets.iter() {
            self.defined(&outlet.name, &[Kind::Outlet], owner);
        }
        for (outlet, inlet) in model.outlets.as_written() {
            self.part(&outlet.coupler);
            self.part(&outlet.latch);
            // The model itself has the inlet.
            self.inlet(inlet, owner);
        }
        if let Ok(Some(transfer)) = model.transfer.written() {
            self.inlet(&transfer.value.preferred, owner);
        }
    }

    /// An inlet of a device, or of a model, that is named there alone.
    fn inlet(&mut self, field: &'a Optional<Name>, owner: Option<&'a str>) {
        if let Ok(Some(inlet)) = field.written() {
            let (name, span) = (&inlet.value, inlet.span);
            self.used(name, span, name.len(), &[Kind::Inlet], owner);
        }
    }

    fn device(&mut self, device: &'a Named<Device>) {
        self.field(&device.model, &[Kind::DeviceModel]);
        self.field(&device.rack, &[Kind::Rack]);
        self.field(&device.zone, &[Kind::Zone]);
        let owner = Some(device.name.value.as_str());
        self.inlet(&device.preferred, owner);
        for inlet in device.inlets.items() {
            let name = &inlet.name;
            self.used(
                &name.value,
                name.span,
                name.value.len(),
                &[Kind::Inlet],
                owner,
            );
            self.field(&inlet.feed, &[Kind::Feed]);
        }
    }

    fn cords(&mut self, sections: &'a Sections) {
        self.define(&sections.cord_makes, &[Kind::CordMake]);
        for make in sections.cord_makes.items() {
            self.ends(
                [&make.plug, &make.connector],
                &make.cordage,
                &make.retention,
            );
            self.legs(&make.legs, &make.name.value);
        }
        self.define(&sections.cord_types, &[Kind::CordType]);
        for kind in sections.cord_types.items() {
            self.field(&kind.make, &[Kind::CordMake]);
            self.ends(
                [&kind.plug, &kind.connector],
                &kind.cordage,
                &kind.retention,
            );
            self.legs(&kind.legs, &kind.name.value);
        }
        self.define(&sections.cords, &[Kind::Cord]);
        for cord in sections.cords.items() {
            self.cord(cord);
        }
    }

    fn ends(
        &mut self,
        couplers: [&'a Field<CouplerRef>; 2],
        cordage: &'a Marked<CordageRef>,
        retention: &'a Field<EndRetention>,
    ) {
        couplers.into_iter().for_each(|coupler| self.part(coupler));
        cordage.marks().iter().for_each(|mark| self.part(mark));
        if let Some(ends) = retention.known() {
            self.part(&ends.plug);
            self.part(&ends.connector);
        }
    }

    fn legs(&mut self, legs: &'a Section<CordLeg>, owner: &'a str) {
        for leg in legs.items() {
            self.defined(&leg.name, &[Kind::Leg], Some(owner));
            self.part(&leg.connector);
            self.part(&leg.retention);
            leg.cordage.marks().iter().for_each(|mark| self.part(mark));
        }
    }

    /// Offers, orders and the store.
    fn bought(&mut self, sections: &'a Sections) {
        for offer in sections.offers.items() {
            self.field(&offer.make, &[Kind::CordMake]);
        }
        let lines = sections.orders.items().iter();
        let lines = lines.flat_map(|order| order.lines.names());
        let named = lines.chain(sections.store.names());
        named.for_each(|name| self.whole(name, &[Kind::CordType]));
    }

    fn cord(&mut self, cord: &'a Named<Cord>) {
        self.field(&cord.cord_type, &[Kind::CordType]);
        self.given(
            &cord.from,
            &[Kind::Circuit, Kind::Pdu, Kind::Device, Kind::Cord],
            &[Kind::Outlet, Kind::Leg],
        );
        match &cord.to {
            Ends::Absent | Ends::Unreadable(_) => {}
            Ends::One(end) => self.end(&end.value, end.span),
            Ends::Legs(legs) => {
                for leg in legs {
                    let owner = Some(cord.name.value.as_str());
                    let name = &leg.name;
                    self.used(
                        &name.value,
                        name.span,
                        name.value.len(),
                        &[Kind::Leg],
                        owner,
                    );
                    self.end(&leg.item, leg.body);
                }
            }
        }
    }

    fn end(&mut self, end: &'a Reference, span: Span) {
        let kinds = &[Kind::Pdu, Kind::Device, Kind::Cord];
        self.reference(&end.0, span, kinds, &[Kind::Inlet]);
    }

    fn departure(&mut self, departure: &'a Departure) {
        self.field(&departure.rule, &[Kind::Rule]);
        if let Some(at) = departure.at.given() {
            let length = at.value.rfind('/').unwrap_or(at.value.len());
            self.used(&at.value, at.span, length, AT, None);
        }
    }
}
