//! What a circuit, bank, strip or supply may carry, and whether a current is above it: the one
//! judgement that the rules of overload share.

mod breaker;
mod strip;

use crate::citation::Citation;
use crate::finding::{Fact, Level};
use crate::graph::{ElementId, ElementKind};
use crate::model::value::Name;
use crate::quantity::{Current, InUnits, Quantity, Ratio};
use crate::source::Span;
use crate::survey::{Survey, exceeds};

/// Which line a current has crossed; each is worse than the one before.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Step {
    /// What the owner of the site, or the maker of the device, allows a continuous load to take.
    House,
    /// What the code allows a continuous load to take.
    Code,
    /// What the part is rated for.
    Rating,
}

/// The part that limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// The overcurrent device of a circuit or bank.
    Breaker,
    /// The rated input current of a power strip.
    Strip,
    /// The plug of a power strip.
    Plug,
    /// The receptacle that a power strip is plugged into.
    Receptacle,
}

/// One line that a current may not cross.
#[derive(Clone, Debug)]
pub struct Limit {
    /// How bad it is to cross it.
    pub step: Step,
    /// The largest current that does not.
    pub current: Current,
    /// What sets it.
    pub part: Part,
    /// What that part is rated for.
    pub rated: Current,
    /// The share of it, where not the whole counts.
    pub share: Option<Ratio>,
    /// Whose share that is, for the end of a clause; empty where the whole counts.
    pub said: &'static str,
    /// Where the definitions say so.
    pub at: Span,
    /// Where it comes from.
    pub basis: Vec<Citation>,
}

impl Limit {
    /// How much crossing it weighs. A rating that nobody has read is no ground for an error.
    pub fn level(&self) -> Level {
        let is_firm = self.basis.iter().all(|basis| basis.confidence.is_firm());
        if self.step > Step::House && is_firm {
            Level::Error
        } else {
            Level::Warning
        }
    }

    /// The line and how it comes about: `80 % × 16 A = 12.8 A`.
    pub fn working(&self) -> Option<String> {
        let share = self.share?;
        let (rated, current) = (self.rated.show(), self.current.show());
        Some(format!("limit: {} × {rated} = {current}", share.show()))
    }
}

/// A fact that a limit needs and that is missing.
#[derive(Clone, Debug)]
pub struct Missing {
    /// What, for "… is missing": `the rating of the breaker of circuit A-1`.
    pub what: String,
    /// Where it should stand.
    pub at: Span,
    /// The thing that cannot be judged without it: `circuit A-1`.
    pub owner: String,
    /// The name of the thing that lacks it: `A-1`.
    pub name: Name,
    /// Whether that is a model, which many share.
    pub is_of_model: bool,
    /// The fact; `None` where none of the format would do.
    pub fact: Option<Fact>,
}

/// All lines of an element.
#[derive(Clone, Debug, Default)]
pub struct Limits {
    lines: Vec<Limit>,
    /// What is missing for others.
    pub missing: Option<Missing>,
}

impl Limits {
    /// What an element may carry; `None` where nothing of its own limits it, as a bank without a
    /// breaker, and for supplies, whose capacity is no current.
    pub fn of(survey: &Survey<'_>, id: ElementId) -> Option<Self> {
        match survey.graph.kind(id) {
            ElementKind::Circuit(circuit) => {
                let circuit = &survey.model.circuits[circuit];
                let owner = || (format!("circuit {}", circuit.name.value), &circuit.name);
                let fact = |key: &str, field: Option<&_>| survey.breaker_fact(id, key, field);
                Some(breaker::limits(survey, &circuit.breaker, owner, fact))
            }
            ElementKind::Bank(pdu, bank) => {
                let link = survey.graph.links.pdu_models[pdu.index()]?;
                let model = &survey.model.pdu_models[link];
                let bank = model.banks.items().get(bank as usize)?;
                let (own, of) = (&bank.name.value, &model.name);
                let owner = || (format!("bank {own} of PDU model {}", of.value), of);
                let has_one = !bank.breaker.is_absent();
                let fact = |key: &str, field: Option<&_>| survey.breaker_fact(id, key, field);
                has_one.then(|| breaker::limits(survey, &bank.breaker, owner, fact).of_model())
            }
            ElementKind::Pdu(pdu) => Some(strip::limits(survey, pdu, id)),
            ElementKind::Supply(_) | ElementKind::Cord(_) | ElementKind::Leg(..) => None,
        }
    }

    /// The worst line that a current has crossed.
    pub fn crossed_by(&self, current: Current) -> Option<&Limit> {
        let crossed = self
            .lines
            .iter()
            .filter(|line| exceeds(current, line.current));
        // Of equal ones the first.
        let first = crossed.rev();
        first.max_by(|a, b| a.step.cmp(&b.step).then(compare(b.current, a.current)))
    }

    /// The lowest line, if any is known.
    pub fn lowest(&self) -> Option<&Limit> {
        let mut lines = self.lines.iter();
        let first = lines.next()?;
        Some(lines.fold(first, |low, line| {
            if line.current < low.current {
                line
            } else {
                low
            }
        }))
    }

    /// The lowest of the ratings, continuous shares left out.
    pub fn rating(&self) -> Option<&Limit> {
        let ratings = self.lines.iter().filter(|line| line.step == Step::Rating);
        ratings.min_by(|a, b| compare(a.current, b.current))
    }

    /// The same, read off a model.
    fn of_model(mut self) -> Self {
        if let Some(missing) = &mut self.missing {
            missing.is_of_model = true;
        }
        self
    }

    fn unknown(missing: Missing) -> Self {
        Self {
            lines: Vec::new(),
            missing: Some(missing),
        }
    }
}

fn compare(a: Current, b: Current) -> std::cmp::Ordering {
    a.in_amperes().total_cmp(&b.in_amperes())
}
