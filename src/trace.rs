//! The electrical path of a thing, hop by hop: what `cordwright trace` shows.

pub(crate) mod deck;

use crate::analysis::{Analysis, Delivery, Limit, Standing, Stands};
use crate::graph::{ElementId, ElementKind};
use crate::ink::short;
use crate::model::circuits::Pole;
use crate::model::devices::Device;
use crate::model::value::Id;
use crate::quantity::{Quantity, Voltage};
use crate::tables::words::Words;

/// The paths of one thing.
#[derive(Clone, Debug)]
pub struct Trace {
    /// What was asked for: `device tide-01`.
    pub title: String,
    /// One for each inlet of a device; one alone for everything else.
    pub paths: Vec<Path>,
    /// What of the site is in no sum, as a sentence.
    pub in_no_sum: Option<String>,
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
    /// Its lines together beside its lowest limit.
    pub standing: Standing,
    /// What makes the worst: `when circuit B-1 is lost`.
    pub when: String,
    /// Each of its poles by itself.
    pub poles: Vec<OnPole>,
    /// What the check would say of it: of a line, the neutral, or a supply as a whole.
    pub stands: Stands,
    /// Voltage at its far end in the normal state, for a two-pole element.
    pub voltage: Option<Voltage>,
    /// The lowest that it has there over all losses, and in which: `when circuit B-1 is lost`.
    pub lowest: Option<(Voltage, String)>,
    /// What a supply delivers.
    pub delivery: Option<Delivery>,
    /// A device below whose load is not known: the currents are then too low.
    pub unknown: Option<String>,
    /// What things are called at its site.
    pub words: &'static Words,
}

/// A pole of an element.
#[derive(Clone, Debug)]
pub struct OnPole {
    /// Which.
    pub pole: Pole,
    /// Its current beside what bounds it.
    pub standing: Standing,
    /// What makes its worst: `when circuit B-1 is lost`.
    pub when: String,
}

impl Hop {
    /// What people read of its limits: the lowest, those that are passed, and what cannot be told.
    pub fn said_of_limits(&self) -> Vec<String> {
        let Standing {
            limit,
            passed,
            untold,
            ..
        } = &self.standing;
        let mut said = Vec::new();
        let sources = |limit: &Limit| {
            let basis: Vec<String> = limit.basis.iter().map(ToString::to_string).collect();
            basis.join("; ")
        };
        if let Some(limit) = limit {
            let is = match passed {
                Some(_) => "ABOVE ITS LIMIT",
                None => "limit",
            };
            said.push(format!(
                "{is}: {}, {}",
                limit.said_in(self.words),
                sources(limit)
            ));
        }
        let lowest = limit.as_ref().map(|limit| limit.current);
        if let Some(graver) = passed
            .as_ref()
            .filter(|passed| Some(passed.current) != lowest)
        {
            let (words, most) = (graver.said_in(self.words), graver.current.show());
            said.push(format!(
                "above {words}, {most} as well: {}",
                sources(graver)
            ));
        }
        let neutral = self.poles.iter().filter(|on| on.pole == Pole::N);
        for on in neutral.filter(|_| self.poles.len() > 2) {
            if let Some(limit) = &on.standing.passed {
                let most = limit.current.show();
                said.push(format!(
                    "NEUTRAL ABOVE ITS LIMIT: {}, {most}",
                    limit.said_in(self.words)
                ));
            }
        }
        if let Some(pole) = self
            .delivery
            .as_ref()
            .and_then(|delivery| delivery.line_above)
        {
            let pole = pole.word();
            said.push(format!("{pole} ABOVE ITS PART OF THE CAPACITY"));
        }
        said.extend(untold.iter().map(|untold| format!("not decided: {untold}")));
        if let Some(device) = &self.unknown {
            let device = short(device);
            said.push(format!(
                "not decided: the load of {device} is not known, so the currents are too low"
            ));
        }
        said
    }
}

/// Traces a thing by its name: a device, `device/inlet`, cord, PDU, circuit or supply.
pub fn trace(analysis: &Analysis<'_>, name: &str) -> Option<Trace> {
    let Asked {
        title,
        is_device,
        ends,
    } = asked(analysis, name)?;
    let path = |end: End| match (end.element, is_device) {
        (Some(id), true) => Path::along(end.name, down_to(analysis, id)),
        (Some(id), false) => Path::along(end.name, through(analysis, id)),
        (None, _) => Path {
            name: end.name,
            hops: Vec::new(),
            unfed: Some(unfed(is_device).into()),
        },
    };
    Some(Trace {
        title,
        paths: ends.into_iter().map(path).collect(),
        in_no_sum: analysis.unfed().words(),
    })
}

/// Why there is no path.
fn unfed(is_device: bool) -> &'static str {
    match is_device {
        true => "nothing that hangs on a supply feeds it",
        false => "no supply feeds it",
    }
}

impl Path {
    fn along(name: String, hops: Vec<Hop>) -> Self {
        Self {
            name,
            hops,
            unfed: None,
        }
    }
}

/// What was asked for.
struct Asked {
    /// `device tide-01`.
    title: String,
    is_device: bool,
    /// Of a device each of its inlets; of everything else the thing itself.
    ends: Vec<End>,
}

/// Where a path ends.
struct End {
    /// The inlet, or the thing.
    name: String,
    /// What feeds the inlet, or the thing itself; `None` where it hangs on no supply.
    element: Option<ElementId>,
}

/// Finds a thing by its name.
fn asked(analysis: &Analysis<'_>, name: &str) -> Option<Asked> {
    let model = analysis.model;
    if let Some(device) = model.devices.find(name) {
        return Some(of_device(analysis, device, None));
    }
    if let Some((device, inlet)) = name.rsplit_once('/')
        && let Some(device) = model.devices.find(device)
    {
        return Some(of_device(analysis, device, Some(inlet)));
    }
    let element = |element: Option<ElementId>, title: String| {
        Some(Asked {
            is_device: false,
            ends: vec![End {
                name: title.clone(),
                element,
            }],
            title,
        })
    };
    if let Some(cord) = model.cords.find(name) {
        return element(analysis.graph.cord(cord), format!("cord {name}"));
    }
    if let Some(pdu) = model.pdus.find(name) {
        return element(analysis.graph.pdu(pdu), format!("PDU {name}"));
    }
    if let Some(circuit) = model.circuits.find(name) {
        return element(analysis.graph.circuit(circuit), format!("circuit {name}"));
    }
    model
        .supplies
        .find(name)
        .and_then(|supply| element(analysis.graph.supply(supply), format!("supply {name}")))
}

/// Every name that can be traced.
pub fn names<'a>(analysis: &Analysis<'a>) -> impl Iterator<Item = &'a str> + Clone {
    let model = analysis.model;
    let loads = model.devices.names().chain(model.cords.names());
    let above = model.pdus.names().chain(model.circuits.names());
    let all = loads.chain(above).chain(model.supplies.names());
    all.map(|name| name.value.as_str())
}

fn of_device(analysis: &Analysis<'_>, device: Id<Device>, only: Option<&str>) -> Asked {
    let name = &analysis.model.devices[device].name.value;
    let inlets = analysis.graph.links.inlets_of(device);
    let ends = inlets.map(|(_, link)| End {
        name: analysis.inlet_name(link).to_string(),
        element: analysis.graph.feeding(link),
    });
    let wanted = |end: &End| only.is_none_or(|inlet| end.name == format!("{name}/{inlet}"));
    Asked {
        title: format!("device {name}"),
        is_device: true,
        ends: ends.filter(wanted).collect(),
    }
}

/// From the supply down to an element, and all that hangs on it.
fn through(analysis: &Analysis<'_>, id: ElementId) -> Vec<Hop> {
    let graph = analysis.graph;
    let ahead = graph.sources_above(id).count();
    let below = graph.below(id).skip(1).map(|below| {
        let below = ElementId(below);
        hop(analysis, below, ahead + graph.upwards(below).count() - 1)
    });
    let mut hops = down_to(analysis, id);
    hops.extend(below);
    // Of supplies that are fed from one, only what they deliver: each is traced by its own name.
    if let ElementKind::Supply(supply) = graph.kind(id) {
        let behind = graph.behind(supply).iter();
        let behind = behind.filter_map(|behind| graph.supply(*behind));
        hops.extend(behind.map(|behind| hop(analysis, behind, ahead + 1)));
    }
    hops
}

fn down_to(analysis: &Analysis<'_>, id: ElementId) -> Vec<Hop> {
    let mut path: Vec<ElementId> = analysis.graph.sources_above(id).collect();
    path.reverse();
    path.extend(analysis.graph.path(id));
    let hops = path.into_iter().enumerate().map(|(depth, at)| {
        let mut hop = hop(analysis, at, depth);
        // On the way the power goes on through the device that a cord feeds.
        if let Some(device) = analysis.device_fed_by(at).filter(|_| at != id) {
            let name = &analysis.model.devices[device].name.value;
            hop.what = format!("{} and device {name}", hop.what);
        }
        hop
    });
    hops.collect()
}

fn hop(analysis: &Analysis<'_>, id: ElementId, depth: usize) -> Hop {
    let (graph, flows) = (analysis.graph, analysis.flows);
    let when = |standing: &Standing| analysis.when(standing.worst.and_then(|worst| worst.lost));
    let held = analysis.held(id);
    let poles = graph.poles(id).map(|pole| {
        let standing = held.on(pole);
        let when = when(&standing);
        OnPole {
            pole,
            standing,
            when,
        }
    });
    let standing = held.lines();
    let delivery = analysis.delivery(id);
    let stands = match (&delivery, held.is_above()) {
        (_, true) => Stands::Above,
        (Some(delivery), false) => delivery.stands(),
        (None, false) => standing.stands(),
    };
    let lowest = flows.lowest_voltage(graph, id);
    let unknown = flows.unsummed_below(id);
    let unknown = unknown.map(|device| analysis.model.devices[device].name.value.to_string());
    Hop {
        what: analysis.describe(id),
        depth,
        when: when(&standing),
        standing,
        poles: poles.collect(),
        stands,
        voltage: flows.voltage(graph, id),
        lowest: lowest.map(|(voltage, lost)| (voltage, analysis.when(lost))),
        delivery,
        unknown,
        words: analysis.words(),
    }
}
