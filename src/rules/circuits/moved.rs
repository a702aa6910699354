//! Which devices a loss makes draw more through an element.

use crate::analysis::Analysis;
use crate::quantity::Quantity;
use crate::rules::circuits::contribution::{self, Tap};
use crate::rules::circuits::way::Carried;

/// The devices whose load moves here with the loss: a few by name, then how many more.
pub fn moved(analysis: &Analysis<'_>, carried: &Carried) -> Option<String> {
    let lost = carried.lost?;
    let taps = contribution::taps(analysis, carried.id, Some(lost));
    let moving: Vec<Tap> = taps
        .into_iter()
        .filter(|tap| tap.power != tap.normal)
        .collect();
    let devices = contribution::distinct(&moving);
    let before = analysis.flows.normal_currents(analysis.graph, carried.id);
    let before = before.into_iter().find(|(pole, _)| *pole == carried.pole);
    let before = before.map_or(String::new(), |(_, current)| {
        format!("; normally {}", current.show())
    });
    (!devices.is_empty()).then(|| {
        let devices = contribution::a_few(analysis, &devices);
        format!("load moves here from {devices}{before}")
    })
}
