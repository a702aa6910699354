//! `transfer-too-slow`: does what hangs behind a transfer switch run on while that goes over?

mod words;

use std::collections::BTreeSet;

use crate::analysis::Analysis;
use crate::finding::Finding;
use crate::graph::{Dead, ElementId, Switch};
use crate::model::devices::{Device, DeviceModel};
use crate::model::value::{Id, Named, Spanned};
use crate::quantity::{InUnits, Time};
use crate::rules::rule;
use crate::rules::told_once::ToldOnce;
use crate::source::Span;

rule!(
    "transfer-too-slow",
    Circuits,
    Error,
    "Equipment that rides through a shorter gap than its transfer switch makes: it stops although the other feed is live."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let mut open: ToldOnce<Span> = ToldOnce::default();
    let switches = analysis.graph.switches().iter();
    // One that stands on its other inlet is there because the first is dead: what it loses then is a second loss.
    let is_usual = |switch: &&Switch| !analysis.graph.is_turned() || switch.turned().is_some();
    let switches = switches.filter(is_usual);
    for switch in switches.filter(|switch| switch.is_by_itself() && switch.other.is_some()) {
        let Some(model) = model_of(analysis, switch.device) else {
            continue;
        };
        for device in behind(analysis, switch) {
            let name = analysis.model.devices[device].name.value.clone();
            let Some(of) = model_of(analysis, device) else {
                continue;
            };
            let Some(time) = transfer_time(model) else {
                let told = open.tell(model.name.span, || {
                    words::time_missing(analysis, switch, model)
                });
                told.suffered_by([name]);
                continue;
            };
            match of.ride_through.known() {
                None => {
                    let told = open.tell(of.name.span, || {
                        words::ride_through_missing(of, model, time)
                    });
                    told.suffered_by([name]);
                }
                Some(rides) if rides.in_seconds() < time.value.in_seconds() => {
                    findings.push(words::finding(analysis, switch, (device, of), time));
                }
                Some(_) => {}
            }
        }
    }
    findings.extend(open.findings());
}

/// The longest gap that a model of transfer switches states.
fn transfer_time(model: &Named<DeviceModel>) -> Option<&Spanned<Time>> {
    let transfer = model.transfer.written().ok()??;
    transfer.value.time.given()
}

fn model_of<'a>(analysis: &Analysis<'a>, device: Id<Device>) -> Option<&'a Named<DeviceModel>> {
    let model = analysis.graph.links.device_models[device.index()]?;
    Some(&analysis.model.device_models[model])
}

/// The devices behind a switch that do not stay up on other inlets while it goes over: after one of the losses that
/// make it do so, too few of those are fed without a gap.
fn behind(analysis: &Analysis<'_>, switch: &Switch) -> BTreeSet<Id<Device>> {
    let graph = analysis.graph;
    let elements = switch.behind.clone().map(ElementId);
    let devices: BTreeSet<Id<Device>> = elements
        .filter_map(|id| analysis.device_fed_by(id))
        .collect();
    let losses: Vec<Dead> = graph
        .cuts_of(switch.on)
        .map(|loss| graph.dead_after(loss))
        .collect();
    let hangs_there = |device: &Id<Device>| {
        let inlets = graph.links.inlets_of(*device);
        let fed = inlets.filter_map(|(_, inlet)| graph.feeding(inlet));
        let elsewhere: Vec<ElementId> = fed.filter(|id| !switch.behind.contains(&id.0)).collect();
        let needed = analysis.flows.loads.device(*device).needed as usize;
        let stops = |dead: &Dead| {
            let stay = elsewhere.iter().filter(|id| !dead.cuts_off(graph, **id));
            stay.count() < needed
        };
        losses.iter().any(stops)
    };
    devices.into_iter().filter(hangs_there).collect()
}
