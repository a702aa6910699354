//! The range that a device is marked with.

use crate::analysis::{Analysis, field_or_name, place};
use crate::citation::Citation;
use crate::finding::{Fact, Finding, Measure};
use crate::graph::ElementId;
use crate::model::devices::{Device, DeviceModel};
use crate::model::value::Id;
use crate::quantity::{Quantity, show_pair};
use crate::rules::Draft;
use crate::rules::told_once::ToldOnce;

use super::RULE;
use crate::rules::couplers::stress::Stress;

/// Models without a voltage range.
pub(super) type Rangeless = ToldOnce<Id<DeviceModel>>;

/// A device that is fed with a voltage outside its range.
pub(super) fn judged(
    analysis: &Analysis<'_>,
    id: ElementId,
    stress: Stress,
    rangeless: &mut Rangeless,
) -> Option<Finding> {
    let device = analysis.device_fed_by(id)?;
    let model = analysis.graph.links.device_models[device.index()]?;
    let item = &analysis.model.device_models[model];
    let Some(range) = item.voltage.given() else {
        let told = rangeless.tell(model, || range_missing(analysis, model, device, stress));
        told.suffered_by([analysis.model.devices[device].name.value.clone()]);
        return None;
    };
    let fed = stress.voltage;
    let (measure, limit, word, harm) = if fed > range.value.high {
        let high = range.value.high;
        let measure = Measure::above(fed, high);
        (measure, high, "above", "it may burn out")
    } else if fed < range.value.low {
        let low = range.value.low;
        let measure = Measure::below(fed, low);
        (measure, low, "below", "it may not start, or run hot")
    } else {
        return None;
    };
    let (fed, limit) = show_pair(fed, limit);
    let name = &analysis.model.devices[device].name;
    let marked = range.value.show();
    let headline = format!(
        "device {} is made for {marked} and gets {fed} from {}: {harm}",
        name.value,
        analysis.describe(id)
    );
    let cord = analysis.name(id).span;
    let note = format!("{} brings {fed}", analysis.describe(id));
    Some(
        Draft::new(
            &RULE,
            headline,
            cord,
            note,
            Citation::marked("voltage range as marked on the device"),
        )
        .above(analysis.hops_above(id))
        .below([
            place(name.span, format!("device {}", name.value)),
            place(range.span, format!("made for {marked}")),
        ])
        .working([format!("{fed} is {word} {limit}")])
        .measured(measure)
        .advice(format!(
            "Unplug it and move it to an outlet within {marked}; if the nameplate says otherwise, correct the range."
        ))
        .about([analysis.full_name(id)])
        .kind("device")
        .finish(),
    )
}

fn range_missing(
    analysis: &Analysis<'_>,
    model: Id<DeviceModel>,
    device: Id<Device>,
    stress: Stress,
) -> Draft {
    let item = &analysis.model.device_models[model];
    let headline = format!(
        "does device {} stand {}? Missing: the voltage of its model {} (nameplate)",
        analysis.model.devices[device].name.value,
        stress.voltage.show(),
        item.name.value
    );
    let span = field_or_name(&item.voltage, &item.name);
    let basis = Citation::marked("voltage range as marked on the device");
    Draft::new(
        &RULE,
        headline,
        span,
        "not decided: the voltage is missing",
        basis,
    )
    .wants([Fact::of(item, "voltage", Some(&item.voltage))])
    .about([item.name.value.clone()])
    .kind("range")
    .advice("Read the voltage off the nameplate, such as `voltage: 100–240 V`.")
}
