//! The places of a finding on the way from the supply to the devices, with the current at each.

use crate::analysis::{Analysis, place};
use crate::finding::Place;
use crate::graph::{ElementId, Loss};
use crate::model::circuits::Pole;
use crate::quantity::{Current, Quantity, amperes, show_rounded};

use super::contribution::{self, Tap};

/// The current on one pole of an element, in one state of the site.
#[derive(Clone, Copy, Debug)]
pub struct Carried {
    /// The element.
    pub id: ElementId,
    /// The pole.
    pub pole: Pole,
    /// Its current.
    pub current: Current,
    /// The element whose loss makes it; `None` in the normal state.
    pub lost: Option<Loss>,
}

/// From the supply down to the element, itself left out.
pub fn above(analysis: &Analysis<'_>, carried: &Carried) -> Vec<Place> {
    let mut path = analysis.graph.path(carried.id);
    path.pop();
    let hops = path
        .into_iter()
        .map(|hop| self::hop(analysis, hop, carried));
    hops.collect()
}

/// From the element down the way of the largest load, to its device.
pub fn below(analysis: &Analysis<'_>, carried: &Carried) -> Vec<Place> {
    let taps = contribution::taps(analysis, carried.id, carried.lost);
    let on_pole = taps
        .iter()
        .filter(|tap| tap.poles.0 == carried.pole || tap.poles.1 == carried.pole);
    let largest = on_pole.reduce(|a, b| if b.amperes() > a.amperes() { b } else { a });
    let Some(largest) = largest else {
        return Vec::new();
    };
    let path = analysis.graph.path(largest.element);
    let below = path
        .into_iter()
        .skip_while(|&hop| hop != carried.id)
        .skip(1);
    let mut places: Vec<Place> = below.map(|hop| self::hop(analysis, hop, carried)).collect();
    places.push(device(analysis, largest));
    places
}

fn device(analysis: &Analysis<'_>, tap: &Tap) -> Place {
    let name = &analysis.model.devices[tap.device].name;
    let current = show_rounded(amperes(tap.amperes()));
    place(
        name.span,
        format!(
            "device {}: takes {current} here, the largest load",
            name.value
        ),
    )
}

/// A hop with its current, where that is known for the same state.
fn hop(analysis: &Analysis<'_>, hop: ElementId, carried: &Carried) -> Place {
    let what = analysis.describe(hop);
    let note = match current_at(analysis, hop, carried.pole, carried.lost) {
        Some(current) => format!(
            "{what}: {}{}",
            show_rounded(current),
            on_pole(analysis, hop, carried.pole)
        ),
        None => what,
    };
    analysis.hop_with(hop, note)
}

/// ` on L1`, of an element that has more lines than one.
pub fn on_pole(analysis: &Analysis<'_>, id: ElementId, pole: Pole) -> String {
    match analysis.graph.conductors_of(id).len() {
        0..=2 => String::new(),
        _ => format!(" on {}", pole.word()),
    }
}

fn current_at(
    analysis: &Analysis<'_>,
    hop: ElementId,
    pole: Pole,
    lost: Option<Loss>,
) -> Option<Current> {
    let flows = analysis.flows;
    match lost {
        None => flows
            .normal_currents(analysis.graph, hop)
            .find_map(|(at, current)| (at == pole).then_some(current)),
        // Only the worst state of each element is kept, and it may be another one.
        Some(_) => {
            let worst = flows.worst_on(analysis.graph, hop, pole)?;
            (worst.lost == lost).then_some(worst.current)
        }
    }
}

/// The currents of all poles, where there are several: `L1 20.1 A, L2 18.3 A, L3 17 A`.
pub fn all_poles(analysis: &Analysis<'_>, id: ElementId) -> Option<String> {
    let currents: Vec<String> = analysis
        .flows
        .normal_currents(analysis.graph, id)
        .map(|(pole, current)| format!("{} {}", pole.word(), current.show()))
        .collect();
    (currents.len() > 2).then(|| currents.join(", "))
}

/// ` when supply ups-b is lost`; nothing for the normal state.
pub fn after(analysis: &Analysis<'_>, lost: Option<Loss>) -> String {
    lost.map_or(String::new(), |_| format!(" {}", analysis.when(lost)))
}
