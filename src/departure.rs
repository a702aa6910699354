//! Departures: recorded deviations that silence exactly one rule at exactly one thing, for a time.

use crate::date::Date;
use crate::finding::Finding;
use crate::model::Model;
use crate::model::cords::Departure;
use crate::model::value::Spanned;
use crate::report::Departed;
use crate::rules;

/// Splits findings into those that stand and those that are departed from.
pub fn part(model: &Model, today: Date, findings: Vec<Finding>) -> (Vec<Finding>, Vec<Departed>) {
    let valid: Vec<&Departure> = model
        .departures
        .iter()
        .map(|d| &d.value)
        .filter(|d| holds(d, today))
        .collect();
    let (mut standing, mut departed) = (Vec::new(), Vec::new());
    for finding in findings {
        match valid.iter().find(|departure| covers(departure, &finding)) {
            Some(departure) => departed.push(record(departure, finding)),
            None => standing.push(finding),
        }
    }
    (standing, departed)
}

/// Whether a departure holds on a day: it has a reason, a signer and a date that has not passed.
pub fn holds(departure: &Departure, today: Date) -> bool {
    let signed = departure.reason.get().is_some() && departure.agreed_by.get().is_some();
    signed && departure.until.get().is_some_and(|until| today <= *until)
}

/// Whether a departure is about a finding: its rule, and the main thing the finding is about.
pub fn covers(departure: &Departure, finding: &Finding) -> bool {
    let rule = departure.rule.get().and_then(|name| rules::find(name));
    rule.is_some_and(|rule| rule.name == finding.rule)
        && departure.at.get() == finding.about.first()
}

/// Whether any of `findings` is covered by a departure.
pub fn is_used(departure: &Spanned<Departure>, findings: &[Finding]) -> bool {
    findings
        .iter()
        .any(|finding| covers(&departure.value, finding))
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
