//! Outlets and inlets: what is free, and what inlets ask for.

use rustc_hash::FxHashSet;

use crate::flow::low_end::LowEnd;
use crate::graph::{Carrier, CordFeed, ElementId, InletLink, OutletId, Plugged};
use crate::model::devices::Inlet;
use crate::model::value::{Field, Name, Named};
use crate::quantity::{InUnits, Voltage, volts};

use super::Analysis;

static SILENT: Field<Name> = Field::Absent;

impl<'a> Analysis<'a> {
    /// The outlets that something is plugged into.
    pub fn taken_outlets(&self) -> FxHashSet<OutletId> {
        let links = &self.graph.links;
        let cords = links.cord_feeds.iter().filter_map(|feed| match feed {
            Some(CordFeed::Outlet(outlet)) => Some(*outlet),
            _ => None,
        });
        let pdus = self.model.pdus.iter();
        let pdus = pdus.filter_map(|(pdu, _)| links.outlet_above(Plugged::Pdu(pdu)));
        cords.chain(pdus).collect()
    }

    /// The outlets of strips that are kept in reserve.
    pub fn reserved_outlets(&self) -> FxHashSet<OutletId> {
        let pdus = self.model.pdus.iter();
        let all = pdus.flat_map(|(pdu, item)| {
            let model = self.graph.pdu_model(self.model, pdu);
            let table = self.graph.links.outlet_table(pdu);
            let table = model.zip(table).into_iter();
            table.flat_map(move |(model, table)| {
                let numbers = 0..table.len() as u32;
                let is_kept = |number: &u32| {
                    let name = &table.outlet(model, *number).name.value;
                    item.reserve.iter().any(|kept| kept.value == *name)
                };
                let numbers = numbers.filter(is_kept).collect::<Vec<_>>().into_iter();
                numbers.map(move |number| OutletId {
                    on: Carrier::Pdu(pdu),
                    number,
                })
            })
        });
        all.collect()
    }

    /// The voltage between the poles of an element at the low end of the supply's tolerance, without what is lost on
    /// the way; `None` where it is not known.
    pub fn lowest_voltage(&self, id: ElementId) -> Option<Voltage> {
        let nominal = self.flows.nominal_voltage(self.graph, id)?.in_volts();
        let lowest = nominal * LowEnd::of(&self.model.site).left();
        (lowest > 0.0).then(|| volts(lowest))
    }

    /// The feed that an inlet must be on: what its device says, or else its model.
    pub fn demanded_feed(&self, inlet: &InletLink) -> &'a Field<Name> {
        let Some(of_model) = self.inlet_of_model(inlet) else {
            return &SILENT;
        };
        let device = &self.model.devices[inlet.device];
        let own = device.item.inlets.named(&of_model.name.value);
        own.map_or(&of_model.feed, |(_, own)| {
            own.feed.or_further(&of_model.feed)
        })
    }

    /// What a device says of the disuse of an inlet.
    pub fn disuse(&self, inlet: &InletLink) -> &'a Field<Name> {
        let device = &self.model.devices[inlet.device];
        if device.inlets.is_empty() {
            return &SILENT;
        }
        let own = self.inlet_of_model(inlet);
        let own = own.and_then(|own| device.item.inlets.named(&own.name.value));
        own.map_or(&SILENT, |(_, own)| &own.item.unused)
    }

    pub(super) fn inlet_of_model(&self, inlet: &InletLink) -> Option<&'a Named<Inlet>> {
        let model = self.graph.device_model(self.model, inlet.device)?;
        model.inlets.items().get(inlet.inlet as usize)
    }
}
