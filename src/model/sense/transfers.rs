//! Transfer switches that cannot be any.

use crate::model::Model;
use crate::model::devices::DeviceModel;
use crate::model::fault::Noted;
use crate::model::value::{Name, Named};
use crate::source::Span;

use super::bad;

/// What is wrong with the transfer switches of a site.
pub(super) fn check(model: &Model) -> Vec<Noted> {
    let models = model.device_models.items().iter();
    let models = models.filter_map(not_two_inlets);
    let devices = model.devices.items().iter();
    let devices = devices.filter_map(|device| {
        let at = device.preferred.span()?;
        let kind = model.device_models.find(device.model.known()?)?;
        let kind = &model.device_models[kind];
        let path = [
            "devices".into(),
            device.name.value.clone(),
            "preferred".into(),
        ];
        kind.transfer.is_absent().then(|| {
            let headline = format!(
                "only a transfer switch prefers an inlet, and {} is none by its model {}",
                device.name.value, kind.name.value
            );
            let advice = "Write `transfer` in its model, or take `preferred` away.";
            bad(at, headline, advice, path)
        })
    });
    models.chain(devices).collect()
}

/// One inlet leaves nothing to transfer to, and of three nobody knows which comes next.
fn not_two_inlets(model: &Named<DeviceModel>) -> Option<Noted> {
    let at = model.transfer.span()?;
    let switched = model.outlets.iter();
    let mut switched = switched.filter(|(_, inlet)| inlet.is_absent());
    let (headline, advice) = match (model.inlets.len(), switched.next()) {
        (2, Some(_)) => return None,
        (2, None) => (
            format!(
                "transfer switch {} has no outlet that it switches",
                model.name.value
            ),
            "Write its `outlets`; one that is connected to one inlet for good names that as its `inlet`.",
        ),
        (count, _) => (
            format!(
                "a transfer switch has two inlets, and {} has {count}: what hangs on its outlets is not judged",
                model.name.value
            ),
            "Write both its `inlets`, by the names that stand beside them.",
        ),
    };
    Some(noted(at, headline, advice, &model.name.value))
}

fn noted(at: Span, headline: String, advice: &str, model: &Name) -> Noted {
    let path = ["device-models".into(), model.clone(), "transfer".into()];
    bad(at, headline, advice, path)
}
