//! The electrical path of a thing, hop by hop: what `cordwright trace` shows.

use crate::graph::{ElementId, ElementKind, InletLink};
use crate::model::circuits::Pole;
use crate::model::devices::Device;
use crate::model::value::Id;
use crate::quantity::{ApparentPower, Current, InUnits, Voltage, amperes};
use crate::survey::Survey;

/// The paths of one thing.
#[derive(Clone, Debug)]
pub struct Trace {
    /// What was asked for: `device tide-01`.
    pub title: String,
    /// One for each inlet of a device; one alone for everything else.
    pub paths: Vec<Path>,
}

/// One way from a supply down.
#[derive(Clone, Debug)]
pub struct Path {
    /// The inlet, or what the path leads to.
    pub name: String,
    /// From the supply down; then, below a circuit or PDU, what hangs on it.
    pub hops: Vec<Hop>,
    /// Why there is no path, if there is none.
    pub unfed: Option<String>,
}

/// One element of a path.
#[derive(Clone, Debug)]
pub struct Hop {
    /// `cord W-0412`.
    pub what: String,
    /// How many hops above it belong to the same branch: the hop is drawn that much further in.
    pub depth: usize,
    /// Its poles.
    pub poles: Vec<Pole>,
    /// Largest line current in the normal state.
    pub normal: Option<Current>,
    /// Largest line current of all states.
    pub worst: Option<Current>,
    /// What makes the worst: `when circuit B-1 is lost`.
    pub when: String,
    /// What limits it.
    pub limit: Option<HopLimit>,
    /// Whether some limit could not be said.
    pub limit_unknown: bool,
    /// Voltage at its far end in the normal state, for a two-pole element.
    pub voltage: Option<Voltage>,
    /// Largest apparent power and what a supply can carry.
    pub power: Option<(ApparentPower, Option<ApparentPower>)>,
    /// A device below whose load is not known: the currents are then too low.
    pub unknown: Option<String>,
}

/// The limit that is reached first.
#[derive(Clone, Debug)]
pub struct HopLimit {
    /// `connector`, `breaker`.
    pub what: &'static str,
    /// Its value.
    pub current: Current,
    /// Where it comes from.
    pub basis: Vec<String>,
}

impl Hop {
    /// What is left up to the limit in the worst case; negative if it is passed.
    pub fn margin(&self) -> Option<Current> {
        Some(amperes(
            self.limit.as_ref()?.current.in_amperes() - self.worst?.in_amperes(),
        ))
    }
}

/// Traces a thing by its name: a device, `device/inlet`, cord, PDU, circuit or supply.
pub fn trace(survey: &Survey<'_>, name: &str) -> Option<Trace> {
    let model = survey.model;
    if let Some(device) = model.devices.find(name) {
        return Some(of_device(survey, device, None));
    }
    if let Some((device, inlet)) = name.rsplit_once('/')
        && let Some(device) = model.devices.find(device)
    {
        return Some(of_device(survey, device, Some(inlet)));
    }
    let element = |id: Option<ElementId>, title: String| Some(of_element(survey, id, title));
    if let Some(cord) = model.cords.find(name) {
        return element(survey.graph.cord(cord), format!("cord {name}"));
    }
    if let Some(pdu) = model.pdus.find(name) {
        return element(survey.graph.pdu(pdu), format!("PDU {name}"));
    }
    if let Some(circuit) = model.circuits.find(name) {
        return element(survey.graph.circuit(circuit), format!("circuit {name}"));
    }
    model
        .supplies
        .find(name)
        .and_then(|supply| element(survey.graph.supply(supply), format!("supply {name}")))
}

/// Every name that can be traced.
pub fn names<'a>(survey: &Survey<'a>) -> impl Iterator<Item = &'a str> + Clone {
    let model = survey.model;
    let loads = model.devices.names().chain(model.cords.names());
    let above = model.pdus.names().chain(model.circuits.names());
    let all = loads.chain(above).chain(model.supplies.names());
    all.map(|name| name.value.as_str())
}

fn of_device(survey: &Survey<'_>, device: Id<Device>, only: Option<&str>) -> Trace {
    let name = &survey.model.devices[device].name.value;
    let inlets = survey.graph.links.inlets_of(device).map(|(_, link)| link);
    let paths = inlets.map(|link| of_inlet(survey, link));
    let wanted = |path: &Path| only.is_none_or(|inlet| path.name == format!("{name}/{inlet}"));
    Trace {
        title: format!("device {name}"),
        paths: paths.filter(wanted).collect(),
    }
}

fn of_inlet(survey: &Survey<'_>, link: &InletLink) -> Path {
    let name = survey.inlet_name(link).to_string();
    match survey.graph.feeding(link) {
        Some(id) => Path {
            name,
            hops: down_to(survey, id),
            unfed: None,
        },
        None => Path {
            name,
            hops: Vec::new(),
            unfed: Some("nothing that hangs on a supply feeds it".into()),
        },
    }
}

fn of_element(survey: &Survey<'_>, id: Option<ElementId>, title: String) -> Trace {
    let Some(id) = id else {
        let unfed = Some("no supply feeds it".into());
        return Trace {
            paths: vec![Path {
                name: title.clone(),
                hops: Vec::new(),
                unfed,
            }],
            title,
        };
    };
    let mut hops = down_to(survey, id);
    hops.extend(survey.graph.below(id).skip(1).map(|below| {
        let below = ElementId(below);
        hop(survey, below, survey.graph.upwards(below).count() - 1)
    }));
    Trace {
        paths: vec![Path {
            name: title.clone(),
            hops,
            unfed: None,
        }],
        title,
    }
}

fn down_to(survey: &Survey<'_>, id: ElementId) -> Vec<Hop> {
    survey
        .graph
        .path(id)
        .into_iter()
        .enumerate()
        .map(|(depth, id)| hop(survey, id, depth))
        .collect()
}

fn hop(survey: &Survey<'_>, id: ElementId, depth: usize) -> Hop {
    let (graph, flows) = (survey.graph, survey.flows);
    let worst = flows.worst(graph, id);
    let (limit, limit_unknown) = survey.lowest_limit(id);
    let power = match graph.kind(id) {
        ElementKind::Supply(supply) => Some((
            flows.worst_power(supply).0,
            survey.model.supplies[supply].capacity.copied(),
        )),
        _ => None,
    };
    Hop {
        what: survey.describe(id),
        depth,
        poles: graph.poles(id).collect(),
        normal: flows.normal(graph, id).map(|normal| normal.current),
        worst: worst.map(|worst| worst.current),
        when: survey.when(worst.and_then(|worst| worst.lost)),
        limit: limit.map(|(limit, current)| HopLimit {
            what: limit.what,
            current,
            basis: limit
                .rating
                .basis()
                .iter()
                .map(ToString::to_string)
                .collect(),
        }),
        limit_unknown,
        voltage: flows.voltage(graph, id),
        power,
        unknown: flows
            .unknown_below(id)
            .map(|device| survey.model.devices[device].name.value.to_string()),
    }
}
