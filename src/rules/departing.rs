//! When a departure holds, and for which findings.

use crate::date::Date;
use crate::finding::Finding;
use crate::model::Model;
use crate::model::cords::Departure;

/// Whether a departure holds on a day: it has a reason, a signer and a date that has not passed.
pub fn holds(departure: &Departure, today: Date) -> bool {
    let signed = departure.reason.get().is_some() && departure.agreed_by.get().is_some();
    signed && departure.until.get().is_some_and(|until| today <= *until)
}

/// Whether a departure is about a finding: its rule, and the main thing the finding is about.
pub fn covers(departure: &Departure, finding: &Finding) -> bool {
    let rule = departure.rule.get().and_then(|name| super::find(name));
    rule.is_some_and(|rule| rule.name == finding.rule)
        && departure.at.get() == finding.about.first()
}

/// Whether any departure that holds on a day is about a finding.
pub fn is_departed(model: &Model, today: Date, finding: &Finding) -> bool {
    let mut departures = model.departures.iter().map(|departure| &departure.value);
    departures.any(|departure| holds(departure, today) && covers(departure, finding))
}
