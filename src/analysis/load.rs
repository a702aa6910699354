//! Where a current comes from: the load behind a cord, what takes it over when something is lost,
//! and the fact that is missing where it is not known.

use num_complex::Complex64;
use rustc_hash::FxHashMap;

use crate::finding::{Fact, Place};
use crate::flow::Worst;
use crate::flow::loads::{Shares, Unknown};
use crate::graph::{CordEnd, Dead, ElementId, ElementKind, Loss, Receiver};
use crate::model::circuits::{Pole, Supply};
use crate::model::cords::{Cord, Ends};
use crate::model::devices::{Device, DeviceModel};
use crate::model::value::{Id, Named};
use crate::quantity::{Current, InUnits, show_rounded};
use crate::source::Span;

use super::{Analysis, place};

/// Currents closer than this share of the limit are at it, not above it: far below what any meter
/// shows, and far above what the computed currents are off by.
const SAME: f64 = 1e-6;

/// Whether a computed current lies above a limit.
pub fn exceeds(current: Current, limit: Current) -> bool {
    current.in_amperes() > limit.in_amperes() * (1.0 + SAME)
}

/// The fact that a load lacks.
#[derive(Clone, Debug)]
pub struct LoadGap {
    /// Where it should stand.
    pub span: Span,
    /// What is missing, for "not decided: …".
    pub why: &'static str,
    /// The fact; `None` where none of the format would do.
    pub fact: Option<Fact>,
}

impl Analysis<'_> {
    /// The state to tell of where a current is above a limit: the normal one if it is above already
    /// then, since no loss is the cause; else the worst.
    pub fn state_above(&self, id: ElementId, worst: Worst, limit: Current) -> Worst {
        let normal = self.flows.normal(self.graph, id);
        normal
            .filter(|normal| exceeds(normal.current, limit))
            .unwrap_or(worst)
    }

    /// A line of arithmetic on the worst state, where that is not the one told of:
    /// `at the worst 10.2 A, when supply ups-a is lost`.
    pub fn worst_line(&self, told: Worst, worst: Worst) -> Option<String> {
        let (shown, told) = (show_rounded(worst.current), show_rounded(told.current));
        let when = self.when(worst.lost);
        (shown != told).then(|| format!("at the worst {shown}, {when}"))
    }

    /// The devices whose load moves when `lost` is lost: those with an inlet that it takes out and another
    /// one below `id`. Empty in the normal state.
    pub fn moved(&self, id: ElementId, lost: Option<Loss>) -> Vec<Id<Device>> {
        let Some(lost) = lost else {
            return Vec::new();
        };
        let below = self.graph.below(id).map(ElementId);
        let fed = below.filter_map(|at| self.device_fed_by(at));
        let mut devices: Vec<Id<Device>> = fed.collect();
        devices.sort_unstable();
        devices.dedup();
        devices.retain(|&device| self.loses_an_inlet(device, lost));
        devices
    }

    /// Whether it is known what an element feeds: a trunk its legs, and a leg that no end is written
    /// for, nothing.
    pub fn leads_on(&self, id: ElementId) -> bool {
        let is_known = match self.graph.receiver(id) {
            Some(receiver) => *receiver != Receiver::Unknown,
            None => self.graph.children(id).next().is_some(),
        };
        match self.graph.kind(id) {
            ElementKind::Cord(_) => is_known,
            ElementKind::Leg(cord, _) => is_known || self.leaves_legs_free(cord, id),
            _ => true,
        }
    }

    /// Whether a leg has no end because none is written, not because its name is wrong.
    fn leaves_legs_free(&self, cord: Id<Cord>, leg: ElementId) -> bool {
        let ends = self.graph.links.cord_ends(cord);
        let written = match &self.model.cords[cord].to {
            Ends::Legs(legs) => legs.len(),
            // Cords that are plugged into some legs say so themselves.
            Ends::Absent if !ends.is_empty() => 0,
            Ends::One(_) | Ends::Absent | Ends::Unreadable(_) => return false,
        };
        let is_written = |end: &&CordEnd| match end.at {
            Receiver::Cord(lower) => self.model.cords[lower].from.span() != Some(end.span),
            _ => true,
        };
        self.graph.receiver(leg).is_none() && written == ends.iter().filter(is_written).count()
    }

    /// The worst current of any conductor of an element, its neutral and the neutral's harmonics
    /// included.
    pub fn worst_of_any_conductor(&self, id: ElementId) -> Option<Worst> {
        let lines = self.flows.worst(self.graph, id)?;
        let neutral = self.flows.worst_on(self.graph, id, Pole::N);
        Some(match neutral {
            Some(neutral) if neutral.current > lines.current => neutral,
            _ => lines,
        })
    }

    /// Whether more may flow through an element than is known: a load below it is not known, or where
    /// a cord leads to.
    pub fn more_may_flow(&self, id: ElementId) -> bool {
        let mut below = self.graph.below(id).map(ElementId);
        self.flows.unsummed_below(id).is_some() || below.any(|id| !self.leads_on(id))
    }

    /// Whether a supply may deliver more than is known: the same, or of a supply that is fed from it; or it is not
    /// known what such a one takes for what it delivers.
    pub fn more_is_delivered(&self, id: ElementId) -> bool {
        let ElementKind::Supply(supply) = self.graph.kind(id) else {
            return self.more_may_flow(id);
        };
        let takes_more = |behind: &Id<Supply>| {
            let own = &self.model.supplies[*behind];
            let element = self.graph.supply(*behind);
            !self.flows.input(*behind).unknown(own).is_empty()
                || element.is_some_and(|id| self.more_is_delivered(id))
        };
        self.more_may_flow(id) || self.graph.behind(supply).iter().any(takes_more)
    }

    /// [`Analysis::moved`] as places, each a device that moves.
    pub fn moved_places(&self, id: ElementId, lost: Option<Loss>) -> Vec<Place> {
        let devices = self.moved(id, lost).into_iter();
        devices
            .map(|device| {
                let name = &self.model.devices[device].name;
                place(name.span, format!("device {} moves here", name.value))
            })
            .collect()
    }

    /// The device whose inlet a cord or a leg feeds.
    pub fn device_fed_by(&self, id: ElementId) -> Option<Id<Device>> {
        match self.graph.receiver(id)? {
            Receiver::Inlet(inlet) => Some(self.graph.links.inlets[*inlet as usize].device),
            Receiver::Pdu(_) | Receiver::Cord(_) | Receiver::Unknown => None,
        }
    }

    fn loses_an_inlet(&self, device: Id<Device>, lost: Loss) -> bool {
        let mut inlets = self.graph.links.inlets_of(device);
        inlets.any(|(_, inlet)| {
            let feeding = self.graph.feeding(inlet);
            feeding.is_some_and(|feeding| self.graph.is_dead_after(feeding, lost))
        })
    }

    /// What an inlet takes in the normal state, or while `lost` is lost: watts and vars.
    pub fn power_of(&self, inlet: u32, lost: Option<Loss>) -> Complex64 {
        self.powers(lost).of(inlet)
    }

    /// What inlets take in the normal state, or while `lost` is lost, for whoever asks of many.
    pub fn powers(&self, lost: Option<Loss>) -> Powers<'_> {
        Powers {
            analysis: self,
            dead: lost.map(|lost| self.graph.dead_after(lost)),
            shares: Shares::new(),
            many: FxHashMap::default(),
        }
    }

    /// Why the load of a device is in no sum though it is known: what feeds it has not the two poles that it
    /// should.
    pub fn poles_gap(&self, device: Id<Device>) -> Option<LoadGap> {
        let mut inlets = self.graph.links.inlets_of(device);
        let bare = inlets.find_map(|(_, inlet)| {
            let feeding = self.graph.feeding(inlet)?;
            let bare = self.graph.loses_its_poles(feeding)?;
            (!self.graph.is_told_of_poles(bare)).then_some(bare)
        });
        let bare = bare?;
        Some(match self.graph.kind(bare) {
            ElementKind::Supply(supply) => {
                let supply = &self.model.supplies[supply];
                let fact = Fact::of(supply, "system", Some(&supply.system));
                LoadGap {
                    span: fact.span,
                    why: "phases and voltage of the supply that feeds it are not known",
                    fact: Some(fact),
                }
            }
            _ if self.is_on_three_lines(device) => LoadGap {
                span: self.name(bare).span,
                why: "it is fed by more than two poles at once, and what it draws on each is not reckoned",
                fact: None,
            },
            _ => LoadGap {
                span: self.name(bare).span,
                why: "a cord of it hangs on something that does not have the two poles it should",
                fact: None,
            },
        })
    }

    /// What is to be done about a device on three lines.
    pub(crate) const THREE_LINES: &'static str = "Equipment on three lines is not reckoned here: have what hangs on its circuit and on all above that worked out by hand, and take none of it for a pass.";

    /// Whether a device has an inlet of more than two poles, which is fed by as many. What it draws is in no sum.
    pub fn is_on_three_lines(&self, device: Id<Device>) -> bool {
        let mut inlets = self.graph.links.inlets_of(device);
        inlets.any(|(_, link)| {
            let inlet = self.inlet_of_model(link);
            let inlet = inlet.and_then(|inlet| inlet.coupler.coupler());
            let feeding = self.graph.feeding(link);
            let bare = feeding.and_then(|feeding| self.graph.loses_its_poles(feeding));
            let feeder = bare.and_then(|bare| self.graph.element(bare).feeder);
            let poles = feeder.map_or(0, |feeder| self.graph.conductors_of(feeder).len());
            poles > 2 && inlet.is_some_and(|coupler| usize::from(coupler.poles.count()) == poles)
        })
    }

    /// What the load of a device lacks to be known, and where it should stand; `None` if it is known.
    pub fn load_gap(&self, device: Id<Device>) -> Option<LoadGap> {
        let unknown = self.flows.loads.device(device).basis.err()?;
        let item = &self.model.devices[device];
        let model = self.graph.links.device_models[device.index()];
        let model = model.map(|model| &self.model.device_models[model]);
        let draw = || Fact::of(item, "draw", Some(&item.draw));
        let (fact, why) = match (unknown, model) {
            (Unknown::Power, _) => (draw(), "neither a draw nor a nameplate rating is known"),
            (Unknown::PowerFactor, Some(model)) => (
                Fact::of(model, "power-factor", Some(&model.power_factor)),
                "the load is in watts, and the power factor is missing",
            ),
            (Unknown::Voltage, Some(model)) => (
                Fact::of(model, "voltage", Some(&model.voltage)),
                "the load is in amperes, and the voltage range they hold at is missing",
            ),
            (Unknown::NotPositive, Some(model)) if item.draw.is_absent() => (
                Fact::of(model, "rating", Some(&model.rating)),
                "the load is zero or less",
            ),
            (Unknown::Shares, Some(model)) => (
                shares(model),
                "how its inlets share the load cannot be read",
            ),
            (Unknown::NotPositive, _) => (draw(), "the load is zero or less"),
            (Unknown::Model | Unknown::PowerFactor | Unknown::Voltage | Unknown::Shares, _) => (
                Fact::of(item, "model", Some(&item.model)),
                "the model of the device is not known",
            ),
        };
        Some(LoadGap {
            span: fact.span,
            why,
            fact: Some(fact),
        })
    }
}

/// The share of an inlet that cannot be read.
fn shares(model: &Named<DeviceModel>) -> Fact {
    let mut inlets = model.inlets.items().iter();
    let inlet = inlets.find(|inlet| inlet.share.written().is_err());
    let fact = Fact::of(model, "inlets.share", inlet.map(|inlet| &inlet.share));
    fact.within(inlet.map_or("", |inlet| inlet.name.value.as_str()))
}

/// What inlets take in one state of the site.
pub struct Powers<'s> {
    analysis: &'s Analysis<'s>,
    dead: Option<Dead>,
    shares: Shares,
    /// What the inlets take of devices that have so many that they must not be shared out for each of them.
    many: FxHashMap<Id<Device>, Shares>,
}

/// Inlets whose shares are as quickly worked out again as looked up.
const FEW_INLETS: usize = 16;

impl Powers<'_> {
    /// What an inlet takes, watts and vars; of the inlet that a transfer switch has gone over to, without what
    /// is lost on the way behind it.
    pub fn of(&mut self, inlet: u32) -> Complex64 {
        let own = self.own(inlet);
        let Analysis { graph, .. } = *self.analysis;
        let Some(dead) = self.dead.filter(|_| !graph.switches().is_empty()) else {
            return own;
        };
        let links = &graph.links;
        let device = links.inlets[inlet as usize].device;
        let is_other =
            |at: &usize| links.switches[&device].other == inlet && dead.turns(graph, *at);
        let Some(at) = graph.switch_of(device).filter(is_other) else {
            return own;
        };
        let behind = graph.switches()[at].behind.clone().map(ElementId);
        let here = behind.filter(|id| dead.saved_by(graph, *id) == Some(at));
        let inlets: Vec<u32> = here
            .filter_map(|id| match graph.receiver(id)? {
                Receiver::Inlet(inlet) => Some(*inlet),
                Receiver::Pdu(_) | Receiver::Cord(_) | Receiver::Unknown => None,
            })
            .collect();
        own + inlets
            .into_iter()
            .map(|inlet| self.of(inlet))
            .sum::<Complex64>()
    }

    fn own(&mut self, inlet: u32) -> Complex64 {
        let Analysis { graph, flows, .. } = *self.analysis;
        let Some(dead) = &self.dead else {
            return flows.loads.normal[inlet as usize];
        };
        let links = &graph.links;
        let device = links.inlets[inlet as usize].device;
        let is_alive = |number: u32| {
            let feeding = graph.feeding(&links.inlets[number as usize]);
            feeding.is_some_and(|feeding| !dead.contains(graph, feeding))
        };
        let are_few = links.inlets_of(device).len() <= FEW_INLETS;
        let shares = match are_few {
            true => &mut self.shares,
            false => self.many.entry(device).or_default(),
        };
        if are_few || shares.is_empty() {
            flows.loads.share(graph, device, is_alive, shares);
        }
        let at = shares.binary_search_by_key(&inlet, |(number, _)| *number);
        at.map_or(Complex64::ZERO, |at| shares[at].1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::amperes;

    #[test]
    fn a_current_at_its_limit_is_not_above_it() {
        for (current, above) in [
            (9.99, false),
            (10.0, false),
            (10.0 + 1e-8, false),
            (10.001, true),
        ] {
            assert_eq!(exceeds(amperes(current), amperes(10.0)), above, "{current}");
        }
        assert!(!exceeds(amperes(f64::NAN), amperes(10.0)));
    }
}
