//! What bounds the current of an element: every part of it that has a rating, with the share of that
//! rating that may be used, who sets it, and what is missing where a bound cannot be told.

mod breaker;
mod contract;
mod cord;
mod strip;

use std::borrow::Cow;

use crate::citation::{Citation, Cited};
use crate::finding::{Fact, FactState, Level};
use crate::graph::{ElementId, ElementKind};
use crate::model::value::Name;
use crate::quantity::{Current, InUnits, Quantity, Ratio};
use crate::source::Span;
use crate::tables::Practice;
use crate::tables::words::Words;

use super::{Analysis, Rating, exceeds};

/// Which line a current has crossed; each is worse than the one before.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Step {
    /// What the owner of the site, the maker of the device or its environment leave of a rating.
    House,
    /// What the code allows a continuous load to take.
    Code,
    /// What the part is rated for.
    Rating,
}

/// Who sets a limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// The owner of the site.
    House,
    /// Nobody that can be read: the lower of what may hold.
    SafeSide,
    /// The code of the country.
    Code,
    /// A contract with whoever delivers.
    Contract,
    /// A standard.
    Standard,
    /// The maker, on the part or in its data sheet.
    Marking,
}

impl Kind {
    /// Its words: `house rule`.
    pub fn words(self) -> &'static str {
        match self {
            Self::House => "house rule",
            Self::SafeSide => "safe side",
            Self::Code => "code",
            Self::Contract => "contract",
            Self::Standard => "standard",
            Self::Marking => "marking",
        }
    }
}

/// The part that limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Part {
    /// The overcurrent device of a circuit or bank.
    Breaker,
    /// What a landlord's contract allows at his receptacle.
    Contract,
    /// The rated input current of a power strip.
    Strip,
    /// The receptacle that a power strip is plugged into.
    Receptacle,
    /// The outlet, or the receptacle of a circuit, that a cord is plugged into.
    Outlet,
    /// The plug in it.
    Plug,
    /// The fuse in the plug.
    Fuse,
    /// The conductors.
    Conductor,
    /// The connector at the far end.
    Connector,
    /// The inlet of the device.
    Inlet,
}

impl Part {
    /// Its word for programs.
    pub fn word(self) -> &'static str {
        match self {
            Self::Breaker => "breaker",
            Self::Contract => "contract",
            Self::Strip => "PDU rating",
            Self::Receptacle => "receptacle",
            Self::Outlet => "outlet",
            Self::Plug => "plug",
            Self::Fuse => "plug fuse",
            Self::Conductor => "conductor",
            Self::Connector => "connector",
            Self::Inlet => "inlet",
        }
    }

    /// What people call it.
    pub fn said_in(self, words: &Words) -> &'static str {
        match self {
            Self::Receptacle => words.socket,
            part => part.word(),
        }
    }
}

/// One line that a current may not cross.
#[derive(Clone, Debug)]
pub struct Limit {
    /// How bad it is to cross it.
    pub step: Step,
    /// Who sets it.
    pub kind: Kind,
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
    /// A rating that counts as a whole.
    fn whole(part: Part, kind: Kind, rated: Current, at: Span, basis: Vec<Citation>) -> Self {
        Self {
            step: Step::Rating,
            kind,
            current: rated,
            part,
            rated,
            share: None,
            said: "",
            at,
            basis,
        }
    }

    /// The share of a rating that counts.
    fn only(&self, share: Cited<Ratio>, (step, kind): (Step, Kind), said: &'static str) -> Self {
        Self {
            step,
            kind,
            current: self.rated * share.value,
            share: Some(share.value),
            said,
            basis: vec![share.citation],
            ..self.clone()
        }
    }

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

    /// What sets it, what of that counts, and who says so: `80 % of breaker, house rule`.
    pub fn said_in(&self, words: &Words) -> String {
        let (part, kind) = (self.part.said_in(words), self.kind.words());
        match self.share {
            Some(share) => format!("{} of {part}, {kind}", share.show()),
            None => format!("{part}, {kind}"),
        }
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

impl Missing {
    /// What is wrong with it: it `is missing`, or `cannot be read`.
    pub fn how(&self) -> &'static str {
        let state = self.fact.as_ref().map(|fact| fact.state);
        state.map_or("is missing", FactState::words)
    }
}

/// All lines of an element.
#[derive(Clone, Debug, Default)]
pub struct Limits {
    lines: Vec<Limit>,
    /// What is missing for others that overcurrent device, input, plug or receptacle would set.
    pub missing: Option<Missing>,
    /// What else cannot be told, and why; each with the current up to which it does not matter.
    untold: Vec<(String, Option<Current>)>,
}

impl Analysis<'_> {
    /// What overcurrent device, input, plug and receptacle of an element set; `None` where it has none of
    /// them, as a bank without a breaker, and for supplies, whose capacity is no current.
    pub fn own_limits(&self, id: ElementId) -> Option<Limits> {
        match self.graph.kind(id) {
            ElementKind::Circuit(circuit) => {
                let circuit = &self.model.circuits[circuit];
                let owner = || (format!("circuit {}", circuit.name.value), &circuit.name);
                let fact = |key: &str, field: Option<&_>| self.breaker_fact(id, key, field);
                let mut limits = breaker::limits(self, &circuit.breaker, owner, fact);
                contract::add(&mut limits, circuit);
                Some(limits)
            }
            ElementKind::Bank(pdu, bank) => {
                let link = self.graph.links.pdu_models[pdu.index()]?;
                let model = &self.model.pdu_models[link];
                let bank = model.banks.items().get(bank as usize)?;
                let (own, of) = (&bank.name.value, &model.name);
                let owner = || (format!("bank {own} of PDU model {}", of.value), of);
                let has_one = !bank.breaker.is_absent();
                let fact = |key: &str, field: Option<&_>| self.breaker_fact(id, key, field);
                has_one.then(|| breaker::limits(self, &bank.breaker, owner, fact).of_model())
            }
            ElementKind::Pdu(pdu) => Some(strip::limits(self, pdu, id)),
            ElementKind::Supply(_) | ElementKind::Cord(_) | ElementKind::Leg(..) => None,
        }
    }

    /// Everything that bounds the current of an element, its conductors and couplers in their
    /// environment among it. Nothing for supplies, whose capacity is no current.
    pub fn limits(&self, id: ElementId) -> Limits {
        let mut limits = self.own_limits(id).unwrap_or_default();
        match self.graph.kind(id) {
            ElementKind::Supply(_) | ElementKind::Bank(..) => {}
            ElementKind::Circuit(circuit) => {
                let wiring = &self.model.circuits[circuit].wiring;
                limits.add_conductor(self, id, wiring.span());
            }
            ElementKind::Pdu(pdu) => {
                strip::add_contacts(&mut limits, self, id);
                if let Some(model) = self.graph.pdu_model(self.model, pdu) {
                    limits.add_conductor(self, id, model.cord.span());
                }
            }
            ElementKind::Cord(cord) | ElementKind::Leg(cord, _) => {
                cord::add(&mut limits, self, id, cord);
            }
        }
        limits.add_hot_air(self, id);
        limits
    }

    /// What the neutral of an element with several lines may carry: the lowest of its ratings and its
    /// conductors. No breaker opens for a neutral alone, so no share of one is left free for it.
    pub fn neutral_limit(&self, id: ElementId) -> Option<Limit> {
        let own = self.own_limits(id).unwrap_or_default().lines.into_iter();
        let ratings = own.filter(|line| line.step == Step::Rating);
        let rating = ratings.min_by(|a, b| compare(a.current, b.current));
        let capacity = self.capacity(id).flatten();
        let is_conductor = capacity
            .is_some_and(|capacity| rating.as_ref().is_none_or(|low| capacity < low.current));
        if !is_conductor {
            return rating;
        }
        let mut conductor = Limits::default();
        conductor.add_conductor(self, id, Some(self.place_of(id)));
        conductor.lines.pop()
    }
}

impl Limits {
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

    /// What cannot be told and may lie below a current: then the lowest line is only the lowest known.
    pub fn untold(&self, worst: Option<Current>) -> impl Iterator<Item = Cow<'_, str>> {
        // A part that carries nothing cannot be overloaded, whatever its limit.
        let is_loaded = worst.is_none_or(|worst| !worst.is_zero());
        let missing = self.missing.iter().filter(move |_| is_loaded);
        let missing = missing.map(|missing| format!("{} {}", missing.what, missing.how()).into());
        let may_matter = move |floor: Option<Current>| {
            floor.is_none_or(|floor| worst.is_none_or(|worst| exceeds(worst, floor)))
        };
        let untold = self.untold.iter();
        let untold = untold.filter(move |(_, floor)| may_matter(*floor));
        missing.chain(untold.map(|(why, _)| why.as_str().into()))
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
            missing: Some(missing),
            ..Self::default()
        }
    }

    /// Adds a part, or why nobody can tell what it may carry.
    fn add(&mut self, part: Part, of: &str, kind: Kind, rating: Rating, at: Span) {
        match rating {
            Rating::Known { current, basis, .. } => {
                self.lines
                    .push(Limit::whole(part, kind, current, at, basis));
            }
            Rating::Unknown { why, .. } => {
                let what = format!("what {} {of} may carry: {why}", part.word());
                self.untold.push((what, None));
            }
        }
    }

    /// Adds the conductors of an element where they lie; `at` is where they are written, if they are.
    fn add_conductor(&mut self, analysis: &Analysis<'_>, id: ElementId, at: Option<Span>) {
        let Some(at) = at else {
            return;
        };
        let of = analysis.conductors_of(id).map(|own| own.to_string());
        let rating = analysis.conductor_rating(id);
        let rating = rating.unwrap_or(Rating::missing("it cannot be read"));
        let kind = conductor_kind(analysis.practice());
        self.add(Part::Conductor, &of.unwrap_or_default(), kind, rating, at);
    }
}

/// The code of a country gives what conductors may carry, or a standard does.
fn conductor_kind(practice: Option<Practice>) -> Kind {
    match practice {
        Some(Practice::Nec) => Kind::Code,
        _ => Kind::Standard,
    }
}

/// The sheet of a coupler gives its rating, or the lower mark on it.
fn coupler_kind(rating: &Rating) -> Kind {
    match rating {
        Rating::Known { working, .. } if !working.is_empty() => Kind::Marking,
        _ => Kind::Standard,
    }
}

fn compare(a: Current, b: Current) -> std::cmp::Ordering {
    a.in_amperes().total_cmp(&b.in_amperes())
}
