//! Equipment that gives no third harmonic: where as much as such equipment can make would overload the
//! neutral, nobody can say that it is not.

use std::collections::BTreeMap;

use crate::analysis::{Analysis, Limit, exceeds, place};
use crate::citation::Cited;
use crate::finding::{Fact, Finding};
use crate::flow::Worst;
use crate::graph::{ElementId, Loss};
use crate::model::circuits::Pole;
use crate::model::devices::{Device, DeviceModel};
use crate::model::value::Id;
use crate::quantity::{Current, InUnits, Quantity, Ratio, amperes};
use crate::rules::Draft;
use crate::rules::circuits::contribution::{lowest, taps};
use crate::tables::constants;

use super::RULE;

/// Neutrals that stay open, by the model that gives no third harmonic.
pub(super) struct Silent {
    /// The largest share that the current of such equipment can have.
    most: Cited<Ratio>,
    doubts: BTreeMap<Id<DeviceModel>, Vec<Doubt>>,
}

struct Doubt {
    neutral_of: ElementId,
    known: Current,
    at_most: Current,
    may: Current,
    /// Those of the model that hang on the neutral.
    devices: Vec<Id<Device>>,
}

impl Silent {
    /// None yet; `None` where every model gives its share, so that there is nothing to look for.
    pub fn of(analysis: &Analysis<'_>) -> Option<Self> {
        let mut models = analysis.model.device_models.items().iter();
        models
            .any(|model| model.third_harmonic.known().is_none())
            .then_some(())?;
        Some(Self {
            most: constants::largest_third_harmonic()?,
            doubts: BTreeMap::new(),
        })
    }

    /// Adds a neutral that is not overloaded by what is known, if it may be by what is not.
    pub fn add(&mut self, analysis: &Analysis<'_>, worst: &Worst, id: ElementId, bound: &Limit) {
        let utmost = worst.current.in_amperes().hypot(self.utmost(analysis, id));
        if !exceeds(amperes(utmost), bound.current) {
            return;
        }
        // The neutral is loaded most where the lines are unequal, its harmonics where they are full.
        let fullest = analysis.flows.worst(analysis.graph, id);
        let mut states = vec![None, worst.lost, fullest.and_then(|fullest| fullest.lost)];
        states.sort_unstable();
        states.dedup();
        let thirds = states
            .into_iter()
            .map(|lost| Thirds::of(analysis, id, lost, self.most.value));
        let Some(thirds) = thirds.reduce(|a, b| if b.total() > a.total() { b } else { a }) else {
            return;
        };
        let at_most = thirds.at_most(worst.current);
        if thirds.silent.is_empty() || !exceeds(at_most, bound.current) {
            return;
        }
        for alike in thirds.silent.chunk_by(|a, b| a.0 == b.0) {
            self.doubts.entry(alike[0].0).or_default().push(Doubt {
                neutral_of: id,
                known: worst.current,
                at_most,
                may: bound.current,
                devices: alike.iter().map(|(_, device)| *device).collect(),
            });
        }
    }

    /// More than third harmonics can come to in any state, in amperes: every inlet takes all that its
    /// device needs.
    fn utmost(&self, analysis: &Analysis<'_>, id: ElementId) -> f64 {
        let (graph, loads) = (analysis.graph, &analysis.flows.loads);
        let most = self.most.value.in_parts_of_one();
        let of_inlet = |element: ElementId| {
            let device = analysis.device_fed_by(element)?;
            let model = graph.device_model(analysis.model, device)?;
            let share = model.third_harmonic.known();
            let share = share.map_or(most, |share| share.in_parts_of_one());
            let volts = analysis.flows.nominal_voltage(graph, element)?.in_volts();
            Some(loads.device(device).power.norm_sqr().sqrt() * share / volts)
        };
        let below = graph.below(id).map(ElementId);
        below.filter_map(of_inlet).sum::<f64>() / lowest(analysis)
    }

    /// One open point for each model.
    pub fn findings(self, analysis: &Analysis<'_>) -> Vec<Finding> {
        let models = self.doubts.into_iter();
        models
            .filter_map(|(model, doubts)| finding(analysis, model, &doubts, &self.most))
            .collect()
    }
}

/// Third harmonics on a neutral in one state of the site, in amperes; those of all lines are in phase.
struct Thirds {
    known: f64,
    unknown: f64,
    /// The devices that give no share, by their models.
    silent: Vec<(Id<DeviceModel>, Id<Device>)>,
}

impl Thirds {
    fn of(analysis: &Analysis<'_>, id: ElementId, lost: Option<Loss>, most: Ratio) -> Self {
        let mut thirds = Self {
            known: 0.0,
            unknown: 0.0,
            silent: Vec::new(),
        };
        let taps = taps(analysis, id, lost).into_iter();
        for tap in taps.filter(|tap| tap.poles.0 == Pole::N || tap.poles.1 == Pole::N) {
            let Some(model) = analysis.graph.links.device_models[tap.device.index()] else {
                continue;
            };
            match analysis.model.device_models[model].third_harmonic.known() {
                Some(share) => thirds.known += tap.amperes() * share.in_parts_of_one(),
                None => {
                    thirds.unknown += tap.amperes() * most.in_parts_of_one();
                    thirds.silent.push((model, tap.device));
                }
            }
        }
        thirds.silent.sort_unstable();
        thirds.silent.dedup();
        thirds
    }

    fn total(&self) -> f64 {
        self.known + self.unknown
    }

    /// The neutral with all of them, whose known current has the known ones in it.
    fn at_most(&self, known: Current) -> Current {
        let known = known.in_amperes();
        let fundamental = (known * known - self.known * self.known).max(0.0).sqrt();
        amperes(fundamental.hypot(self.total()))
    }
}

fn finding(
    analysis: &Analysis<'_>,
    model: Id<DeviceModel>,
    doubts: &[Doubt],
    most: &Cited<Ratio>,
) -> Option<Finding> {
    let first = doubts.first()?;
    let name = &analysis.model.device_models[model].name;
    let more = match doubts.len() - 1 {
        0 => String::new(),
        more => format!(" (and {more} more)"),
    };
    let what = analysis.describe(first.neutral_of);
    let headline = format!(
        "is the neutral of {what}{more} overloaded? Missing: how much third harmonic device model {} makes (its maker knows)",
        name.value
    );
    let devices = doubts.iter().flat_map(|doubt| &doubt.devices);
    let devices = devices.map(|&device| analysis.model.devices[device].name.value.clone());
    let working = [
        format!("known without it: {} on the neutral", first.known.show()),
        format!(
            "with {} of the current of all that gives none: up to {}; it may carry {}",
            most.value.show(),
            first.at_most.show(),
            first.may.show()
        ),
    ];
    let named = place(analysis.name(first.neutral_of).span, what);
    let kind = &analysis.model.device_models[model];
    let fact = Fact::of(kind, "third-harmonic", Some(&kind.third_harmonic));
    Some(
        Draft::new(
            &RULE,
            headline,
            name.span,
            "not decided: the third harmonic is missing",
            most.citation.clone(),
        )
        .above([named])
        .working(working)
        .about([name.value.clone()])
        .suffered_by(devices)
        .kind("third-harmonic-missing")
        .advice("Power supplies draw current in pulses, and part of that (the third harmonic) adds up in the neutral. Ask the maker for it, in percent of the current at the load it runs at, and write it as `third-harmonic` of the model.")
        .wants([fact])
        .finish(),
    )
}
