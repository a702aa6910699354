//! What is said of a device whose power supplies do not suffice.

use crate::analysis::{field_or_name, place};
use crate::citation::Citation;
use crate::finding::{Fact, Finding, Measure};
use crate::model::devices::Inlet;
use crate::model::value::Named;
use crate::quantity::{Power, show_pair, show_rounded};
use crate::rules::Draft;
use crate::rules::circuits::redundancy::{Loss, listed};
use crate::source::Span;

use super::{Case, RULE};

impl<'a> Case<'a> {
    pub(super) fn short_from_the_start(&self, needed: usize) -> Finding {
        let headline = format!(
            "device {} cannot run: only {} of its inlets {} fed, and {needed} must be",
            self.item.name.value,
            self.fed.len(),
            if self.fed.len() == 1 { "is" } else { "are" },
        );
        let note = format!("{needed} must stay fed");
        let at = field_or_name(&self.model.inlets_needed, &self.model.name);
        self.draft(headline, at, note, "start")
            .above(self.fed.iter().map(|inlet| self.analysis.hop(inlet.by)))
            .working(self.fed.iter().map(|inlet| inlet.way(&self.analysis)))
            .advice(format!("Feed at least {needed} inlets."))
            .finish()
    }

    pub(super) fn too_few(&self, needed: usize, first: Loss<'a>, all: &[Loss<'a>]) -> Finding {
        let loss = first.describe(&self.analysis);
        let headline = format!(
            "lose {loss} and device {} stops: {} left fed, and it needs {needed} of {}",
            self.item.name.value,
            self.names(first),
            self.claim.inlets,
        );
        let at = field_or_name(&self.model.inlets_needed, &self.model.name);
        let note = format!("{needed} of {} must stay fed", self.claim.inlets);
        let lines = all.iter().map(|&loss| {
            format!(
                "without {}: {} of {} inlets left, {needed} needed",
                loss.describe(&self.analysis),
                self.left(loss).count(),
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

    pub(super) fn too_weak(&self, load: Power, first: Loss<'a>, all: &[Loss<'a>]) -> Finding {
        let loss = first.describe(&self.analysis);
        let (load_shown, sum_shown) = show_pair(load, self.capacity_left(first));
        let headline = format!(
            "lose {loss} and device {} stops: it takes {load_shown}, and {} can deliver {sum_shown}",
            self.item.name.value,
            listed(self.left(first).map(|inlet| inlet.name(&self.analysis))),
        );
        let at = field_or_name(&self.item.draw, &self.item.name);
        let lines = all.iter().map(|&loss| self.sum_line(load, loss));
        self.after(self.draft(headline, at, format!("takes {load_shown}"), "capacity"), first)
            .working(lines)
            .measured(Measure::below(self.capacity_left(first), load))
            .advice("Fit larger power supplies, spread them so that enough are left on every feed, or bring the load down.")
            .finish()
    }

    /// `without feed A: 300 W + 300 W = 600 W, below 700 W`
    fn sum_line(&self, load: Power, loss: Loss<'a>) -> String {
        let (load, sum) = show_pair(load, self.capacity_left(loss));
        let parts = self.left(loss).filter_map(|inlet| self.capacity(inlet));
        let terms: Vec<String> = parts.map(show_rounded).collect();
        let sum = match terms.len() {
            1 => sum,
            _ => format!("{} = {sum}", terms.join(" + ")),
        };
        format!(
            "without {}: {sum}, below {load}",
            loss.describe(&self.analysis)
        )
    }

    pub(super) fn capacity_missing(&self, first: Loss<'a>) -> Draft {
        let lacking = self
            .left(first)
            .find(|inlet| self.capacity(*inlet).is_none());
        let inlet = lacking
            .and_then(|inlet| self.analysis.inlet(inlet.number))
            .map(|(_, inlet)| inlet);
        let name = inlet.map_or("", |inlet| inlet.name.value.as_str());
        let at = inlet.map_or(self.model.name.span, |inlet| {
            field_or_name(&inlet.capacity, &inlet.name)
        });
        let headline = format!(
            "can {} carry device {} without {}? Missing: what its power supply delivers (nameplate)",
            name,
            self.item.name.value,
            first.describe(&self.analysis),
        );
        self.draft(headline, at, "not decided: the capacity is missing".into(), "capacity")
            .wants([self.capacity_fact(inlet)])
            .about([self.model.name.value.clone()])
            .advice("Give what the power supply can deliver at the voltage here (at 100–127 V many deliver less), like `capacity: 800 W`, for every inlet of the model.")
    }

    fn capacity_fact(&self, inlet: Option<&Named<Inlet>>) -> Fact {
        let name = inlet.map_or("", |inlet| inlet.name.value.as_str());
        let capacity = inlet.map(|inlet| &inlet.capacity);
        Fact::of(self.model, "inlets.capacity", capacity).within(name)
    }

    pub(super) fn load_missing(&self) -> Finding {
        let headline = format!(
            "can the power supplies left after a loss carry device {}? Missing: its load",
            self.item.name.value
        );
        let at = field_or_name(&self.item.draw, &self.item.name);
        self.draft(headline, at, "not decided: no load is known".into(), "load")
            .wants(self.analysis.load_gap(self.device).and_then(|gap| gap.fact))
            .advice("Give its draw, or the rating and power factor of its model.")
            .finish()
    }

    pub(super) fn need_missing(&self) -> Draft {
        let headline = format!(
            "does critical device {} live through a loss? Missing: how many inlets must stay fed (its maker knows)",
            self.item.name.value
        );
        let at = field_or_name(&self.model.inlets_needed, &self.model.name);
        self.draft(headline, at, "not decided: inlets-needed is missing".into(), "need")
            .wants([Fact::of(
                self.model,
                "inlets-needed",
                Some(&self.model.inlets_needed),
            )])
            .about([self.model.name.value.clone()])
            .advice("Ask the maker how many power supplies carry the device, and write it as `inlets-needed`.")
    }

    fn draft(&self, headline: String, at: Span, note: String, kind: &'static str) -> Draft {
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
    fn after(&self, draft: Draft, loss: Loss<'a>) -> Draft {
        let analysis = &self.analysis;
        let lost = self
            .fed
            .iter()
            .filter(|inlet| loss.takes(analysis, inlet.by));
        let cords = lost.map(|inlet| {
            place(
                inlet.plugged_at(analysis),
                format!(
                    "{} is lost with {}",
                    inlet.name(analysis),
                    loss.describe(analysis)
                ),
            )
        });
        let top = match loss {
            Loss::Element(id) => Some(analysis.hop(id)),
            Loss::Switch(on) => Some(analysis.hop(on)),
            Loss::Feed(_) => None,
        };
        draft.above(top).above(cords)
    }

    fn names(&self, loss: Loss<'a>) -> String {
        let verb = match self.left(loss).count() {
            0 => return "no inlet is".to_owned(),
            1 => "is",
            _ => "are",
        };
        let names = self.left(loss).map(|inlet| inlet.name(&self.analysis));
        format!("{} {verb}", listed(names))
    }
}
