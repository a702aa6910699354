//! Models that give no earth current.

use std::collections::BTreeMap;

use crate::finding::Fact;
use crate::graph::{ElementId, Receiver};
use crate::model::devices::{Device, DeviceModel};
use crate::model::value::{Id, Name, Spanned};
use crate::survey::Survey;

use super::given;

/// A model that gives no earth current, and a place in the site where that matters.
pub struct Lacking<'a> {
    /// The model.
    pub name: &'a Spanned<Name>,
    /// The figure that is missing.
    pub fact: Fact,
    /// The first element that cannot be judged for want of it.
    pub element: ElementId,
    /// The devices that cannot be judged for want of it.
    pub devices: Vec<&'a Name>,
}

/// The models without an earth current below any of `undecided`, each once.
pub fn lacking<'a>(survey: &Survey<'a>, undecided: &[ElementId]) -> Vec<Lacking<'a>> {
    let mut models: BTreeMap<Id<DeviceModel>, (ElementId, Vec<Id<Device>>)> = BTreeMap::new();
    for &element in undecided {
        for below in survey.graph.below(element) {
            let Some(&Receiver::Inlet(number)) = survey.graph.receiver(ElementId(below)) else {
                continue;
            };
            let link = &survey.graph.links.inlets[number as usize];
            if let Some(model) = survey.graph.links.device_models[link.device.index()]
                && given(survey, link).is_none()
            {
                let (_, devices) = models.entry(model).or_insert((element, Vec::new()));
                devices.push(link.device);
            }
        }
    }
    let of = |(model, (element, devices)): (_, (_, Vec<Id<Device>>))| {
        let devices = devices
            .iter()
            .map(|&device| &survey.model.devices[device].name.value);
        let model = &survey.model.device_models[model];
        Lacking {
            name: &model.name,
            fact: Fact::of(model, "earth-current", Some(&model.earth_current)),
            element,
            devices: devices.collect(),
        }
    };
    models.into_iter().map(of).collect()
}
