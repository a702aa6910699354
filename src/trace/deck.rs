//! The network behind a number, in the one state that makes it: what `cordwright trace --format spice`
//! writes for a circuit simulator, so that whoever trusts nobody can solve it again.

mod network;
mod said;
mod state;

use num_complex::Complex64;

use crate::analysis::Analysis;
use crate::graph::ElementId;
use crate::model::circuits::Pole;
use crate::quantity::InUnits;

use super::{Asked, asked};
use network::Drawn;
use state::{Case, Networks};

/// Networks to be solved together. They have nothing in common but the neutral point, which is 0 V.
#[derive(Debug, Default)]
pub(crate) struct Deck {
    /// What was asked for: `device tide-01`.
    pub title: String,
    /// Of the supplies, in hertz. It bears on nothing but how a reactance is written down.
    pub frequency: Option<f64>,
    /// One for each circuit or supply, and for each state of it.
    pub parts: Vec<Part>,
    /// What of the sites is in no sum, as sentences.
    pub in_no_sum: Vec<String>,
    /// Elements so far: they are numbered through all parts.
    elements: usize,
}

/// A circuit or supply, with all that hangs on it, in one state.
#[derive(Debug, Default)]
pub(crate) struct Part {
    /// Whose numbers these are, the state, and why there is no network where there is none.
    pub about: Vec<String>,
    /// What is not known below: the sums lack it.
    pub unknown: Vec<String>,
    /// Where the supply holds its voltage.
    pub sources: Vec<Source>,
    /// Feeders before what they feed.
    pub elements: Vec<Element>,
}

/// A pole of a supply.
#[derive(Debug)]
pub(crate) struct Source {
    /// Which.
    pub pole: Pole,
    /// Against the neutral point, in volts.
    pub volts: Complex64,
}

/// An element with its conductors.
#[derive(Debug)]
pub(crate) struct Element {
    /// Its number in the deck.
    pub number: usize,
    /// `cord W-0412`.
    pub what: String,
    /// Where its resistance comes from, and more to know of it.
    pub said: Vec<String>,
    /// Those that carry something.
    pub conductors: Vec<Wire>,
    /// What hangs at its far end.
    pub load: Option<Load>,
}

/// A conductor that carries something.
#[derive(Debug)]
pub(crate) struct Wire {
    /// Its far end.
    pub end: End,
    /// Its near end.
    pub from: End,
    /// One way.
    pub ohms: f64,
    /// Towards the load, in amperes.
    pub current: Complex64,
    /// At its far end against the neutral point, in volts.
    pub voltage: Complex64,
}

/// A node of the network.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum End {
    /// Where the supply holds its voltage.
    Source(Pole),
    /// The far end of a conductor of the element of this number; the last counts conductors of one pole.
    Of(usize, Pole, usize),
}

/// A load as the impedance that it is at the voltage it finds.
#[derive(Debug)]
pub(crate) struct Load {
    /// Whose it is, what it takes, and how the impedance follows.
    pub said: Vec<String>,
    /// Where its current comes from.
    pub from: End,
    /// Where it returns to.
    pub to: End,
    /// In ohms.
    pub impedance: Complex64,
}

impl Deck {
    /// Adds the networks behind what goes by this name at a site; whether there is such a thing.
    pub fn add(&mut self, analysis: &Analysis<'_>, name: &str) -> bool {
        let Some(asked) = asked(analysis, name) else {
            return false;
        };
        if self.title.is_empty() {
            self.title.clone_from(&asked.title);
        }
        let networks = Networks::new(analysis);
        for (case, targets) in self.cases(analysis, &networks, asked) {
            self.draw(analysis, &networks, &case, &targets);
        }
        self.in_no_sum.extend(analysis.unfed().words());
        true
    }

    /// The states that make the worst of each end, each with the ends that it is the worst of. What has no
    /// network becomes a part that says so.
    fn cases(
        &mut self,
        analysis: &Analysis<'_>,
        networks: &Networks,
        asked: Asked,
    ) -> Vec<(Case, Vec<Target>)> {
        let mut cases: Vec<(Case, Vec<Target>)> = Vec::new();
        if asked.ends.is_empty() {
            self.say(&asked.title, "it has no inlet of that name");
        }
        for end in asked.ends {
            let Some(element) = end.element else {
                self.say(&end.name, super::unfed(asked.is_device));
                continue;
            };
            let Some(case) = Case::of(analysis, networks, element) else {
                self.say(
                    &end.name,
                    "its poles are not known, so that nothing is computed of it",
                );
                continue;
            };
            let target = Target {
                name: end.name,
                element,
            };
            match cases.iter_mut().find(|(known, _)| *known == case) {
                Some((_, targets)) => targets.push(target),
                None => cases.push((case, vec![target])),
            }
        }
        cases
    }

    fn say(&mut self, name: &str, why: &str) {
        self.parts.push(Part {
            about: vec![format!("{name}: no network; {why}.")],
            ..Part::default()
        });
    }

    fn draw(
        &mut self,
        analysis: &Analysis<'_>,
        networks: &Networks,
        case: &Case,
        targets: &[Target],
    ) {
        let single = case.solve(analysis, networks);
        let mut part = Part {
            about: said::state(analysis, case),
            unknown: said::unknown(analysis, case.scope),
            ..Part::default()
        };
        if single.holds {
            let network = networks.of(case.sequence);
            let drawn = Drawn::new(analysis, network, &single, case, self.elements + 1);
            for target in targets {
                let number = drawn.number(target.element);
                part.about
                    .extend(said::target(analysis, target, number, (case, &single)));
            }
            (part.sources, part.elements) = (drawn.sources, drawn.elements);
            self.elements += part.elements.len();
        } else {
            let names: Vec<&str> = targets.iter().map(|target| target.name.as_str()).collect();
            part.about.push(format!(
                "{}: no network; its loads ask for more power than the conductors can bring at any voltage in this state, so that it has no solution.",
                names.join(", ")
            ));
        }
        self.frequency = self.frequency.or_else(|| frequency(analysis, case.scope));
        self.parts.push(part);
    }
}

/// What was asked for, and hangs on a supply.
struct Target {
    /// The inlet, or the thing.
    name: String,
    element: ElementId,
}

fn frequency(analysis: &Analysis<'_>, id: ElementId) -> Option<f64> {
    let supply = analysis.graph.supply_of(id)?;
    let system = analysis.model.supplies[supply].system.known()?;
    let hertz = system.frequency?.in_hertz();
    (hertz > 0.0 && hertz.is_finite()).then_some(hertz)
}
