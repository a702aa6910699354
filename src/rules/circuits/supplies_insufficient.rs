//! `supplies-insufficient`: can the power supplies that are left after a loss carry the device?

mod words;

use crate::finding::Finding;
use crate::model::devices::{Device, DeviceModel};
use crate::model::value::{Id, Named};
use crate::quantity::InUnits;
use crate::rules::rule;
use crate::survey::Survey;

use super::redundancy::{Claim, FedInlet, Loss, fed_inlets, losses_of};

rule!(
    "supplies-insufficient",
    Circuits,
    Error,
    "The power supplies left after a loss cannot carry the device: it goes down though it was meant to live on."
);

/// Absorbs the rounding of a sum.
const SAME: f64 = 1e-9;

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    let mut fed = Vec::new();
    let mut asked = vec![false; survey.model.device_models.len()];
    for (device, item) in survey.model.devices.iter() {
        let Some(model) = survey.graph.links.device_models[device.index()] else {
            continue;
        };
        fed_inlets(survey, device, &mut fed);
        let case = Case {
            survey,
            device,
            item,
            model: &survey.model.device_models[model],
            claim: Claim::of(survey, device, &fed),
            fed: &fed,
        };
        match case.judge() {
            Judged::Fine => {}
            Judged::Fails(finding) => findings.push(*finding),
            // What a model lacks is said once, not for every device of it.
            Judged::ModelLacks(finding) if !asked[model.index()] => {
                asked[model.index()] = true;
                findings.push(*finding);
            }
            Judged::ModelLacks(_) => {}
        }
    }
}

enum Judged {
    Fine,
    Fails(Box<Finding>),
    ModelLacks(Box<Finding>),
}

struct Case<'a> {
    survey: &'a Survey<'a>,
    device: Id<Device>,
    item: &'a Named<Device>,
    model: &'a Named<DeviceModel>,
    claim: Claim,
    fed: &'a [FedInlet],
}

/// What is left to a device after a loss.
struct Remains<'a> {
    loss: Loss<'a>,
    left: Vec<FedInlet>,
}

impl Case<'_> {
    fn judge(&self) -> Judged {
        let needed = self.claim.needed.unwrap_or(1);
        if !self.fed.is_empty() && self.fed.len() < needed {
            return Judged::Fails(Box::new(self.short_from_the_start(needed)));
        }
        let is_critical = self.item.critical.get().is_some_and(|critical| critical.0);
        if self.fed.len() < 2 || !(self.claim.is_redundant() || is_critical) {
            return Judged::Fine;
        }
        let remains = self.remains();
        let short: Vec<&Remains<'_>> = remains
            .iter()
            .filter(|remains| remains.left.len() < needed)
            .collect();
        if let Some(first) = short.first() {
            return Judged::Fails(Box::new(self.too_few(needed, first, &short)));
        }
        if self.gives_capacity() {
            return self.by_capacity(&remains);
        }
        if self.claim.needed.is_none() {
            return Judged::ModelLacks(Box::new(self.need_missing()));
        }
        Judged::Fine
    }

    /// The greatest losses that leave anything, each with what it leaves. What leaves nothing at all
    /// is a shared feed, and not a matter of numbers; what is lost with less is lost here too.
    fn remains(&self) -> Vec<Remains<'_>> {
        let survey = self.survey;
        let takes_all = |loss: Loss<'_>| self.fed.iter().all(|inlet| loss.takes(survey, inlet.by));
        let mut remains: Vec<Remains<'_>> = Vec::new();
        for inlet in self.fed {
            let greatest = losses_of(survey, inlet.by)
                .take_while(|loss| !takes_all(*loss))
                .last();
            let Some(loss) = greatest.filter(|loss| remains.iter().all(|seen| seen.loss != *loss))
            else {
                continue;
            };
            let left = self
                .fed
                .iter()
                .filter(|inlet| !loss.takes(survey, inlet.by));
            remains.push(Remains {
                loss,
                left: left.copied().collect(),
            });
        }
        remains
    }

    fn gives_capacity(&self) -> bool {
        let mut inlets = self.model.inlets.items().iter();
        inlets.any(|inlet| inlet.capacity.get().is_some())
    }

    fn capacity(&self, inlet: FedInlet) -> Option<f64> {
        let (_, inlet) = self.survey.inlet(inlet.number)?;
        Some(inlet.capacity.get()?.in_watts())
    }

    fn by_capacity(&self, remains: &[Remains<'_>]) -> Judged {
        let load = self.survey.flows.loads.device(self.device);
        if load.basis.is_err() {
            return Judged::Fails(Box::new(self.load_missing()));
        }
        let load = load.power.re;
        let known = |left: &[FedInlet]| -> f64 {
            left.iter().filter_map(|inlet| self.capacity(*inlet)).sum()
        };
        let mut weak = remains
            .iter()
            .filter(|remains| known(&remains.left) < load * (1.0 - SAME))
            .peekable();
        if weak.peek().is_none() {
            return Judged::Fine;
        }
        let (open, sure): (Vec<_>, Vec<_>) = weak.partition(|remains| {
            remains
                .left
                .iter()
                .any(|inlet| self.capacity(*inlet).is_none())
        });
        match (sure.first(), open.first()) {
            (Some(first), _) => Judged::Fails(Box::new(self.too_weak(load, first, &sure))),
            (None, Some(first)) => Judged::ModelLacks(Box::new(self.capacity_missing(first))),
            (None, None) => Judged::Fine,
        }
    }
}
