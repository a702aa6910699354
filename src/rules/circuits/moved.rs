//! Which devices a loss makes draw more through an element.

use crate::quantity::Quantity;
use crate::rules::circuits::contribution::{self, Tap};
use crate::rules::circuits::way::Carried;
use crate::survey::Survey;

/// The devices whose load moves here with the loss: a few by name, then how many more.
pub fn moved(survey: &Survey<'_>, carried: &Carried) -> Option<String> {
    const NAMED: usize = 3;
    let lost = carried.lost?;
    let taps = contribution::taps(survey, carried.id, Some(lost));
    let moving: Vec<Tap> = taps
        .into_iter()
        .filter(|tap| tap.power != tap.normal)
        .collect();
    let devices = contribution::distinct(&moving);
    let names: Vec<&str> = devices
        .iter()
        .take(NAMED)
        .map(|&device| survey.model.devices[device].name.value.as_str())
        .collect();
    let more = match devices.len().saturating_sub(NAMED) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    let before = survey.flows.normal_currents(survey.graph, carried.id);
    let before = before.into_iter().find(|(pole, _)| *pole == carried.pole);
    let before = before.map_or(String::new(), |(_, current)| {
        format!("; normally {}", current.show())
    });
    (!names.is_empty()).then(|| format!("load moves here from {}{more}{before}", names.join(", ")))
}
