//! The inlets of transfer switches.

use crate::graph::switches::{link, preferred};

use super::{Resolver, words};

impl Resolver<'_> {
    /// Which inlet feeds the outlets of each transfer switch; the one that it prefers must be an inlet of its
    /// model.
    pub(super) fn switches(&mut self) {
        let model = self.model;
        for (device, item) in model.devices.iter() {
            let Some(kind) = self.links.device_models[device.index()] else {
                continue;
            };
            let kind = &model.device_models[kind];
            if kind.transfer.is_absent() && item.preferred.is_absent() {
                continue;
            }
            let found = link(model, &self.links, device, self.stand);
            self.links
                .switches
                .extend(found.map(|found| (device, found)));
            let Some(name) = preferred(item, kind).filter(|name| !kind.inlets.has(&name.value))
            else {
                continue;
            };
            // What is wrong with a model is told once.
            let is_own = !item.preferred.is_absent();
            let is_first = || !self.faults.iter().any(|fault| fault.is_at(name.span));
            if is_own || is_first() {
                let near = self.nearest(&name.value, words(&kind.inlets));
                let (what, owner) = match is_own {
                    true => ("inlet of this device's model", item.name.value.clone()),
                    false => ("inlet of this model", kind.name.value.clone()),
                };
                self.unknown(name, &name.value, what, near, &owner);
            }
        }
    }
}
