//! What every device needs and how its inlets share it, with all of them fed and with some lost.

use num_complex::Complex64;
use rustc_hash::FxHashSet;

use crate::graph::{Dead, ElementId, Graph, InletLink, Receiver};
use crate::model::Model;
use crate::model::circuits::{Pole, Supply};
use crate::model::devices::{Device, DeviceModel, PowerFactor, Sharing};
use crate::model::value::{Field, Id};
use crate::quantity::{InUnits, LoadPower};
use crate::source::Span;

/// Which figure a load rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LoadBasis {
    /// Measured or planned: `draw` of the device.
    Draw,
    /// Nameplate: `rating` of its model.
    Nameplate,
}

/// Why a load is not known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unknown {
    /// Neither draw nor nameplate is given.
    Power,
    /// Watts are given but no power factor.
    PowerFactor,
    /// Amperes are given but not the voltage they hold at.
    Voltage,
    /// The load is zero or less.
    NotPositive,
    /// How its inlets share it cannot be read.
    Shares,
    /// The model itself is not known.
    Model,
}

/// What a device needs as a whole.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DeviceLoad {
    /// Complex power, watts and vars, lagging positive. Of a load that is not known what it takes at the
    /// least: its watts where only the power factor is missing, else zero.
    pub power: Complex64,
    /// Where the figure comes from, or why there is none.
    pub basis: Result<LoadBasis, Unknown>,
    /// How many inlets must stay fed; 1 where the model does not say, so that loads move.
    pub needed: u32,
    sharing: Sharing,
}

/// Loads of all devices and inlets.
#[derive(Clone, Debug)]
pub struct Loads {
    devices: Vec<DeviceLoad>,
    /// Complex power of each inlet in the normal state.
    pub normal: Vec<Complex64>,
    /// Weight of each inlet when the load is shared.
    weights: Vec<f64>,
    /// Third-harmonic share of each inlet's current; zero where not given.
    pub third_harmonic: Vec<f64>,
    /// Whether each inlet is fed at all (by a cord that hangs on a supply).
    pub fed: Vec<bool>,
}

/// Inlets and what each of them takes.
pub type Shares = Vec<(u32, Complex64)>;

impl Loads {
    /// Reads the loads off the definitions and shares them among the fed inlets.
    pub fn new(model: &Model, graph: &Graph) -> Self {
        let devices = model.devices.iter();
        let bounds = WattsBound::of(graph);
        let devices = devices.map(|(device, item)| {
            let load = device_load(graph.device_model(model, device), item);
            match load.basis {
                Err(_) if !bounds.device(graph, device) => load.of_nothing(),
                _ => load,
            }
        });
        Self::shared(model, graph, devices.collect())
    }

    /// The same as if one inlet were enough for every device.
    pub fn if_nothing_stops(model: &Model, graph: &Graph) -> Self {
        let mut devices = Self::new(model, graph).devices;
        devices.iter_mut().for_each(|device| device.needed = 1);
        Self::shared(model, graph, devices)
    }

    fn shared(model: &Model, graph: &Graph, devices: Vec<DeviceLoad>) -> Self {
        let inlets = &graph.links.inlets;
        let mut loads = Self {
            devices,
            normal: vec![Complex64::ZERO; inlets.len()],
            weights: weights(model, graph),
            third_harmonic: inlets
                .iter()
                .map(|inlet| third_harmonic(model, graph, inlet))
                .collect(),
            fed: inlets
                .iter()
                .map(|inlet| graph.feeding(inlet).is_some())
                .collect(),
        };
        let mut shares = Vec::new();
        for (device, _) in model.devices.iter() {
            loads.share(
                graph,
                device,
                |inlet| loads.fed[inlet as usize],
                &mut shares,
            );
            for &(inlet, power) in &shares {
                loads.normal[inlet as usize] = power;
            }
        }
        loads
    }

    /// The load of a device.
    pub fn device(&self, device: Id<Device>) -> &DeviceLoad {
        &self.devices[device.index()]
    }

    /// Writes to `shares` what each inlet of a device takes while only the inlets that `alive`
    /// accepts are live: nothing at all if fewer than needed are left.
    pub fn share(
        &self,
        graph: &Graph,
        device: Id<Device>,
        alive: impl Fn(u32) -> bool,
        shares: &mut Shares,
    ) {
        let load = &self.devices[device.index()];
        shares.clear();
        let numbers = graph.links.inlets_of(device).map(|(number, _)| number);
        shares.extend(numbers.map(|number| (number, Complex64::ZERO)));
        let live = shares.iter().filter(|(number, _)| alive(*number)).count() as u32;
        if live == 0 || live < load.needed {
            return;
        }
        // A transfer switch lives on what it passes on.
        let active = graph
            .links
            .switches
            .get(&device)
            .map(|switch| switch.active);
        if load.sharing == Sharing::Standby || active.is_some() {
            let active = active.filter(|active| alive(*active));
            let carries =
                |number: u32| active.map_or_else(|| alive(number), |active| number == active);
            if let Some((_, power)) = shares.iter_mut().find(|(number, _)| carries(*number)) {
                *power = load.power;
            }
            return;
        }
        let total: f64 = shares
            .iter()
            .filter(|(number, _)| alive(*number))
            .map(|(number, _)| self.weights[*number as usize])
            .sum();
        for (number, power) in shares.iter_mut().filter(|(number, _)| alive(*number)) {
            let part = if total > 0.0 {
                self.weights[*number as usize] / total
            } else {
                1.0 / f64::from(live)
            };
            *power = load.power * part;
        }
    }

    /// The same when all that is `dead` is.
    pub(super) fn share_without(
        &self,
        graph: &Graph,
        dead: &Dead,
        device: Id<Device>,
        shares: &mut Shares,
    ) {
        let is_dead = |inlet: u32| {
            let feeding = graph.feeding(&graph.links.inlets[inlet as usize]);
            feeding.is_some_and(|feeding| dead.contains(graph, feeding))
        };
        let alive = |inlet: u32| self.fed[inlet as usize] && !is_dead(inlet);
        self.share(graph, device, alive, shares);
    }

    /// What lies below every element and is not in the sums there: a load that is not known, or that hangs
    /// too far down a row or on poles that do not resolve.
    pub(super) fn unsummed(&self, graph: &Graph) -> Unsummed {
        let mut unsummed = Unsummed {
            unknown: vec![None; graph.len()],
            astray: vec![None; graph.len()],
        };
        for (id, _) in graph.elements() {
            let Some(Receiver::Inlet(inlet)) = graph.receiver(id) else {
                continue;
            };
            let device = graph.links.inlets[*inlet as usize].device;
            let is_known = self.devices[device.index()].basis.is_ok();
            match graph.loses_its_poles(id) {
                None if is_known => {}
                Some(at) if is_known && graph.is_told_of_poles(at) => {
                    note(&mut unsummed.astray, graph, id, device);
                }
                _ => note(&mut unsummed.unknown, graph, id, device),
            }
        }
        for cut in graph.cut.iter().chain(&graph.adrift) {
            if let Some(device) = cut.device {
                note(&mut unsummed.unknown, graph, cut.feeder, device);
            }
        }
        for of in [&mut unsummed.unknown, &mut unsummed.astray] {
            behind_switches(graph, of);
            behind_supplies(graph, of);
        }
        unsummed
    }
}

/// For every element, the first device below it that its sums lack.
#[derive(Debug)]
pub struct Unsummed {
    /// Whose load is not known, or in no sum for another reason that nobody is told but by asking.
    pub unknown: Vec<Option<Id<Device>>>,
    /// Whose load is known, and hangs on poles of which a finding says that they are wrong.
    pub astray: Vec<Option<Id<Device>>>,
}

/// What hangs on a supply loads those ahead of it, too.
fn behind_supplies(graph: &Graph, of: &mut [Option<Id<Device>>]) {
    let supplies = graph.supplies_behind_first().into_iter();
    for supply in supplies.filter(|_| graph.has_sources()) {
        let source = graph
            .source_of(supply)
            .and_then(|source| graph.supply(source));
        if let (Some(own), Some(source)) = (graph.supply(supply), source)
            && let Some(device) = of[own.index()]
        {
            let known = &mut of[source.index()];
            *known = Some(known.map_or(device, |known| known.min(device)));
        }
    }
}

/// What hangs behind a transfer switch loads the way to its other inlet, too.
fn behind_switches(graph: &Graph, of: &mut [Option<Id<Device>>]) {
    // What hangs behind a switch may load another, and so on.
    let mut has_changed = true;
    while std::mem::take(&mut has_changed) {
        for switch in graph.switches() {
            let behind = switch.behind.clone().filter_map(|at| of[at as usize]);
            let (Some(device), Some(other)) = (behind.min(), switch.other) else {
                continue;
            };
            if of[other.index()].is_none_or(|own| device < own) {
                note(of, graph, other, device);
                has_changed = true;
            }
        }
    }
}

fn note(of: &mut [Option<Id<Device>>], graph: &Graph, id: ElementId, device: Id<Device>) {
    for upper in graph.upwards(id) {
        let first = of[upper.index()].get_or_insert(device);
        *first = device.min(*first);
    }
}

fn device_load(model: Option<&DeviceModel>, device: &Device) -> DeviceLoad {
    let sharing = model
        .and_then(|model| model.sharing.known().copied())
        .unwrap_or(Sharing::Equal);
    let needed = model.map_or(Ok(1), |model| model.inlets_needed.unless_written(1));
    // Of a number that cannot be read the least loads what is left the most.
    let needed = needed.unwrap_or(1).max(1);
    let found = match model {
        Some(model) if says_shares(model).is_err() => Err(Unknown::Shares),
        Some(model) => power(model, device),
        None => Err(Unknown::Model),
    };
    let (power, basis) = match found {
        Ok((power, basis)) => (power, Ok(basis)),
        Err(unknown) => (least(model, device, unknown), Err(unknown)),
    };
    DeviceLoad {
        power,
        basis,
        needed,
        sharing,
    }
}

impl DeviceLoad {
    fn of_nothing(self) -> Self {
        Self {
            power: Complex64::ZERO,
            ..self
        }
    }
}

/// What a load takes at the least that is not known: no power factor makes the current of some watts
/// smaller than 1 does.
fn least(model: Option<&DeviceModel>, device: &Device, unknown: Unknown) -> Complex64 {
    let watts = match (unknown, model) {
        (Unknown::PowerFactor, Some(model)) => {
            let load = device.draw.or_further(&model.rating).given();
            load.and_then(|load| match load.value {
                LoadPower::Active(watts) => Some(watts.in_watts()),
                LoadPower::Apparent(_) | LoadPower::Current(_) => None,
            })
        }
        _ => None,
    };
    let watts = watts.filter(|watts| *watts > 0.0 && watts.is_finite());
    watts.map_or(Complex64::ZERO, |watts| Complex64::new(watts, 0.0))
}

/// Where watts alone bound a current from below: on supplies of which every load hangs between a line and
/// the neutral. There all currents of a line are in phase but for their power factors; a load between
/// lines could be relieved by the unknown part of another.
struct WattsBound {
    /// Supplies with a load between lines.
    mixed: FxHashSet<Id<Supply>>,
}

impl WattsBound {
    fn of(graph: &Graph) -> Self {
        let loads = graph.elements().map(|(id, _)| id);
        let loads = loads.filter(|id| matches!(graph.receiver(*id), Some(Receiver::Inlet(_))));
        let between = loads.filter(|id| !graph.poles(*id).any(|pole| pole == Pole::N));
        Self {
            mixed: between.filter_map(|id| graph.supply_of(id)).collect(),
        }
    }

    /// Whether they do for a device, wherever its load goes.
    fn device(&self, graph: &Graph, device: Id<Device>) -> bool {
        let mut inlets = graph.links.inlets_of(device);
        inlets.all(|(_, inlet)| {
            let supply = graph.feeding(inlet).and_then(|id| graph.supply_of(id));
            supply.is_none_or(|supply| !self.mixed.contains(&supply))
        })
    }
}

fn power(model: &DeviceModel, device: &Device) -> Result<(Complex64, LoadBasis), Unknown> {
    let (load, basis) = match (&device.draw, &model.rating) {
        (Field::Given(draw), _) => (draw.value, LoadBasis::Draw),
        // A draw that cannot be read must not fall back to another figure in silence.
        (Field::Unreadable(_), _) => return Err(Unknown::Power),
        (Field::Absent, rating) => (
            rating.known().copied().ok_or(Unknown::Power)?,
            LoadBasis::Nameplate,
        ),
    };
    complex_power(load, model).map(|power| (power, basis))
}

/// Complex power of a load of a device of this model, in watts and vars.
///
/// # Errors
/// What is missing for it.
pub fn complex_power(load: LoadPower, model: &DeviceModel) -> Result<Complex64, Unknown> {
    let factor = model.power_factor.known().copied();
    if model.power_factor.span().is_some() && factor.is_none() {
        return Err(Unknown::PowerFactor);
    }
    let complex = match load {
        LoadPower::Active(watts) => {
            let factor = factor.ok_or(Unknown::PowerFactor)?;
            at_factor(watts.in_watts() / factor.value(), factor)
        }
        LoadPower::Apparent(apparent) => {
            at_factor(apparent.in_volt_amperes(), factor.unwrap_or(UNITY))
        }
        LoadPower::Current(current) => {
            let range = model.voltage.known().ok_or(Unknown::Voltage)?;
            at_factor(
                current.in_amperes() * range.low.in_volts(),
                factor.unwrap_or(UNITY),
            )
        }
    };
    if complex.re > 0.0 && complex.is_finite() {
        Ok(complex)
    } else {
        Err(Unknown::NotPositive)
    }
}

/// Where volt-amperes or amperes are given, the angle does not change the size of a current.
const UNITY: PowerFactor = PowerFactor::UNITY;

/// Complex power of `apparent` volt-amperes at a lagging power factor.
pub fn at_factor(apparent: f64, factor: PowerFactor) -> Complex64 {
    let cos = factor.value();
    Complex64::new(apparent * cos, apparent * (1.0 - cos * cos).max(0.0).sqrt())
}

/// Whether a model says how its inlets share the load.
///
/// # Errors
/// The share that cannot be read, where there is more than one inlet to share it.
fn says_shares(model: &DeviceModel) -> Result<bool, Span> {
    let inlets = model.inlets.items();
    let shares = inlets.iter().map(|inlet| inlet.share.written());
    let given = shares.map(|share| Ok(share?.is_some()));
    match given.collect::<Result<Vec<bool>, Span>>() {
        Err(at) if inlets.len() > 1 => Err(at),
        given => Ok(given.is_ok_and(|given| given.contains(&true))),
    }
}

/// The shares of all inlets as their models give them; all alike where a model gives none.
fn weights(model: &Model, graph: &Graph) -> Vec<f64> {
    let models = model.device_models.items().iter();
    let give_shares: Vec<bool> = models
        .map(|model| says_shares(&model.item).unwrap_or(false))
        .collect();
    let weight = |inlet: &InletLink| {
        let id = graph.links.device_models[inlet.device.index()]?;
        let inlets = model.device_models[id].inlets.items();
        let share = || inlets[inlet.inlet as usize].share.written().ok()?;
        let share = || share().map_or(0.0, |share| share.value.in_parts_of_one());
        give_shares[id.index()].then(share)
    };
    let inlets = graph.links.inlets.iter();
    inlets.map(|inlet| weight(inlet).unwrap_or(1.0)).collect()
}

fn third_harmonic(model: &Model, graph: &Graph, inlet: &InletLink) -> f64 {
    let device_model = graph.device_model(model, inlet.device);
    device_model
        .and_then(|device_model| device_model.third_harmonic.known())
        .map_or(0.0, |share| share.in_parts_of_one())
}
