//! What things are called in messages and in stable names.

use smol_str::SmolStr;

use crate::graph::{CordFeed, ElementId, ElementKind, FarEnd, InletLink, Loss};
use crate::model::cords::Cord;
use crate::model::value::{Id, Name, Spanned};

use super::Analysis;

impl Analysis<'_> {
    /// The name of an element and where it is given: `A-12`, `ph-1-a`, `W-0412`; a bank or leg goes
    /// by its own name inside its strip or cord.
    pub fn name(&self, id: ElementId) -> &Spanned<Name> {
        let model = self.model;
        match self.graph.kind(id) {
            ElementKind::Supply(supply) => &model.supplies[supply].name,
            ElementKind::Circuit(circuit) => &model.circuits[circuit].name,
            ElementKind::Pdu(pdu) => &model.pdus[pdu].name,
            ElementKind::Cord(cord) => &model.cords[cord].name,
            ElementKind::Bank(pdu, bank) => {
                let own = self
                    .graph
                    .pdu_model(model, pdu)
                    .and_then(|model| model.banks.items().get(bank as usize));
                own.map_or(&model.pdus[pdu].name, |bank| &bank.name)
            }
            ElementKind::Leg(cord, leg) => {
                let own = self
                    .graph
                    .cord_type(model, cord)
                    .and_then(|kind| kind.leg(leg));
                own.map_or(&model.cords[cord].name, |leg| &leg.name)
            }
        }
    }

    /// A stable name that is unique in the site: `ph-1-a/B2`, `W-0413/a`.
    pub fn full_name(&self, id: ElementId) -> SmolStr {
        let model = self.model;
        let own = &self.name(id).value;
        match self.graph.kind(id) {
            ElementKind::Bank(pdu, _) => {
                SmolStr::from(format!("{}/{own}", model.pdus[pdu].name.value))
            }
            ElementKind::Leg(cord, _) => {
                SmolStr::from(format!("{}/{own}", model.cords[cord].name.value))
            }
            _ => own.clone(),
        }
    }

    /// What an element is and its name, for the middle of a sentence: `circuit A-12`.
    pub fn describe(&self, id: ElementId) -> String {
        let model = self.model;
        let own = &self.name(id).value;
        match self.graph.kind(id) {
            ElementKind::Supply(_) => format!("supply {own}"),
            ElementKind::Circuit(_) => format!("circuit {own}"),
            ElementKind::Pdu(_) => format!("PDU {own}"),
            ElementKind::Bank(pdu, _) => {
                format!("bank {own} of PDU {}", model.pdus[pdu].name.value)
            }
            ElementKind::Cord(_) => format!("cord {own}"),
            ElementKind::Leg(cord, _) => {
                format!("leg {own} of cord {}", model.cords[cord].name.value)
            }
        }
    }

    /// The state in which an extreme occurs: `in the normal state`, `when PDU ph-1-a is lost`.
    pub fn when(&self, lost: Option<Loss>) -> String {
        match lost {
            None => "in normal running".into(),
            Some(Loss::Turned(on)) => format!("when {} is turned", self.switch_fed_by(on)),
            Some(lost) => format!("when {} is lost", self.describe_loss(lost)),
        }
    }

    /// What makes an extreme, to begin a sentence with: `lose PDU ph-1-a`, `turn transfer switch ats-1`.
    pub fn lose(&self, lost: Loss) -> String {
        match lost {
            Loss::Turned(on) => format!("turn {}", self.switch_fed_by(on)),
            _ => format!("lose {}", self.describe_loss(lost)),
        }
    }

    /// The transfer switch that an element usually feeds, for the middle of a sentence.
    fn switch_fed_by(&self, on: ElementId) -> String {
        let switch = self.graph.switch_on(on);
        let switch = switch.map(|at| &self.graph.switches()[at]);
        switch.map_or_else(
            || self.describe(on),
            |switch| {
                let name = &self.model.devices[switch.device].name.value;
                format!("transfer switch {name}")
            },
        )
    }

    /// What is lost, for the middle of a sentence: `PDU ph-1-a`, `feed A (supplies ups-1, ups-2)`, `line L1 of
    /// circuit A-12`.
    pub fn describe_loss(&self, lost: Loss) -> String {
        let first = lost.first();
        match lost {
            Loss::Line(_, line) => {
                return format!("line {} of {}", line.word(), self.describe(first));
            }
            Loss::Switch(_) => return self.switch_fed_by(first),
            Loss::Turned(_) => return format!("{} (turned)", self.switch_fed_by(first)),
            Loss::Of(_) | Loss::Feed(_) => {}
        }
        let (Loss::Feed(_), ElementKind::Supply(supply)) = (lost, self.graph.kind(first)) else {
            return self.describe(first);
        };
        let feed = self.model.supplies[supply].feed.given();
        let feed = feed.map_or("", |feed| feed.value.as_str());
        let supplies = self.graph.supplies_of(lost);
        let supplies = supplies
            .into_iter()
            .map(|supply| self.model.supplies[supply].name.value.as_str());
        let supplies: Vec<&str> = supplies.collect();
        format!("feed {feed} (supplies {})", supplies.join(", "))
    }

    /// `tide-01/psu1`.
    pub fn inlet_name(&self, inlet: &InletLink) -> SmolStr {
        let device = &self.model.devices[inlet.device].name.value;
        let model = self.graph.device_model(self.model, inlet.device);
        let own = model.and_then(|model| model.inlets.items().get(inlet.inlet as usize));
        match own {
            Some(own) => SmolStr::from(format!("{device}/{}", own.name.value)),
            None => device.clone(),
        }
    }

    /// What a cord is plugged into: `outlet ph-1-a/3`, `the receptacle of circuit A-12`, `the connector of cord W-12`.
    pub fn feed_name(&self, cord: Id<Cord>) -> Option<String> {
        self.name_of_feed(self.graph.links.cord_feeds[cord.index()]?)
    }

    /// A cord, or a leg of a splitter, for the middle of a sentence: `cord W-12`, `leg a of cord W-12`.
    pub fn describe_end(&self, (cord, leg): FarEnd) -> String {
        let own = &self.model.cords[cord].name.value;
        let kind = self.graph.cord_type(self.model, cord);
        let leg = leg.and_then(|leg| kind?.leg(leg));
        match leg {
            Some(leg) => format!("leg {} of cord {own}", leg.name.value),
            None => format!("cord {own}"),
        }
    }

    /// An outlet, a receptacle or a connector by name: `outlet ph-1-a/3`, `the receptacle of circuit A-12`.
    pub fn name_of_feed(&self, feed: CordFeed) -> Option<String> {
        match feed {
            CordFeed::Receptacle(circuit) => {
                let name = &self.model.circuits[circuit].name.value;
                Some(self.words().socket_of(name))
            }
            CordFeed::Outlet(outlet) => {
                self.outlet(outlet)?;
                Some(format!("outlet {}", self.outlet_name(outlet)))
            }
            CordFeed::Cord(end) => Some(format!("the connector of {}", self.describe_end(end))),
        }
    }
}
