//! The outlets of all models, and references to outlets that lead nowhere.

use crate::model::devices::DeviceModel;
use crate::model::fault::{Fault, Noted};
use crate::model::text::Reference;
use crate::model::value::{Name, Named, Spanned};

use crate::graph::outlets::{Carrier, OutletId, OutletTable, PassedOnTable};
use crate::graph::part::name_of;

use super::{Resolver, words};

impl Resolver<'_> {
    /// Numbers the outlets of all models.
    pub(super) fn number_outlets(&mut self) {
        let model = self.model;
        for (_, pdu_model) in model.pdu_models.iter() {
            let mut faults = Vec::new();
            let table = OutletTable::new(pdu_model, &mut faults);
            self.links.outlets.push(table);
            self.note(faults, &["pdu-models", &pdu_model.name.value]);
        }
        for (_, device_model) in model.device_models.iter() {
            let mut faults = Vec::new();
            let table = PassedOnTable::new(device_model, &mut faults);
            self.links.passed_on.push(table);
            self.note(faults, &["device-models", &device_model.name.value]);
            self.inlets_of_outlets(device_model);
        }
        self.names_of_carriers();
    }

    fn note(&mut self, faults: Vec<Fault>, path: &[&str]) {
        let path = || path.iter().map(|key| Name::from(*key));
        let noted = faults.into_iter().map(|fault| Noted::new(fault, path()));
        self.written.extend(noted);
    }

    /// Every outlet of a device must say which inlet it is connected to, where there are several.
    fn inlets_of_outlets(&mut self, model: &Named<DeviceModel>) {
        for (outlet, inlet) in model.outlets.as_written() {
            let (own, owner) = (&outlet.name, &model.name.value);
            match inlet.written() {
                Ok(None) if model.inlets.len() > 1 && model.transfer.is_absent() => {
                    let fault = Fault::MissingKey {
                        span: own.span,
                        owner: "outlet",
                        name: own.value.clone(),
                        key: "inlet",
                        holds: "The inlet whose power it passes on.",
                    };
                    self.note(
                        vec![fault],
                        &["device-models", owner, "outlets", &own.value],
                    );
                }
                Ok(Some(name)) if !model.inlets.has(&name.value) => {
                    let near = self.nearest(&name.value, words(&model.inlets));
                    self.unknown(name, &name.value, "inlet of this model", near, owner);
                }
                Ok(_) | Err(_) => {}
            }
        }
    }

    /// A cord that names an outlet of a strip and of a device at once hangs nobody knows where.
    fn names_of_carriers(&mut self) {
        let model = self.model;
        for (device, item) in model.devices.iter() {
            let outlets = self.links.passed_on_table(device);
            if outlets.is_none_or(|outlets| outlets.len() == 0) {
                continue;
            }
            if let Some(pdu) = model.pdus.find(&item.name.value) {
                let fault = Fault::Repeated {
                    name: item.name.value.clone(),
                    what: "PDU or device with outlets",
                    first: model.pdus[pdu].name.span,
                    again: item.name.span,
                };
                self.note(vec![fault], &["devices", &item.name.value]);
            }
        }
    }

    /// Says which half of `pdu/outlet` or `device/outlet` is unknown.
    pub(super) fn explain_outlet(&mut self, from: &Spanned<Reference>, owner: &Name) {
        let model = self.model;
        let Some(on) = self.lookup().carrier(from.value.owner()) else {
            let names = words(&model.pdus).chain(words(&model.circuits));
            let near = self.nearest(from.value.owner(), names.chain(self.passing_on()));
            // A joint is the last that is thought of.
            let near = near.or_else(|| match from.value.part() {
                None => self.nearest(from.value.owner(), words(&model.cords)),
                Some(_) => None,
            });
            let name = from.value.owner();
            return self.unknown(&name_of(from), name, "PDU or circuit", near, owner);
        };
        let part = from.value.part();
        // An unknown model is a fault of the PDU or the device.
        let Some(outlets) = self.outlets_of(on) else {
            return;
        };
        let free = outlets.filter(|(number, _)| {
            let number = *number;
            !self.taken.has(OutletId { on, number })
        });
        let near = self.nearest(part.unwrap_or(""), free.map(|(_, name)| name));
        let what = match on {
            Carrier::Pdu(_) => "outlet",
            Carrier::Device(_) => "outlet of this device's model",
        };
        self.unknown(
            &name_of(from),
            part.unwrap_or(&from.value.0),
            what,
            near,
            owner,
        );
    }

    /// The outlets of a strip or a device by their numbers; `None` where its model is not known. They are looked
    /// at only while nearest names are still looked for.
    fn outlets_of(&self, on: Carrier) -> Option<Box<dyn Iterator<Item = (u32, &str)> + '_>> {
        let model = self.model;
        Some(match on {
            Carrier::Pdu(pdu) => {
                let kind = self.links.pdu_models[pdu.index()]?;
                let names = self.links.outlets[kind.index()].names(&model.pdu_models[kind]);
                Box::new((0..).zip(names.map(Name::as_str)))
            }
            Carrier::Device(device) => {
                let kind = self.links.device_models[device.index()]?;
                let outlets = model.device_models[kind].outlets.iter();
                Box::new((0..).zip(outlets.map(|(outlet, _)| outlet.name.value.as_str())))
            }
        })
    }

    /// Names of the devices that pass power on.
    fn passing_on(&self) -> impl Iterator<Item = &str> {
        let model = self.model;
        let passes_on = |kind: &Option<_>| {
            let kind = kind.map(|kind| &model.device_models[kind]);
            kind.is_some_and(|kind| !kind.outlets.outlets.0.is_empty())
        };
        let devices = model.devices.items().iter();
        let devices = devices.zip(&self.links.device_models);
        let devices = devices.filter(move |(_, kind)| passes_on(kind));
        devices.map(|(device, _)| device.name.value.as_str())
    }
}
