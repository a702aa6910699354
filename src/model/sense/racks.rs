//! Places in a rack that the rack does not have.

use crate::model::Model;
use crate::model::devices::Device;
use crate::model::fault::Noted;
use crate::model::pdus::Pdu;
use crate::model::places::Rack;
use crate::model::value::{Field, Name, Named, Spanned};
use crate::quantity::{Quantity, RackUnits};

use super::bad;

/// Devices and PDUs that stick out at the top of their rack, and positions below its first unit.
pub(super) fn check(model: &Model) -> impl Iterator<Item = Noted> {
    let devices = model.devices.items().iter();
    let pdus = model.pdus.items().iter();
    let devices = devices.filter_map(|device| outside(model, device));
    devices.chain(pdus.filter_map(|pdu| strip_outside(model, pdu)))
}

fn outside(model: &Model, device: &Named<Device>) -> Option<Noted> {
    let at = device.at.given()?;
    let kind = device
        .model
        .known()
        .and_then(|kind| model.device_models.find(kind));
    let height = kind.and_then(|kind| model.device_models[kind].height.known().copied());
    let height = height.unwrap_or(RackUnits::new(1));
    let path = ["devices".into(), device.name.value.clone(), "at".into()];
    judge(rack(model, &device.rack)?, at, height, path)
}

/// The top of a strip is the last unit that it reaches.
fn strip_outside(model: &Model, pdu: &Named<Pdu>) -> Option<Noted> {
    let mount = pdu.mount.known()?;
    let head = mount.head.given()?;
    let path = ["pdus".into(), pdu.name.value.clone(), "head".into()];
    judge(rack(model, &pdu.rack)?, head, RackUnits::new(1), path)
}

fn rack<'m>(model: &'m Model, name: &Field<Name>) -> Option<&'m Named<Rack>> {
    let id = model.racks.find(name.known()?)?;
    Some(&model.racks[id])
}

fn judge(
    rack: &Named<Rack>,
    at: &Spanned<RackUnits>,
    height: RackUnits,
    path: [Name; 3],
) -> Option<Noted> {
    let own = rack.height.known().copied()?;
    let lowest = RackUnits::new(1).halves();
    let top = (at.value.halves() + height.halves()).saturating_sub(lowest);
    if at.value.halves() >= lowest && top <= own.halves() {
        return None;
    }
    let headline = format!(
        "{} with {} is outside rack {}, which has {}: lengths of cords would be reckoned from nowhere",
        at.value.show_position(),
        height.show(),
        rack.name.value,
        own.show()
    );
    let advice = "Count on the rail, from U1 at the bottom, and write the lowest unit that it takes; or correct the height of the rack.";
    Some(bad(at.span, headline, advice, path))
}
