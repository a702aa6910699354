//! Models that give no earth current.

use std::collections::BTreeMap;

use crate::analysis::Analysis;
use crate::finding::Fact;
use crate::graph::{ElementId, Receiver};
use crate::model::devices::{Device, DeviceModel};
use crate::model::value::{Id, Name, Spanned};

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
pub fn lacking<'a>(analysis: &Analysis<'a>, undecided: &[ElementId]) -> Vec<Lacking<'a>> {
    let mut models: BTreeMap<Id<DeviceModel>, (ElementId, Vec<Id<Device>>)> = BTreeMap::new();
    for &element in undecided {
        for below in analysis.graph.below(element) {
            let Some(&Receiver::Inlet(number)) = analysis.graph.receiver(ElementId(below)) else {
                continue;
            };
            let link = &analysis.graph.links.inlets[number as usize];
            if let Some(model) = analysis.graph.links.device_models[link.device.index()]
                && given(analysis, link).is_none()
            {
                let (_, devices) = models.entry(model).or_insert((element, Vec::new()));
                devices.push(link.device);
            }
        }
    }
    let of = |(model, (element, devices)): (_, (_, Vec<Id<Device>>))| {
        let devices = devices
            .iter()
            .map(|&device| &analysis.model.devices[device].name.value);
        let model = &analysis.model.device_models[model];
        Lacking {
            name: &model.name,
            fact: Fact::of(model, "earth-current", Some(&model.earth_current)),
            element,
            devices: devices.collect(),
        }
    };
    models.into_iter().map(of).collect()
}
