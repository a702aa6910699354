//! The path as JSON, by a schema of its own: numbers in the unit that their key names.

use serde::Serialize;

use crate::ink::{Json, Written};
use crate::quantity::InUnits;
use crate::report::CAUTION;
use crate::trace::{Hop, Trace};

#[derive(Serialize)]
struct Wire<'a> {
    schema: u32,
    caution: &'a str,
    traces: Vec<WireTrace<'a>>,
}

#[derive(Serialize)]
struct WireTrace<'a> {
    title: &'a str,
    paths: Vec<WirePath<'a>>,
}

#[derive(Serialize)]
struct WirePath<'a> {
    name: &'a str,
    unfed: Option<&'a str>,
    hops: Vec<WireHop<'a>>,
}

#[derive(Serialize)]
struct WireHop<'a> {
    what: &'a str,
    depth: usize,
    poles: Vec<&'a str>,
    normal_amperes: Option<f64>,
    worst_amperes: Option<f64>,
    worst: &'a str,
    limit_amperes: Option<f64>,
    limit: Option<&'a str>,
    limit_basis: &'a [String],
    limit_unknown: bool,
    margin_amperes: Option<f64>,
    volts: Option<f64>,
    worst_volt_amperes: Option<f64>,
    capacity_volt_amperes: Option<f64>,
    unknown_load: Option<&'a str>,
}

/// All paths as one document.
pub(super) fn shown(traces: &[Trace]) -> Written<Json> {
    let traces = traces.iter().map(trace).collect();
    let wire = Wire {
        schema: 1,
        caution: CAUTION,
        traces,
    };
    Written::document(&wire)
}

fn trace(trace: &Trace) -> WireTrace<'_> {
    let paths = trace.paths.iter().map(|path| WirePath {
        name: &path.name,
        unfed: path.unfed.as_deref(),
        hops: path.hops.iter().map(hop).collect(),
    });
    WireTrace {
        title: &trace.title,
        paths: paths.collect(),
    }
}

fn hop(hop: &Hop) -> WireHop<'_> {
    WireHop {
        what: &hop.what,
        depth: hop.depth,
        poles: hop.poles.iter().map(|pole| pole.word()).collect(),
        normal_amperes: hop.normal.map(|current| rounded(current.in_amperes())),
        worst_amperes: hop.worst.map(|current| rounded(current.in_amperes())),
        worst: &hop.when,
        limit_amperes: hop
            .limit
            .as_ref()
            .map(|limit| rounded(limit.current.in_amperes())),
        limit: hop.limit.as_ref().map(|limit| limit.what),
        limit_basis: hop.limit.as_ref().map_or(&[], |limit| &limit.basis),
        limit_unknown: hop.limit_unknown,
        margin_amperes: hop.margin().map(|current| rounded(current.in_amperes())),
        volts: hop.voltage.map(|voltage| rounded(voltage.in_volts())),
        worst_volt_amperes: hop.power.map(|(power, _)| rounded(power.in_volt_amperes())),
        capacity_volt_amperes: hop
            .power
            .and_then(|(_, capacity)| capacity)
            .map(|capacity| rounded(capacity.in_volt_amperes())),
        unknown_load: hop.unknown.as_deref(),
    }
}

/// To a millionth: below what the sweep settles to, digits are noise.
fn rounded(value: f64) -> f64 {
    (value * 1e6).round() / 1e6
}
