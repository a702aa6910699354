//! `wrong-feed`: does every inlet that is declared for a feed land on it?

mod told;

use std::collections::BTreeSet;

use crate::finding::Finding;
use crate::graph::{ElementId, InletLink};
use crate::model::circuits::Supply;
use crate::model::value::{Field, Id, Name, Spanned};
use crate::rules::rule;
use crate::survey::Survey;

rule!(
    "wrong-feed",
    Identity,
    Error,
    "An inlet declared for one feed lands on another: the loss or isolation of one feed may take the device down."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    let mut without_feed = BTreeSet::new();
    let mut astray = Vec::new();
    for inlet in &survey.graph.links.inlets {
        let declared = match declared(survey, inlet) {
            Some(Field::Given(feed)) => feed,
            Some(Field::Unreadable(at)) => {
                findings.push(told::unreadable(survey, inlet, *at));
                continue;
            }
            _ => continue,
        };
        let Some((fed_by, supply)) = landing(survey, inlet) else {
            continue;
        };
        match &survey.model.supplies[supply].feed {
            Field::Given(feed) if feed.value == declared.value => {}
            Field::Given(lands_on) => astray.push(Astray {
                inlet,
                fed_by,
                declared,
                lands_on,
            }),
            _ if without_feed.insert(supply) => {
                findings.push(told::no_feed(survey, supply, declared));
            }
            _ => {}
        }
    }
    for of_device in astray.chunk_by(|a, b| a.inlet.device == b.inlet.device) {
        findings.extend(judged(survey, of_device));
    }
}

/// An inlet that lands on another feed than the one it is declared for.
struct Astray<'a> {
    inlet: &'a InletLink,
    /// The cord or leg that feeds it.
    fed_by: ElementId,
    declared: &'a Spanned<Name>,
    lands_on: &'a Spanned<Name>,
}

impl Astray<'_> {
    /// Whether the other one has the same fault the other way round.
    fn is_swapped_with(&self, other: &Self) -> bool {
        self.declared.value == other.lands_on.value && self.lands_on.value == other.declared.value
    }
}

/// The inlets of one device: two that are swapped are one fault.
fn judged(survey: &Survey<'_>, of_device: &[Astray<'_>]) -> Vec<Finding> {
    let mut findings = Vec::new();
    let mut rest: Vec<&Astray<'_>> = of_device.iter().rev().collect();
    while let Some(first) = rest.pop() {
        let partner = rest.iter().rposition(|other| first.is_swapped_with(other));
        findings.push(match partner {
            Some(at) => {
                let mut both = [first, rest.remove(at)];
                both.sort_by_key(|astray| astray.fed_by);
                told::swapped(survey, both)
            }
            None => told::astray(survey, first),
        });
    }
    findings
}

/// The feed that an inlet is declared for: the device's own word before its model's.
fn declared<'a>(survey: &Survey<'a>, inlet: &InletLink) -> Option<&'a Field<Name>> {
    let device = &survey.model.devices[inlet.device];
    let model = survey.graph.device_model(survey.model, inlet.device)?;
    let of_model = model.inlets.items().get(inlet.inlet as usize)?;
    let own = device.item.inlets.named(&of_model.name.value);
    let own = own.map(|(_, own)| &own.feed).filter(|own| !own.is_absent());
    Some(own.unwrap_or(&of_model.feed))
}

/// The cord or leg that feeds an inlet, and the supply at its head.
fn landing(survey: &Survey<'_>, inlet: &InletLink) -> Option<(ElementId, Id<Supply>)> {
    let fed_by = survey.graph.feeding(inlet)?;
    Some((fed_by, survey.graph.supply_of(fed_by)?))
}
