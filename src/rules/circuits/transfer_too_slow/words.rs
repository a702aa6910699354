//! What is said of gaps that are too long.

use crate::analysis::{Analysis, field_or_name, place};
use crate::citation::Citation;
use crate::finding::{Fact, Finding, Measure};
use crate::graph::Switch;
use crate::model::devices::{Device, DeviceModel};
use crate::model::value::{Id, Named, Spanned};
use crate::quantity::{Quantity, Time};
use crate::rules::Draft;

use super::RULE;

fn basis() -> Citation {
    Citation::common_practice(
        "transfer time of the switch against the ride-through of what it feeds",
    )
}

/// A device that stops while the switch goes over.
pub(super) fn finding(
    analysis: &Analysis<'_>,
    switch: &Switch,
    (device, model): (Id<Device>, &Named<DeviceModel>),
    time: &Spanned<Time>,
) -> Finding {
    let name = &analysis.model.devices[device].name;
    let rides = model.ride_through.given();
    let (shown, at) = match rides {
        Some(rides) => (rides.value.show(), rides.span),
        None => (String::new(), model.name.span),
    };
    let switch_name = &analysis.model.devices[switch.device].name;
    let gap = time.value.show();
    let headline = format!(
        "{} stops when transfer switch {} goes over: that takes up to {gap}, and it rides through {shown}",
        name.value, switch_name.value
    );
    let measure = rides.map(|rides| Measure::below(rides.value, time.value));
    Draft::new(&RULE, headline, at, format!("rides through {shown}"), basis())
        .above([place(time.span, format!("transfers within {gap}"))])
        .above([place(switch_name.span, format!("transfer switch {}", switch_name.value))])
        .below([place(name.span, format!("device {}", name.value))])
        .measured(measure)
        .about([name.value.clone(), switch_name.value.clone()])
        .advice("Use a faster transfer switch, equipment with two inlets, or a UPS behind the switch. Until then count on a restart of it at every loss of a feed.")
        .finish()
}

/// A switch whose gap nobody knows.
pub(super) fn time_missing(
    analysis: &Analysis<'_>,
    switch: &Switch,
    model: &Named<DeviceModel>,
) -> Draft {
    let name = &analysis.model.devices[switch.device].name.value;
    let transfer = model.transfer.written().ok().flatten();
    let fact = match transfer {
        Some(transfer) => Fact::of(model, "transfer.time", Some(&transfer.value.time)),
        None => Fact::of(model, "transfer.time", Some(&model.transfer)),
    };
    let headline = format!(
        "does what hangs behind transfer switch {name} run on while that goes over? Wanted: its transfer time, which {}",
        fact.state.words()
    );
    Draft::new(
        &RULE,
        headline,
        field_or_name(&model.transfer, &model.name),
        "not decided: how long is the gap?",
        basis(),
    )
    .about([model.name.value.clone()])
    .kind("time")
    .advice("Take the longest transfer time from the switch's data sheet, sensing included, and write it as `time` under `transfer`.")
    .wants([fact])
}

/// Equipment of which nobody knows how long it rides through.
pub(super) fn ride_through_missing(
    of: &Named<DeviceModel>,
    switch: &Named<DeviceModel>,
    time: &Spanned<Time>,
) -> Draft {
    let name = &of.name.value;
    let gap = time.value.show();
    let fact = Fact::of(of, "ride-through", Some(&of.ride_through));
    let headline = format!(
        "does {name} run on while its transfer switch goes over, up to {gap}? Wanted: how long it rides through, which {}",
        fact.state.words()
    );
    Draft::new(
        &RULE,
        headline,
        of.name.span,
        "not decided: how long does it run on without voltage?",
        basis(),
    )
    .below([place(time.span, format!("{} transfers within {gap}", switch.name.value))])
    .about([name.clone()])
    .kind("ride-through")
    .advice("Take the hold-up time at the load that counts from the data sheet of its power supply, and write it as `ride-through`. Many supplies hold up 10 to 12 ms at full load (read in data sheets, verify); the 20 ms of the curve for computer equipment is no promise of theirs.")
    .wants([fact])
}
