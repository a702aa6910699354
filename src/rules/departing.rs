//! When a departure holds, and for which findings.

use rustc_hash::FxHashMap;

use crate::date::Date;
use crate::finding::Finding;
use crate::model::Model;
use crate::model::cords::Departure;
use crate::model::value::Name;

/// What a departure is about, or a finding: a rule, and the main thing that it speaks of.
pub type Matter<'a> = (&'static str, Option<&'a Name>);

/// The departures of a site that hold on a day, by what they are about.
#[derive(Debug)]
pub struct Departures<'a>(FxHashMap<Matter<'a>, &'a Departure>);

impl<'a> Departures<'a> {
    /// Those that hold on `today`; of several about one matter the first.
    pub fn of(model: &'a Model, today: Date) -> Self {
        let mut by_matter = FxHashMap::default();
        let departures = model.departures.iter().map(|departure| &departure.value);
        for departure in departures.filter(|departure| holds(departure, today)) {
            if let Some(matter) = matter_of_departure(departure) {
                by_matter.entry(matter).or_insert(departure);
            }
        }
        Self(by_matter)
    }

    /// The departure that is about a finding.
    pub fn about(&self, finding: &Finding) -> Option<&'a Departure> {
        self.0.get(&matter(finding)).copied()
    }
}

/// Whether a departure holds on a day: it has a reason, a signer and a date that has not passed.
pub fn holds(departure: &Departure, today: Date) -> bool {
    let signed = departure.reason.get().is_some() && departure.agreed_by.get().is_some();
    signed && departure.until.get().is_some_and(|until| today <= *until)
}

/// What a finding is about.
pub fn matter(finding: &Finding) -> Matter<'_> {
    (finding.rule, finding.about.first())
}

/// What a departure is about; `None` if it names no rule that there is.
pub fn matter_of_departure(departure: &Departure) -> Option<Matter<'_>> {
    let rule = super::find(departure.rule.get()?)?;
    Some((rule.name, departure.at.get()))
}
