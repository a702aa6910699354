//! `supplies-insufficient`: can the power supplies that are left after a loss carry the device?

use crate::citation::Citation;
use crate::finding::Finding;
use crate::model::devices::{Device, DeviceModel};
use crate::model::value::{Id, Named};
use crate::quantity::{InUnits, show_pair, show_rounded, watts};
use crate::rules::{Draft, rule};
use crate::survey::{Survey, field_or_name, place};

use super::redundancy::{Claim, FedInlet, Loss, fed_inlets, listed, losses_of};

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

    fn short_from_the_start(&self, needed: usize) -> Finding {
        let headline = format!(
            "device {} cannot run: {} of its inlets is fed, and {needed} must be",
            self.item.name.value,
            self.fed.len(),
        );
        let note = format!("{needed} must stay fed");
        let at = field_or_name(&self.model.inlets_needed, &self.model.name);
        self.draft(headline, at, note, "start")
            .above(self.fed.iter().map(|inlet| self.survey.hop(inlet.by)))
            .working(self.fed.iter().map(|inlet| inlet.way(self.survey)))
            .advice(format!("Feed {needed} inlets at least."))
            .finish()
    }

    fn too_few(&self, needed: usize, first: &Remains<'_>, all: &[&Remains<'_>]) -> Finding {
        let loss = first.loss.describe(self.survey);
        let headline = format!(
            "device {} goes down when {loss} is lost: {} left fed, and {needed} of its {} inlets must be",
            self.item.name.value,
            self.names(&first.left),
            self.claim.inlets,
        );
        let at = field_or_name(&self.model.inlets_needed, &self.model.name);
        let note = format!("{needed} of {} must stay fed", self.claim.inlets);
        let lines = all.iter().map(|remains| {
            format!(
                "without {}: {} of {} inlets left, {needed} needed",
                remains.loss.describe(self.survey),
                remains.left.len(),
                self.fed.len()
            )
        });
        self.after(self.draft(headline, at, note, "count"), first)
            .working(lines)
            .advice(format!(
                "Spread the cords so that {needed} inlets stay fed whichever path is lost; with two feeds that takes {} inlets, half of them on each.",
                2 * needed
            ))
            .finish()
    }

    fn too_weak(&self, load: f64, first: &Remains<'_>, all: &[&Remains<'_>]) -> Finding {
        let loss = first.loss.describe(self.survey);
        let sum: f64 = first
            .left
            .iter()
            .filter_map(|inlet| self.capacity(*inlet))
            .sum();
        let (load_shown, sum_shown) = show_pair(watts(load), watts(sum));
        let headline = format!(
            "device {} goes down when {loss} is lost: it takes {load_shown}, and {} can deliver {sum_shown}",
            self.item.name.value,
            listed(first.left.iter().map(|inlet| inlet.name(self.survey))),
        );
        let at = field_or_name(&self.item.draw, &self.item.name);
        let lines = all.iter().map(|remains| self.sum_line(load, remains));
        self.after(self.draft(headline, at, format!("takes {load_shown}"), "capacity"), first)
            .working(lines)
            .advice("Fit larger power supplies, spread them so that enough are left on every feed, or bring the load down.")
            .finish()
    }

    /// `without feed A: 300 W + 300 W = 600 W, below 700 W`
    fn sum_line(&self, load: f64, remains: &Remains<'_>) -> String {
        let parts: Vec<f64> = remains
            .left
            .iter()
            .filter_map(|inlet| self.capacity(*inlet))
            .collect();
        let (load, sum) = show_pair(watts(load), watts(parts.iter().sum()));
        let terms: Vec<String> = parts
            .iter()
            .map(|part| show_rounded(watts(*part)))
            .collect();
        let sum = match terms.len() {
            1 => sum,
            _ => format!("{} = {sum}", terms.join(" + ")),
        };
        format!(
            "without {}: {sum}, below {load}",
            remains.loss.describe(self.survey)
        )
    }

    fn capacity_missing(&self, first: &Remains<'_>) -> Finding {
        let lacking = first
            .left
            .iter()
            .find(|inlet| self.capacity(**inlet).is_none());
        let inlet = lacking
            .and_then(|inlet| self.survey.inlet(inlet.number))
            .map(|(_, inlet)| inlet);
        let name = inlet.map_or("", |inlet| inlet.name.value.as_str());
        let at = inlet.map_or(self.model.name.span, |inlet| {
            field_or_name(&inlet.capacity, &inlet.name)
        });
        let headline = format!(
            "Whether {} can carry device {} without {} cannot be said: the capacity of its power supply is missing",
            name,
            self.item.name.value,
            first.loss.describe(self.survey),
        );
        self.draft(headline, at, "no capacity given".into(), "capacity")
            .open()
            .about([self.model.name.value.clone()])
            .advice("Give what the power supply can deliver, like `capacity: 800 W`, for every inlet of the model.")
            .finish()
    }

    fn load_missing(&self) -> Finding {
        let headline = format!(
            "Whether the power supplies left after a loss can carry device {} cannot be said: its load is missing",
            self.item.name.value
        );
        let at = field_or_name(&self.item.draw, &self.item.name);
        self.draft(headline, at, "no load known".into(), "load")
            .open()
            .advice("Give its draw, or the rating and power factor of its model.")
            .finish()
    }

    fn need_missing(&self) -> Finding {
        let headline = format!(
            "Whether critical device {} lives through a loss cannot be said: how many inlets must stay fed is missing",
            self.item.name.value
        );
        let at = field_or_name(&self.model.inlets_needed, &self.model.name);
        self.draft(headline, at, "inlets-needed is missing".into(), "need")
            .open()
            .about([self.model.name.value.clone()])
            .advice("Ask the maker how many power supplies carry the device, and write it as `inlets-needed`.")
            .finish()
    }

    fn draft(
        &self,
        headline: String,
        at: crate::source::Span,
        note: String,
        kind: &'static str,
    ) -> Draft {
        let basis = Citation::common_practice(
            "the power supplies left after any one loss carry the whole device",
        );
        let name = &self.item.name;
        Draft::new(&RULE, headline, at, note, basis)
            .below([place(name.span, format!("device {}", name.value))])
            .about([name.value.clone()])
            .kind(kind)
    }

    /// The places of a loss: what is lost, and the cords that go with it.
    fn after(&self, draft: Draft, remains: &Remains<'_>) -> Draft {
        let survey = self.survey;
        let lost = self
            .fed
            .iter()
            .filter(|inlet| remains.loss.takes(survey, inlet.by));
        let cords = lost.map(|inlet| {
            place(
                inlet.plugged_at(survey),
                format!(
                    "{} is lost with {}",
                    inlet.name(survey),
                    remains.loss.describe(survey)
                ),
            )
        });
        let top = match remains.loss {
            Loss::Element(id) => Some(survey.hop(id)),
            Loss::Feed(_) => None,
        };
        draft.above(top).above(cords)
    }

    fn names(&self, left: &[FedInlet]) -> String {
        let verb = if left.len() == 1 { "is" } else { "are" };
        format!(
            "{} {verb}",
            listed(left.iter().map(|inlet| inlet.name(self.survey)))
        )
    }
}
