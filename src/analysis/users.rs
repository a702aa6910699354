//! Who uses a thing that many share: the cords of a type, the devices and strips of a model.

use crate::graph::{ElementId, ElementKind, Graph};
use crate::model::Model;
use crate::model::cords::{Cord, CordType};
use crate::model::decode::Record;
use crate::model::devices::{Device, DeviceModel};
use crate::model::pdus::{Pdu, PduModel};
use crate::model::value::{Id, Name, Section, Spanned};

use super::Analysis;

/// All users by what they use, gathered once.
#[derive(Debug, Default)]
pub(super) struct Users {
    cords: Vec<Vec<Id<Cord>>>,
    devices: Vec<Vec<Id<Device>>>,
    pdus: Vec<Vec<Id<Pdu>>>,
}

impl Users {
    pub(super) fn of(model: &Model, graph: &Graph) -> Self {
        let links = &graph.links;
        Self {
            cords: by_what_they_use(model.cord_types.len(), &links.cord_types),
            devices: by_what_they_use(model.device_models.len(), &links.device_models),
            pdus: by_what_they_use(model.pdu_models.len(), &links.pdu_models),
        }
    }
}

/// The users of each thing, by its index; `links` says what each user uses.
fn by_what_they_use<U, T>(things: usize, links: &[Option<Id<T>>]) -> Vec<Vec<Id<U>>> {
    let mut users = Vec::from_iter(std::iter::repeat_with(Vec::new).take(things));
    for (index, thing) in links.iter().enumerate() {
        let of_it = thing.and_then(|thing| users.get_mut(thing.index()));
        if let Some(of_it) = of_it {
            of_it.push(Id::new(index));
        }
    }
    users
}

/// What many are of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum TypeOrModel {
    /// A type of cords.
    CordType(Id<CordType>),
    /// A model of devices.
    DeviceModel(Id<DeviceModel>),
    /// A model of PDUs.
    PduModel(Id<PduModel>),
}

impl TypeOrModel {
    /// The thing of this section, or of what its things are called one by one, and name; `None` for
    /// what is no type and no model.
    pub fn find(model: &Model, section: &str, name: &str) -> Option<Self> {
        match section {
            "cord-types" | CordType::WHAT => model.cord_types.find(name).map(Self::CordType),
            "device-models" | DeviceModel::WHAT => {
                model.device_models.find(name).map(Self::DeviceModel)
            }
            "pdu-models" | PduModel::WHAT => model.pdu_models.find(name).map(Self::PduModel),
            _ => None,
        }
    }
}

fn named<'a, U>(section: &'a Section<U>, users: &[Id<U>]) -> impl Iterator<Item = &'a Name> {
    users.iter().map(|&user| &section[user].name.value)
}

impl<'a> Analysis<'a> {
    /// The names of the cords of a type.
    pub fn cords_of(&self, kind: Id<CordType>) -> impl Iterator<Item = &'a Name> + use<'_, 'a> {
        named(
            &self.model.cords,
            &self.shared.users(self).cords[kind.index()],
        )
    }

    /// The first of the cords of a type, and how many there are; `None` if there is none.
    pub fn first_cord_of(&self, kind: Id<CordType>) -> Option<(&'a Spanned<Name>, usize)> {
        let cords = &self.shared.users(self).cords[kind.index()];
        let first = cords.first()?;
        Some((&self.model.cords[*first].name, cords.len()))
    }

    /// The names of the devices of a model.
    pub fn devices_of(
        &self,
        kind: Id<DeviceModel>,
    ) -> impl Iterator<Item = &'a Name> + use<'_, 'a> {
        named(
            &self.model.devices,
            &self.shared.users(self).devices[kind.index()],
        )
    }

    /// The thing with a name of its own in the definitions that an element is a part of: the cord of
    /// a leg, the PDU of a bank.
    pub fn whole(&self, id: ElementId) -> &'a Name {
        let model = self.model;
        match self.graph.kind(id) {
            ElementKind::Supply(supply) => &model.supplies[supply].name.value,
            ElementKind::Circuit(circuit) => &model.circuits[circuit].name.value,
            ElementKind::Pdu(pdu) | ElementKind::Bank(pdu, _) => &model.pdus[pdu].name.value,
            ElementKind::Cord(cord) | ElementKind::Leg(cord, _) => &model.cords[cord].name.value,
        }
    }

    /// The names of the PDUs of a model.
    pub fn pdus_of(&self, kind: Id<PduModel>) -> impl Iterator<Item = &'a Name> + use<'_, 'a> {
        named(
            &self.model.pdus,
            &self.shared.users(self).pdus[kind.index()],
        )
    }
}
