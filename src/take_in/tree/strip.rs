//! One strip, as its resources describe it.

use serde_json::Value;

use super::between::between;
use super::couplers;
use super::resources::{Resources, id_of, ids, text};
use crate::take_in::remark::{At, Remark};

/// What is known of a strip.
#[derive(Debug)]
pub(super) struct Strip {
    /// The identity of its resource.
    pub id: String,
    pub name: String,
    pub model: String,
    /// The rack that it is said to be in.
    pub rack: Option<String>,
    /// What tells it from others of its model.
    pub note: Option<String>,
    pub plug: Option<&'static str>,
    /// In amperes, each line.
    pub rating: Option<f64>,
    pub banks: Vec<Bank>,
}

/// Outlets between the same two poles behind one breaker.
#[derive(Debug, PartialEq)]
pub(super) struct Bank {
    pub name: String,
    pub between: Option<&'static str>,
    /// In amperes; left out where the breaker serves other outlets as well.
    pub breaker: Option<f64>,
    pub note: Option<String>,
    pub outlets: Vec<Outlet>,
}

/// An outlet.
#[derive(Debug, PartialEq)]
pub(super) struct Outlet {
    pub name: String,
    pub coupler: Option<&'static str>,
    /// In amperes.
    pub rating: Option<f64>,
}

/// Reads what belongs to one strip, and tells what it lacks.
struct Strips<'a> {
    resources: &'a Resources,
    remarks: &'a mut Vec<Remark>,
}

impl Strip {
    pub fn of(resources: &Resources, id: &str, body: &Value, remarks: &mut Vec<Remark>) -> Self {
        let mut reader = Strips { resources, remarks };
        let (plug, rating) = reader.mains(id, body);
        let names = ["UserLabel", "Name", "Id"];
        let name = names.iter().find_map(|key| text(body, key)).unwrap_or(id);
        let model = ["Model", "PartNumber"]
            .iter()
            .find_map(|key| text(body, key));
        let marks = [("SerialNumber", "serial number"), ("AssetTag", "asset tag")];
        let marks = marks
            .iter()
            .filter_map(|(key, word)| Some(format!("{word} {}", text(body, key)?)));
        let marks: Vec<String> = marks.collect();
        Self {
            id: id.to_owned(),
            name: name.to_owned(),
            model: model.unwrap_or(name).to_owned(),
            rack: text(&body["Location"]["Placement"], "Rack").map(str::to_owned),
            note: (!marks.is_empty()).then(|| marks.join(", ")),
            plug,
            rating,
            banks: reader.banks(id, body),
        }
    }

    pub fn has_breakers(&self) -> bool {
        self.banks
            .iter()
            .any(|bank| bank.breaker.is_some() || bank.note.is_some())
    }
}

/// A branch circuit.
struct Branch {
    id: String,
    name: String,
    between: Option<&'static str>,
    /// In amperes, where it has a breaker.
    breaker: Option<f64>,
    /// The outlets that it names as its own.
    outlets: Vec<String>,
}

impl Strips<'_> {
    fn tell(&mut self, id: &str, what: impl Into<String>, advice: &str) {
        let at = At::Resource(id.to_owned());
        self.remarks.push(Remark::new(at, what, advice));
    }

    /// The plug, and the rated current of each line.
    fn mains(&mut self, id: &str, body: &Value) -> (Option<&'static str>, Option<f64>) {
        let mains = self.resources.members(id, body, "Mains", self.remarks);
        let [(main, circuit)] = mains.as_slice() else {
            let what = match mains.len() {
                0 => "its mains are not described: plug and rating are left out".to_owned(),
                many => format!(
                    "it has {many} mains, and the format knows one plug of a strip: plug and rating are left out"
                ),
            };
            self.tell(id, what, "Look at the strip, and write what it is fed by.");
            return (None, None);
        };
        let word = text(circuit, "PlugType");
        let plug = word.and_then(couplers::plug);
        if plug.is_none() {
            let what = match word {
                Some(word) => format!(
                    "its plug is `{word}`, which means no coupler for sure: `plug` is left out"
                ),
                None => "it does not say its PlugType: `plug` is left out".to_owned(),
            };
            self.tell(
                main,
                what,
                "Look at the plug. One that is wired in has `plug: none`.",
            );
        }
        (plug, self.amperes(main, circuit))
    }

    fn amperes(&mut self, id: &str, body: &Value) -> Option<f64> {
        let value = &body["RatedCurrentAmps"];
        let amperes = value.as_f64().filter(|amperes| *amperes > 0.0);
        if amperes.is_none() {
            let what = match value {
                Value::Null => "it does not say its RatedCurrentAmps: the rating is left out",
                _ => "its RatedCurrentAmps is no current: the rating is left out",
            };
            self.tell(id, what, "Read it from the part.");
        }
        amperes
    }

    fn banks(&mut self, id: &str, body: &Value) -> Vec<Bank> {
        let branches = self.branches(id, body);
        let mut banks: Vec<(Option<usize>, Bank)> = Vec::new();
        for (outlet, circuit) in self.resources.members(id, body, "Outlets", self.remarks) {
            if is_direct(circuit) {
                self.tell(
                    outlet,
                    "it is an outlet for direct current, and is not taken",
                    "Nothing here judges direct current.",
                );
                continue;
            }
            let branch = self.branch_of(&branches, outlet, circuit);
            let of_branch = branch.and_then(|at| branches.get(at));
            let between = between(circuit).or(of_branch.and_then(|branch| branch.between));
            if between.is_none() {
                let what =
                    "it does not say between which lines it is: `between` of its bank is left out";
                self.tell(
                    outlet,
                    what,
                    "Read it from the data sheet of the strip, or measure it.",
                );
            }
            let read = self.outlet(outlet, circuit);
            let same = banks
                .iter_mut()
                .find(|(own, bank)| *own == branch && bank.between == between);
            match same {
                Some((_, bank)) if bank.outlets.iter().any(|own| own.name == read.name) => {
                    let what = format!(
                        "another outlet is called `{}` as well, and this one is not taken",
                        read.name
                    );
                    self.tell(outlet, what, "Give it another name in the definitions.");
                }
                Some((_, bank)) => bank.outlets.push(read),
                None => banks.push((branch, bank(of_branch, between, read))),
            }
        }
        if banks.is_empty() {
            self.tell(
                id,
                "none of its outlets is described",
                "Save the whole tree, or write them by hand.",
            );
        }
        self.part_shared(&branches, &mut banks);
        banks.into_iter().map(|(_, bank)| bank).collect()
    }

    fn branches(&mut self, id: &str, body: &Value) -> Vec<Branch> {
        let branches = self.resources.members(id, body, "Branches", self.remarks);
        let read = branches.into_iter().map(|(id, circuit)| {
            let has_breaker = !circuit["BreakerState"].is_null();
            let breaker = self.amperes(id, circuit).filter(|_| has_breaker);
            if !has_breaker {
                self.tell(
                    id,
                    "it does not say that it has a breaker: `breaker` is left out",
                    "Look whether it has one.",
                );
            }
            Branch {
                id: id.to_owned(),
                name: text(circuit, "Id").unwrap_or(id).to_owned(),
                between: between(circuit),
                breaker,
                outlets: ids(&circuit["Links"]["Outlets"]),
            }
        });
        read.collect()
    }

    /// The branch that an outlet names, or else that names the outlet.
    fn branch_of(&mut self, branches: &[Branch], outlet: &str, circuit: &Value) -> Option<usize> {
        let named = id_of(&circuit["Links"]["BranchCircuit"]);
        let by_outlet = named
            .as_ref()
            .and_then(|id| branches.iter().position(|branch| branch.id == *id));
        let by_branch = branches
            .iter()
            .position(|branch| branch.outlets.iter().any(|own| own == outlet));
        if let (Some(own), Some(other)) = (by_outlet, by_branch)
            && own != other
        {
            self.tell(
                outlet,
                "it names one branch, and another names it: its own word is taken",
                "Find out behind which breaker it is.",
            );
        }
        let branch = by_outlet.or(by_branch);
        if branch.is_none() {
            self.tell(
                outlet,
                "no branch is known for it: its bank has no breaker on record",
                "Find out behind which breaker it is.",
            );
        }
        branch
    }

    fn outlet(&mut self, id: &str, circuit: &Value) -> Outlet {
        let word = text(circuit, "OutletType");
        let coupler = word.and_then(couplers::outlet);
        if coupler.is_none() {
            let what = match word {
                Some(word) => format!(
                    "its outlet is `{word}`, which means no coupler for sure: `coupler` is left out"
                ),
                None => "it does not say its OutletType: `coupler` is left out".to_owned(),
            };
            self.tell(id, what, "Look at the outlet.");
        }
        Outlet {
            name: outlet_name(text(circuit, "Id").unwrap_or(id)),
            coupler,
            rating: self.amperes(id, circuit),
        }
    }

    /// Outlets of one branch between different poles are banks of their own, and none of them has the breaker
    /// for itself: what flows in it is the sum, which nothing here could see.
    fn part_shared(&mut self, branches: &[Branch], banks: &mut [(Option<usize>, Bank)]) {
        for (at, branch) in branches.iter().enumerate() {
            let own = || banks.iter().filter(|(own, _)| *own == Some(at));
            if own().count() < 2 {
                continue;
            }
            let pairs: Vec<&str> = own()
                .map(|(_, bank)| bank.between.unwrap_or("lines that are not known"))
                .collect();
            let pairs = pairs.join(" and ");
            let rating = branch
                .breaker
                .map_or_else(String::new, |amperes| format!(" of {amperes} A"));
            let note = format!(
                "branch {}: one breaker{rating} for the outlets between {pairs} together",
                branch.name
            );
            for (_, bank) in banks.iter_mut().filter(|(own, _)| *own == Some(at)) {
                let pair = bank.between.unwrap_or("unknown");
                bank.name = format!("{}-{pair}", branch.name);
                bank.breaker = None;
                bank.note = Some(note.clone());
            }
            let what = format!(
                "its breaker{rating} serves outlets between {pairs}, which the format has as banks of their own: `breaker` is left out and stands in their notes"
            );
            self.tell(&branch.id, what, "Reckon by hand what flows through it.");
        }
    }
}

fn bank(branch: Option<&Branch>, between: Option<&'static str>, outlet: Outlet) -> Bank {
    let name = match (branch, between) {
        (Some(branch), _) => branch.name.clone(),
        (None, Some(pair)) => format!("outlets-{pair}"),
        (None, None) => "outlets".to_owned(),
    };
    Bank {
        name,
        between,
        breaker: branch.and_then(|branch| branch.breaker),
        note: None,
        outlets: vec![outlet],
    }
}

fn is_direct(body: &Value) -> bool {
    body["VoltageType"] == "DC"
}

/// The format takes `1-6` for six outlets.
fn outlet_name(id: &str) -> String {
    let is_number = |part: &str| part.trim().parse::<u32>().is_ok();
    let range = id.split_once(['-', '–']);
    match range.is_some_and(|(first, last)| is_number(first) && is_number(last)) {
        true => format!("outlet {id}"),
        false => id.to_owned(),
    }
}
