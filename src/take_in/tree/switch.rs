//! One transfer switch, as its resources describe it.

use serde_json::Value;

use super::couplers;
use super::resources::{Resources, text};
use super::strip::{Identity, Outlet, Strips};
use crate::take_in::remark::Remark;

/// What is known of a transfer switch.
#[derive(Debug)]
pub(super) struct Switch {
    pub identity: Identity,
    pub kind: Option<&'static str>,
    /// The inlet that it prefers.
    pub preferred: Option<String>,
    pub inlets: Vec<Inlet>,
    pub outlets: Vec<Outlet>,
}

/// Where it takes power in.
#[derive(Debug)]
pub(super) struct Inlet {
    pub name: String,
    pub coupler: Option<&'static str>,
    /// In amperes.
    pub rating: Option<f64>,
}

/// Couplers that a cord of the site leads to; every other plug hangs on a cord of the switch's own.
const INLETS: [&str; 2] = ["C14", "C20"];

impl Switch {
    pub fn of(resources: &Resources, id: &str, body: &Value, remarks: &mut Vec<Remark>) -> Self {
        let mut reader = Strips { resources, remarks };
        let inlets = reader.inlets(id, body);
        let preferred = text(&body["TransferConfiguration"], "PreferredMainsId");
        let preferred = preferred.map(str::to_owned);
        let is_known = |name: &String| inlets.iter().any(|inlet| inlet.name == *name);
        if preferred.as_ref().is_some_and(|name| !is_known(name)) {
            reader.tell(
                id,
                "it prefers mains that are not among its own: `preferred` is left out",
                "Both positions are judged then. Read which input it prefers.",
            );
        }
        reader.tell_of_branches(id, body);
        Self {
            identity: Identity::of(id, body),
            kind: reader.kind(id, body),
            preferred: preferred.filter(is_known),
            outlets: reader.outlets(id, body),
            inlets,
        }
    }
}

impl Strips<'_> {
    fn kind(&mut self, id: &str, body: &Value) -> Option<&'static str> {
        if body["EquipmentType"].as_str() == Some("ManualTransferSwitch") {
            return Some("manual");
        }
        let configuration = &body["TransferConfiguration"];
        let is_off = configuration["AutoTransferEnabled"] == Value::Bool(false)
            || configuration["TransferInhibit"] == Value::Bool(true);
        if is_off {
            let what = "it is set to stay where it is: here it is one that is turned by hand";
            self.tell(
                id,
                what,
                "Once it transfers by itself, write `kind: automatic`.",
            );
            return Some("manual");
        }
        Some("automatic")
    }

    fn inlets(&mut self, id: &str, body: &Value) -> Vec<Inlet> {
        let mains = self.resources.members(id, body, "Mains", self.remarks);
        if mains.len() != 2 {
            let what = format!(
                "{} mains are described, and it should have two",
                mains.len()
            );
            self.tell(
                id,
                what,
                "Save the whole tree, or write its inlets by hand.",
            );
        }
        let read = mains.into_iter().map(|(main, circuit)| {
            let word = text(circuit, "PlugType");
            let plug = word.and_then(couplers::plug);
            let coupler = plug.filter(|plug| INLETS.contains(plug));
            if coupler.is_none() {
                let what = match word {
                    Some(word) => format!(
                        "its plug is `{word}`, which is no inlet that a cord leads to: `coupler` is left out"
                    ),
                    None => "it does not say its PlugType: `coupler` is left out".to_owned(),
                };
                self.tell(main, what, "Look at the input, and write its coupler.");
            }
            Inlet {
                name: text(circuit, "Id").unwrap_or(main).to_owned(),
                coupler,
                rating: self.amperes(main, circuit),
            }
        });
        read.collect()
    }

    fn outlets(&mut self, id: &str, body: &Value) -> Vec<Outlet> {
        let outlets = self.resources.members(id, body, "Outlets", self.remarks);
        let mut all: Vec<Outlet> = Vec::new();
        for (outlet, circuit) in outlets {
            let read = self.outlet(outlet, circuit);
            match all.iter().any(|own| own.name == read.name) {
                true => {
                    let what = format!(
                        "another outlet is called `{}` as well, and this one is not taken",
                        read.name
                    );
                    self.tell(outlet, what, "Give it another name in the definitions.");
                }
                false => all.push(read),
            }
        }
        if all.is_empty() {
            let what = "none of its outlets is described";
            self.tell(id, what, "Save the whole tree, or write them by hand.");
        }
        all
    }

    /// The format knows no breaker in equipment.
    fn tell_of_branches(&mut self, id: &str, body: &Value) {
        let branches = self.resources.members(id, body, "Branches", self.remarks);
        for (branch, circuit) in branches {
            if circuit["BreakerState"].is_null() {
                continue;
            }
            let rating = self.amperes(branch, circuit);
            let rating = rating.map_or(String::new(), |amperes| format!(" of {amperes} A"));
            let what = format!(
                "its breaker{rating} is not taken: of what hangs behind it only the breakers further up are judged"
            );
            let advice = "Compare by hand what it protects.";
            self.tell(branch, what, advice);
        }
    }
}
