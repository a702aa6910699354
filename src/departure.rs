//! Departures: recorded deviations that silence exactly one rule at exactly one thing, for a time.

use crate::date::Date;
use crate::finding::Finding;
use crate::model::Model;
use crate::model::cords::Departure;
use crate::rules::Departures;

/// A finding that the site has departed from, with a reason, a signer and a date.
#[derive(Clone, Debug)]
pub struct Departed {
    /// What would have been found.
    pub finding: Finding,
    /// Why it is accepted.
    pub reason: String,
    /// Who agreed.
    pub agreed_by: String,
    /// The last day on which it holds, as written.
    pub until: String,
}

/// Splits findings into those that stand and those that are departed from.
pub fn part(model: &Model, today: Date, findings: Vec<Finding>) -> (Vec<Finding>, Vec<Departed>) {
    let departures = Departures::of(model, today);
    let (mut standing, mut departed) = (Vec::new(), Vec::new());
    for finding in findings {
        match departures.about(&finding) {
            Some(departure) => departed.push(record(departure, finding)),
            None => standing.push(finding),
        }
    }
    (standing, departed)
}

fn record(departure: &Departure, finding: Finding) -> Departed {
    let text = |field: &crate::model::value::Field<crate::model::value::Name>| {
        field.get().map(ToString::to_string).unwrap_or_default()
    };
    Departed {
        finding,
        reason: text(&departure.reason),
        agreed_by: text(&departure.agreed_by),
        until: departure
            .until
            .get()
            .map(ToString::to_string)
            .unwrap_or_default(),
    }
}
