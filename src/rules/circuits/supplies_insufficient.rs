//! `supplies-insufficient`: can the power supplies that are left after a loss carry the device?

mod words;

use crate::analysis::Analysis;
use crate::finding::{Fact, Finding};
use crate::model::devices::{Device, DeviceModel};
use crate::model::value::{Id, Named};
use crate::quantity::{Power, watts};
use crate::rules::illegible::Illegible;
use crate::rules::told_once::ToldOnce;
use crate::rules::{Draft, rule};

use super::redundancy::{Claim, FedInlet, Loss, fed_inlets, losses_of};

rule!(
    "supplies-insufficient",
    Circuits,
    Error,
    "The power supplies left after a loss cannot carry the device: it goes down though it was meant to live on."
);

/// Absorbs the rounding of a sum.
const SAME: f64 = 1e-9;

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let (mut asked, mut illegible) = (ToldOnce::default(), Illegible::default());
    for (device, _) in analysis.model.devices.iter() {
        let Some((model, judged)) = judged(analysis, device) else {
            continue;
        };
        match judged {
            Judged::Fine => {}
            Judged::Fails(finding) => findings.push(*finding),
            Judged::Illegible(fact) => {
                let name = &analysis.model.devices[device].name.value;
                let question = || format!("does device {name} live through a loss");
                let told = illegible.ask(&RULE, &fact, question);
                told.suffered_by([name.clone()]);
            }
            // What a model lacks is said once, not for every device of it.
            Judged::ModelLacks(draft) => {
                let told = asked.tell(model, || *draft);
                told.suffered_by([analysis.model.devices[device].name.value.clone()]);
            }
        }
    }
    findings.extend(asked.findings());
    findings.extend(illegible.findings());
}

fn judged(analysis: &Analysis<'_>, device: Id<Device>) -> Option<(Id<DeviceModel>, Judged)> {
    let (model, case) = Case::of(analysis, device)?;
    let judged = match (case.judge(), case.illegible()) {
        (Judged::Fine, Some(fact)) => Judged::Illegible(Box::new(fact)),
        (judged, _) => judged,
    };
    Some((model, judged))
}

enum Judged {
    Fine,
    Fails(Box<Finding>),
    ModelLacks(Box<Draft>),
    /// What is known is fine, and something that it turns on cannot be read.
    Illegible(Box<Fact>),
}

struct Case<'a> {
    analysis: Analysis<'a>,
    device: Id<Device>,
    item: &'a Named<Device>,
    model: &'a Named<DeviceModel>,
    claim: Claim,
    fed: Vec<FedInlet>,
}

impl<'a> Case<'a> {
    /// `None` for a device of unknown model.
    fn of(analysis: &Analysis<'a>, device: Id<Device>) -> Option<(Id<DeviceModel>, Self)> {
        let model = analysis.graph.links.device_models[device.index()]?;
        let fed = fed_inlets(analysis, device);
        let case = Self {
            analysis: *analysis,
            device,
            item: &analysis.model.devices[device],
            model: &analysis.model.device_models[model],
            claim: Claim::of(analysis, device, &fed),
            fed,
        };
        Some((model, case))
    }

    fn judge(&self) -> Judged {
        let needed = self.claim.needed.unwrap_or(1);
        if !self.fed.is_empty() && self.fed.len() < needed {
            return Judged::Fails(Box::new(self.short_from_the_start(needed)));
        }
        if self.fed.len() < 2 || !(self.claim.is_redundant() || self.is_critical()) {
            return Judged::Fine;
        }
        let losses = self.greatest_losses();
        let short = losses.iter().copied();
        let short: Vec<_> = short
            .filter(|loss| self.left(*loss).count() < needed)
            .collect();
        if let Some(&first) = short.first() {
            return Judged::Fails(Box::new(self.too_few(needed, first, &short)));
        }
        if self.gives_capacity() {
            return self.by_capacity(&losses);
        }
        if self.claim.needed.is_none() {
            return Judged::ModelLacks(Box::new(self.need_missing()));
        }
        Judged::Fine
    }

    fn is_critical(&self) -> bool {
        self.item.critical.says_yes() == Ok(true)
    }

    /// What cannot be read of that on which it turns how many inlets must stay fed, and whether they do.
    fn illegible(&self) -> Option<Fact> {
        let (item, model) = (self.item, self.model);
        let needed = Fact::if_unreadable(model, "inlets-needed", &model.inlets_needed);
        let needed = needed.filter(|_| !self.fed.is_empty());
        let is_split = self.fed.len() > 1;
        let critical = || Fact::if_unreadable(item, "critical", &item.critical);
        needed.or_else(|| critical().filter(|_| is_split))
    }

    /// The greatest losses that leave anything. What leaves nothing at all is a shared feed, and not
    /// a matter of numbers; what is lost with less is lost here too.
    fn greatest_losses(&self) -> Vec<Loss<'a>> {
        let mut losses = Vec::new();
        for inlet in &self.fed {
            let all = losses_of(&self.analysis, inlet.by);
            // What stands ahead may take others out than the feed does.
            let (ahead, own): (Vec<_>, Vec<_>) =
                all.partition(|loss| loss.is_ahead_of(&self.analysis, inlet.by));
            for losses_of in [own, ahead] {
                let leave_some = losses_of.into_iter();
                let leave_some = leave_some.take_while(|loss| self.left(*loss).next().is_some());
                let greatest = leave_some.last();
                losses.extend(greatest.filter(|loss| !losses.contains(loss)));
            }
        }
        losses
    }

    /// The inlets that stay fed after a loss.
    fn left(&self, loss: Loss<'a>) -> impl Iterator<Item = FedInlet> {
        let fed = self.fed.iter().copied();
        fed.filter(move |inlet| !loss.takes(&self.analysis, inlet.by))
    }

    fn gives_capacity(&self) -> bool {
        let mut inlets = self.model.inlets.items().iter();
        inlets.any(|inlet| !inlet.capacity.is_absent())
    }

    fn capacity(&self, inlet: FedInlet) -> Option<Power> {
        let (_, inlet) = self.analysis.inlet(inlet.number)?;
        let capacity = inlet.capacity.written().ok()??;
        Some(capacity.value)
    }

    /// What the power supplies left after a loss can deliver, as far as it is known.
    fn capacity_left(&self, loss: Loss<'a>) -> Power {
        let known = self.left(loss).filter_map(|inlet| self.capacity(inlet));
        known.fold(Power::default(), |sum, each| sum + each)
    }

    fn by_capacity(&self, losses: &[Loss<'a>]) -> Judged {
        let load = self.analysis.flows.loads.device(self.device);
        if load.basis.is_err() {
            return Judged::Fails(Box::new(self.load_missing()));
        }
        let load = watts(load.power.re);
        let is_weak = |loss: &Loss<'a>| self.capacity_left(*loss) < load * (1.0 - SAME);
        if !losses.iter().any(is_weak) {
            return Judged::Fine;
        }
        let weak = losses.iter().copied().filter(is_weak);
        let (open, sure): (Vec<_>, Vec<_>) =
            weak.partition(|loss| self.left(*loss).any(|inlet| self.capacity(inlet).is_none()));
        match (sure.first(), open.first()) {
            (Some(&first), _) => Judged::Fails(Box::new(self.too_weak(load, first, &sure))),
            (None, Some(&first)) => Judged::ModelLacks(Box::new(self.capacity_missing(first))),
            (None, None) => Judged::Fine,
        }
    }
}
