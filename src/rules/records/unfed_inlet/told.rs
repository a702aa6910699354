//! The words of `unfed-inlet`.

use crate::analysis::{Analysis, field_or_name, place};
use crate::citation::Citation;
use crate::finding::{Finding, Level};
use crate::graph::{InletLink, Plugged};
use crate::model::devices::Device;
use crate::model::value::{Field, Id, Name, Named};
use crate::rules::Draft;
use crate::source::Span;

use super::RULE;

pub(super) fn dead(
    analysis: &Analysis<'_>,
    device: Id<Device>,
    bare: &[&InletLink],
    fed: u32,
    needed: u32,
) -> Finding {
    let name = &analysis.model.devices[device].name;
    let (headline, note) = if fed == 0 {
        (
            format!(
                "device {} has no cord on record: it is dead, or it loads a circuit that nobody counts it on",
                name.value
            ),
            "no cord leads here".to_owned(),
        )
    } else {
        (
            format!(
                "device {} needs {needed} fed inlets and has {fed}: it does not run, or a cord is on no record",
                name.value
            ),
            format!("{fed} of {needed} inlets fed"),
        )
    };
    let places = bare.iter().filter_map(|inlet| definition(analysis, inlet));
    draft(name, headline, note)
        .level(Level::Error)
        .below(places.map(|span| place(span, "nothing is plugged in here")))
        .about([name.value.clone()])
        .kind("dead")
        .advice("Add its cords to the records, or say why inlets stay free: `inlets: {NAME: {unused: reason}}`.")
        .finish()
}

pub(super) fn one_less(analysis: &Analysis<'_>, inlet: &InletLink, fed: u32) -> Finding {
    let (device, inlet_name) = (
        &analysis.model.devices[inlet.device].name,
        analysis.inlet_name(inlet),
    );
    let left = if fed == 1 {
        "one inlet"
    } else {
        "the other inlets"
    };
    let headline = format!(
        "inlet {inlet_name} has no cord: device {} hangs on {left} alone, and may be lost with it",
        device.value
    );
    let own = definition(analysis, inlet).map(|span| place(span, "nothing is plugged in here"));
    let own_name = inlet_name.rsplit_once('/').map_or("NAME", |(_, own)| own);
    draft(device, headline, format!("no cord at {inlet_name}"))
        .below(own)
        .about([device.value.as_str(), &inlet_name])
        .advice(format!(
            "Add its cord, or say why it stays free: `inlets: {{{own_name}: {{unused: reason}}}}`."
        ))
        .finish()
}

/// An inlet without a cord whose power is passed on to something.
pub(super) fn passes_nothing_on(
    analysis: &Analysis<'_>,
    inlet: &InletLink,
    plugged: &[Plugged],
) -> Finding {
    let (device, inlet_name) = (
        &analysis.model.devices[inlet.device].name,
        analysis.inlet_name(inlet),
    );
    let behind: Vec<(&'static str, Name, Span)> = plugged
        .iter()
        .map(|one| match *one {
            Plugged::Cord(cord) => {
                let item = &analysis.model.cords[cord];
                (
                    "cord",
                    item.name.value.clone(),
                    field_or_name(&item.from, &item.name),
                )
            }
            Plugged::Pdu(pdu) => {
                let item = &analysis.model.pdus[pdu];
                (
                    "PDU",
                    item.name.value.clone(),
                    field_or_name(&item.from, &item.name),
                )
            }
        })
        .collect();
    let (what, first, _) = &behind[0];
    let more = match behind.len() {
        1 => String::new(),
        more => format!(" (and {} more)", more - 1),
    };
    let headline = format!(
        "inlet {inlet_name} has no cord, and its device passes its power on to {what} {first}{more}: what hangs there is dead, or loads a circuit that nobody counts it on"
    );
    let places = behind
        .iter()
        .map(|(what, name, at)| place(*at, format!("{what} {name}")));
    draft(device, headline, format!("no cord at {inlet_name}"))
        .level(Level::Error)
        .below(definition(analysis, inlet).map(|span| place(span, "nothing is plugged in here")))
        .below(places)
        .about([device.value.as_str(), &inlet_name])
        .suffered_by(behind.iter().map(|(_, name, _)| name.clone()))
        .kind("behind")
        .advice("Add the cord of this inlet, or plug what hangs behind it in where there is power.")
        .finish()
}

pub(super) fn used_after_all(
    analysis: &Analysis<'_>,
    inlet: &InletLink,
    unused: &Field<Name>,
    cord: Span,
) -> Finding {
    let (device, inlet_name) = (
        &analysis.model.devices[inlet.device].name,
        analysis.inlet_name(inlet),
    );
    let headline = format!(
        "inlet {inlet_name} is said to stay free, but a cord feeds it: one of the two records is wrong"
    );
    let at = unused.span().unwrap_or(device.span);
    Draft::new(&RULE, headline, at, "said to be unused", basis())
        .above([place(cord, "this cord leads to it")])
        .about([device.value.as_str(), &inlet_name])
        .kind("used")
        .advice("Look at the inlet; take out `unused`, or the cord.")
        .finish()
}

pub(super) fn not_decided(analysis: &Analysis<'_>, first: &InletLink, count: usize) -> Finding {
    let (device, inlet_name) = (
        &analysis.model.devices[first.device].name,
        analysis.inlet_name(first),
    );
    let headline = format!(
        "is inlet {inlet_name} fed? No cord to it is found. Open: a part of the definitions could not be read"
    );
    draft(
        device,
        headline,
        format!("inlets without a known cord: {count}"),
    )
    .about(["inlets"])
    .kind("unread")
    .advice("Put the unreadable file right first; what is then still unfed is told one by one.")
    .open()
    .finish()
}

fn draft<T>(name: &crate::model::value::Spanned<T>, headline: String, note: String) -> Draft {
    Draft::new(&RULE, headline, name.span, note, basis())
}

/// Where the model of the device names the inlet.
fn definition(analysis: &Analysis<'_>, inlet: &InletLink) -> Option<Span> {
    let model = analysis.graph.device_model(analysis.model, inlet.device)?;
    let own: &Named<_> = model.inlets.items().get(inlet.inlet as usize)?;
    Some(own.name.span)
}

fn basis() -> Citation {
    Citation::common_practice("every inlet has a cord, or a reason to have none")
}
