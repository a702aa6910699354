//! Outlets of equipment that passes power on, without a word of what may be drawn from them: the device may bear
//! less than the coupler.

use crate::analysis::{Analysis, place};
use crate::citation::{Citation, Confidence};
use crate::finding::Finding;
use crate::graph::{Carrier, ElementId, ElementKind, OutletId, Plugged};
use crate::model::devices::DeviceModel;
use crate::model::value::{Id, Name};
use crate::rules::Draft;
use crate::rules::told_once::ToldOnce;

use super::RULE;

/// Such outlets that something is plugged into, each once for its model and name.
#[derive(Default)]
pub(super) struct Unmarked(ToldOnce<(Id<DeviceModel>, Name)>);

impl Unmarked {
    /// Looks at the outlet that a cord or a strip is plugged into.
    pub fn meet(&mut self, analysis: &Analysis<'_>, id: ElementId) {
        let plugged = match analysis.graph.kind(id) {
            ElementKind::Cord(cord) => Plugged::Cord(cord),
            ElementKind::Pdu(pdu) => Plugged::Pdu(pdu),
            _ => return,
        };
        let links = &analysis.graph.links;
        let Some(outlet) = links.outlet_above(plugged) else {
            return;
        };
        let Carrier::Device(device) = outlet.on else {
            return;
        };
        let own = analysis.outlet(outlet).filter(|own| own.rating.is_absent());
        if let Some((own, model)) = own.zip(links.device_models[device.index()]) {
            let key = (model, own.name.value.clone());
            let told = self.0.tell(key, || asked(analysis, model, outlet, id));
            told.suffered_by([analysis.model.devices[device].name.value.clone()]);
        }
    }

    /// One open point for each.
    pub fn findings(self) -> impl Iterator<Item = Finding> {
        self.0.findings()
    }
}

fn asked(
    analysis: &Analysis<'_>,
    model: Id<DeviceModel>,
    outlet: OutletId,
    id: ElementId,
) -> Draft {
    let model = &analysis.model.device_models[model].name.value;
    let own = analysis.outlet(outlet);
    let name = own.map_or("", |own| own.name.value.as_str());
    let headline = format!(
        "what may be drawn from outlet {name} of device model {model}? Missing: its rating (marked beside it); the device may bear less than the coupler"
    );
    let rating = own.map(|own| &own.rating);
    let fact = analysis.outlet_fact(outlet, "rating", rating);
    let at = own.map_or(fact.span, |own| own.name.span);
    Draft::new(&RULE, headline, at, "not decided: no rating is given", marking())
        .wants([fact])
        .above([analysis.hop(id)])
        .below([place(
            analysis.name_of_carrier(outlet.on).span,
            analysis.describe_carrier(outlet.on),
        )])
        .about([model.as_str(), name])
        .kind("passed-on")
        .advice("Read what is marked beside the outlet, or in the data sheet of the device, and write it as the `rating` of the outlet.")
}

/// What is marked beside such an outlet.
fn marking() -> Citation {
    Citation::new(
        "IEC 62368-1",
        "F.3.5.1 (outlets on equipment are marked with their rating)",
        "edition not established",
        Confidence::FromMemory,
    )
}
