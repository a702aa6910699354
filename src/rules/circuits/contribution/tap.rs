//! What each inlet takes through an element.

use crate::flow::low_end::LowEnd;
use num_complex::Complex64;

use crate::analysis::{Analysis, Powers};
use crate::graph::{Dead, ElementId, Loss, Receiver};
use crate::model::circuits::Pole;
use crate::model::devices::Device;
use crate::model::value::Id;
use crate::quantity::{InUnits, LoadPower};

/// What one inlet takes through an element.
#[derive(Clone, Copy, Debug)]
pub struct Tap {
    /// The cord or leg that feeds it.
    pub element: ElementId,
    /// The device.
    pub device: Id<Device>,
    /// The two poles it hangs between.
    pub poles: (Pole, Pole),
    /// What it takes, watts and vars.
    pub power: Complex64,
    /// What it takes in the normal state.
    pub normal: Complex64,
    /// Voltage between its poles with no load on them, in volts.
    pub volts: f64,
}

impl Tap {
    /// Its current, in amperes.
    pub fn amperes(&self) -> f64 {
        self.power.norm() / self.volts
    }

    /// The pole at its other side; `None` if it does not hang on `pole`.
    pub fn other(&self, pole: Pole) -> Option<Pole> {
        match self.poles {
            (from, to) if from == pole => Some(to),
            (from, to) if to == pole => Some(from),
            _ => None,
        }
    }
}

/// What all inlets below an element take while `lost` is lost; those that take nothing are left out.
pub fn taps(analysis: &Analysis<'_>, id: ElementId, lost: Option<Loss>) -> Vec<Tap> {
    let graph = analysis.graph;
    let dead = lost.map_or(Dead::NOTHING, |lost| graph.dead_after(lost));
    // What a transfer switch feeds otherwise takes nothing here.
    let is_here = |at: &ElementId| {
        !dead.cuts_off(graph, *at) || dead.saved_by(graph, *at) == dead.saved_by(graph, id)
    };
    let below = graph.below(id).map(ElementId).filter(is_here);
    let mut powers = analysis.powers(lost);
    below
        .filter_map(|element| tap(analysis, element, &mut powers))
        .collect()
}

fn tap(analysis: &Analysis<'_>, element: ElementId, powers: &mut Powers<'_>) -> Option<Tap> {
    let graph = analysis.graph;
    let &Receiver::Inlet(number) = graph.receiver(element)? else {
        return None;
    };
    let link = &graph.links.inlets[number as usize];
    let mut poles = graph.poles(element);
    let poles = (poles.next()?, poles.next()?);
    if graph.feeding(link) != Some(element) {
        return None;
    }
    let normal = analysis.flows.loads.normal[number as usize];
    let power = powers.of(number);
    let volts = analysis.flows.nominal_voltage(graph, element)?.in_volts() * lowest(analysis);
    (power != Complex64::ZERO).then_some(Tap {
        element,
        device: link.device,
        poles,
        power,
        normal,
        volts,
    })
}

/// Share of the nominal voltage that is left at the low end of the supply's tolerance.
pub(in crate::rules::circuits) fn lowest(analysis: &Analysis<'_>) -> f64 {
    LowEnd::of(&analysis.model.site).left()
}

pub(super) fn whole_load(analysis: &Analysis<'_>, device: Id<Device>) -> Complex64 {
    analysis.flows.loads.device(device).power
}

/// Whether the load is given in watts, so that the power factor comes in.
pub fn stated_in_watts(analysis: &Analysis<'_>, device: Id<Device>) -> bool {
    let draw = analysis.model.devices[device].draw.known();
    let model = analysis.graph.device_model(analysis.model, device);
    let load = draw.or_else(|| model.and_then(|model| model.rating.known()));
    matches!(load, Some(LoadPower::Active(_)))
}

/// The devices of some taps, each once.
pub fn distinct(taps: &[Tap]) -> Vec<Id<Device>> {
    let mut devices: Vec<_> = taps.iter().map(|tap| tap.device).collect();
    devices.sort_unstable();
    devices.dedup();
    devices
}

/// `12 devices`.
pub fn count_devices(taps: &[Tap]) -> String {
    count(distinct(taps).len(), "device")
}

/// `3 devices`, `1 device`.
pub fn count(number: usize, thing: &str) -> String {
    match number {
        1 => format!("1 {thing}"),
        _ => format!("{number} {thing}s"),
    }
}

/// Some devices by name, then how many more: `rec-1, rec-2, rec-3 and 4 more`.
pub fn a_few(analysis: &Analysis<'_>, devices: &[Id<Device>]) -> String {
    const NAMED: usize = 3;
    let named = devices.iter().take(NAMED);
    let names: Vec<&str> = named
        .map(|&device| analysis.model.devices[device].name.value.as_str())
        .collect();
    match devices.len().saturating_sub(NAMED) {
        0 => names.join(", "),
        more => format!("{} and {more} more", names.join(", ")),
    }
}
