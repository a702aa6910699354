//! When a departure holds, and for which faults.

use rustc_hash::FxHashMap;

use crate::date::Date;
use crate::finding::{Atom, Finding, Measure, Move};
use crate::model::cords::Departure;
use crate::model::signed::Signed;
use crate::model::value::{Field, Name};
use crate::policy::Policy;

/// Whether a departure holds on a day: it has a reason, a signer and a date that has not passed.
pub fn holds(departure: &Departure, today: Date) -> bool {
    let signed = departure.reason.known().is_some() && departure.agreed_by.known().is_some();
    signed && departure.until.known().is_some_and(|until| today <= *until)
}

/// The departures that hold on a day, by rule and thing.
#[derive(Debug)]
pub struct Departures<'m>(FxHashMap<(&'static str, &'m Name), Vec<&'m Departure>>);

/// What the departures say to one fault.
#[derive(Clone, Copy, Debug)]
pub enum Answer<'m> {
    /// None of them is about it.
    Nothing,
    /// This one lets it through.
    LetsThrough(&'m Departure),
    /// This one is about it, and its number has grown beyond what was signed.
    Outgrown(&'m Departure),
}

impl Answer<'_> {
    /// What tells it from others: it is the same only where it is of the same departure, not of one
    /// that reads alike. The numbers mean nothing else, and are others in the next run.
    pub fn which(&self) -> (u8, usize) {
        let place = |departure: &Departure| std::ptr::from_ref(departure).addr();
        match self {
            Self::Nothing => (0, 0),
            Self::LetsThrough(departure) => (1, place(departure)),
            Self::Outgrown(departure) => (2, place(departure)),
        }
    }
}

impl<'m> Departures<'m> {
    /// Those of a site.
    pub fn of(policy: &Policy<'m>, today: Date) -> Self {
        let mut by_thing: FxHashMap<_, Vec<&Departure>> = FxHashMap::default();
        let all = policy.departures().iter().map(|departure| &departure.value);
        for departure in all.filter(|departure| holds(departure, today)) {
            let rule = departure.rule.known().and_then(|name| super::find(name));
            if let (Some(rule), Some(at)) = (rule, departure.at.known()) {
                by_thing.entry((rule.name, at)).or_default().push(departure);
            }
        }
        Self(by_thing)
    }

    /// Whether there is none from a rule at all.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// What they say to an atom of a finding. One names the main thing that the finding is about, or
    /// the one that suffers from it.
    pub fn answer(&self, finding: &Finding, atom: &Atom<'_>) -> Answer<'m> {
        let things = finding.about.first().into_iter().chain(atom.sufferer());
        let about = things.filter_map(|thing| self.0.get(&(finding.rule, thing)));
        let mut about = about.flatten().copied().peekable();
        let first = about.peek().copied();
        match (about.find(|departure| bears(departure, finding)), first) {
            (Some(departure), _) => Answer::LetsThrough(departure),
            (None, Some(departure)) => Answer::Outgrown(departure),
            (None, None) => Answer::Nothing,
        }
    }
}

/// Whether the number of a finding is no worse than the one that a departure was signed at. A signed
/// number that cannot be read bears nothing.
fn bears(departure: &Departure, finding: &Finding) -> bool {
    match (&departure.signed_at, signed(departure)) {
        (Field::Absent, _) => true,
        (_, Some(signed)) => is_within(signed, finding),
        (_, None) => false,
    }
}

/// The number that a departure was signed at.
pub fn signed(departure: &Departure) -> Option<Signed> {
    departure.signed_at.known()?.both()
}

/// Whether the number of a finding is no worse than a signed value against the limit of that time.
/// A finding without a number has none that could grow.
pub fn is_within(signed: Signed, finding: &Finding) -> bool {
    finding.measure.is_none_or(|now| {
        let then = Measure {
            value: signed.value,
            limit: signed.limit,
            worse: now.worse,
        };
        now.moved_since(&then) != Move::Worse
    })
}
