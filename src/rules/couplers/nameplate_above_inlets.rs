//! `nameplate-above-inlets`: do the inlets of equipment bear what its nameplate says?
//!
//! The record of the model is judged, at the nominal voltage: what is measured and what moves when
//! something is lost is a matter of each coupler.

mod bearing;
mod lack;
mod plate;
mod told;

use crate::analysis::{Analysis, exceeds};
use crate::finding::Finding;
use crate::model::devices::{Device, DeviceModel};
use crate::model::value::{Id, Named};
use crate::quantity::{Current, InUnits, Voltage, amperes};
use crate::rules::rule;

use super::stress::Stress;
use bearing::Bearing;
use lack::Lack;
use plate::Plate;

rule!(
    "nameplate-above-inlets",
    Couplers,
    Warning,
    "A nameplate above what the inlets bear: one of the two is written wrong, or the inlet overheats at full load."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    // Without a practice no inlet has a rating, which is an error of its own.
    if analysis.practice().is_none() {
        return;
    }
    let models = analysis.model.device_models.iter();
    let doubted = models.filter(|(_, model)| !is_borne_anywhere(analysis, model));
    let doubted: Vec<Id<DeviceModel>> = doubted.map(|(id, _)| id).collect();
    if doubted.is_empty() {
        return;
    }
    let mut users = vec![Vec::new(); analysis.model.device_models.len()];
    for (device, _) in analysis.model.devices.iter() {
        if let Some(model) = analysis.graph.links.device_models[device.index()] {
            users[model.index()].push(device);
        }
    }
    for id in doubted {
        findings.extend(judged(analysis, id, &users[id.index()]));
    }
}

/// The quick answer for many models: borne even at the lowest voltage of the range.
fn is_borne_anywhere(analysis: &Analysis<'_>, model: &Named<DeviceModel>) -> bool {
    let (Ok(plate), Ok(bearing)) = (Plate::of(model), Bearing::of(analysis, model)) else {
        return false;
    };
    let Some(plate) = plate else {
        return true;
    };
    let lowest = model.voltage.known().map(|range| range.low);
    let is_borne = lowest.is_some_and(|low| !exceeds(plate.current_at(low), bearing.current));
    is_borne && !plate.is_least
}

fn judged(analysis: &Analysis<'_>, id: Id<DeviceModel>, users: &[Id<Device>]) -> Option<Finding> {
    let model = &analysis.model.device_models[id];
    match compared(analysis, model, users) {
        Ok(over) => over.map(|over| told::above(analysis, model, &over)),
        Err(lack) => {
            let is_asked = users.iter().any(|user| lack.is_asked_for(analysis, *user));
            (!users.is_empty() && !is_asked).then(|| told::undecided(analysis, model, &lack, users))
        }
    }
}

/// A nameplate that is more than the inlets bear.
struct Over<'a> {
    plate: Plate<'a>,
    bearing: Bearing<'a>,
    /// Where it is the most: at the lowest voltage that a device of the model gets.
    voltage: Voltage,
    current: Current,
    sufferers: Vec<Id<Device>>,
}

/// The nameplate beside the inlets; `None` where they bear it.
///
/// # Errors
/// What is missing to say so.
fn compared<'a>(
    analysis: &Analysis<'a>,
    model: &'a Named<DeviceModel>,
    users: &[Id<Device>],
) -> Result<Option<Over<'a>>, Lack> {
    let Some(plate) = Plate::of(model)? else {
        return Ok(None);
    };
    let bearing = Bearing::of(analysis, model)?;
    let highest = model.voltage.known().map(|range| range.high);
    let at = |user: Id<Device>| volts_of(analysis, model, user);
    let is_over = |voltage: Voltage| exceeds(plate.current_at(voltage), bearing.current);
    let known = users.iter().filter_map(|user| match at(*user) {
        Volts::Known(voltage) => Some((*user, voltage)),
        Volts::Unfit | Volts::Unknown => None,
    });
    let over: Vec<(Id<Device>, Voltage)> = known.filter(|(_, voltage)| is_over(*voltage)).collect();
    let unused = highest.filter(|voltage| users.is_empty() && is_over(*voltage));
    let lowest = over.iter().map(|(_, voltage)| *voltage).chain(unused);
    let lowest = lowest.min_by(|a, b| a.in_volts().total_cmp(&b.in_volts()));
    if let Some(voltage) = lowest {
        if bearing.is_least {
            return Err(Lack::needed(model));
        }
        return Ok(Some(Over {
            current: plate.current_at(voltage),
            plate,
            bearing,
            voltage,
            sufferers: over.into_iter().map(|(user, _)| user).collect(),
        }));
    }
    if plate.is_least {
        return Err(Lack::power_factor(model));
    }
    let is_unknown = users.iter().any(|user| at(*user) == Volts::Unknown);
    match is_unknown {
        false => Ok(None),
        true => Err(Lack::voltage(model)),
    }
}

/// The voltage at which the nameplate of a device counts.
#[derive(Clone, Copy, PartialEq)]
enum Volts {
    Known(Voltage),
    /// It is fed outside its range, which is a fault of its own: its nameplate says nothing of that.
    Unfit,
    /// It is not fed, and its range is not known.
    Unknown,
}

/// The lowest nominal voltage that feeds a device and that it is made for; where nothing feeds it the
/// highest of its range, which is the kinder end.
fn volts_of(analysis: &Analysis<'_>, model: &DeviceModel, device: Id<Device>) -> Volts {
    let range = model.voltage.known();
    let inlets = analysis.graph.links.inlets_of(device);
    let fed = inlets.filter_map(|(_, inlet)| Stress::at(analysis, analysis.graph.feeding(inlet)?));
    let fed: Vec<Voltage> = fed.map(|stress| stress.voltage).collect();
    let is_fit = |voltage: &&Voltage| range.is_none_or(|range| range.holds(**voltage));
    let fit = fed.iter().filter(is_fit);
    match fit.min_by(|a, b| a.in_volts().total_cmp(&b.in_volts())) {
        Some(lowest) => Volts::Known(*lowest),
        None if !fed.is_empty() => Volts::Unfit,
        None => range.map_or(Volts::Unknown, |range| Volts::Known(range.high)),
    }
}

/// Volt-amperes at a voltage, as a current.
fn current_of(apparent: f64, voltage: Voltage) -> Current {
    amperes(apparent / voltage.in_volts())
}
