//! The banks of a strip: outlets between the same lines behind one breaker.

use serde_json::Value;

use super::between::between;
use super::resources::{id_of, ids, text};
use super::strip::{Bank, Outlet, Strips};

/// Banks, each with the place of its branch among the branches.
type Banks = Vec<(Option<usize>, Bank)>;

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
    /// The banks of a strip: its outlets by their branches and the lines that they are between.
    pub fn banks(&mut self, id: &str, body: &Value) -> Vec<Bank> {
        let branches = self.branches(id, body);
        let mut banks = Banks::new();
        for (outlet, circuit) in self.resources.members(id, body, "Outlets", self.remarks) {
            self.add(&mut banks, &branches, outlet, circuit);
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

    /// Adds an outlet to the bank that it belongs to.
    fn add(&mut self, banks: &mut Banks, branches: &[Branch], outlet: &str, circuit: &Value) {
        if is_direct(circuit) {
            self.tell(
                outlet,
                "it is an outlet for direct current, and is not taken",
                "Nothing here judges direct current.",
            );
            return;
        }
        let branch = self.branch_of(branches, outlet, circuit);
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

    /// Outlets of one branch between different poles are banks of their own, and none of them has the breaker
    /// for itself: what flows in it is the sum, which nothing here could see.
    fn part_shared(&mut self, branches: &[Branch], banks: &mut Banks) {
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
