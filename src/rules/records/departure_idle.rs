//! `departure-idle`: does every departure still depart from something?

use crate::citation::Citation;
use crate::finding::Finding;
use crate::model::cords::Departure;
use crate::model::value::Spanned;
use crate::rules::{self, Draft, Said, rule};
use crate::survey::Survey;

rule!(
    Said,
    "departure-idle",
    Records,
    Warning,
    "A departure that matches nothing: it would let a new fault through that nobody has looked at."
);

/// Only departures that hold, and only from rules that were run; while a part of the definitions
/// cannot be read, what they are about may stand there.
fn check(survey: &Survey<'_>, said: &Said<'_>, findings: &mut Vec<Finding>) {
    if survey.model.is_incomplete {
        return;
    }
    for departure in &survey.model.departures {
        let item = &departure.value;
        let rule = item.rule.get().and_then(|name| rules::find(name));
        let has_run = rule.is_some_and(|rule| said.ran.contains(&rule.name));
        let is_used = || {
            said.findings
                .iter()
                .any(|finding| rules::covers(item, finding))
        };
        if has_run && rules::holds(item, survey.today) && !is_used() {
            findings.extend(idle(departure));
        }
    }
}

fn idle(departure: &Spanned<Departure>) -> Option<Finding> {
    let (rule, at) = (departure.value.rule.get()?, departure.value.at.given()?);
    let headline = format!(
        "the departure from {rule} at {} matches nothing: it would let a new fault there through unseen",
        at.value
    );
    let basis = Citation::common_practice("a departure ends when its cause is gone");
    Some(
        Draft::new(&RULE, headline, at.span, "nothing is found here", basis)
            .about([at.value.clone(), rule.clone()])
            .advice("Take it out; if the fault is still there, correct the name of the thing.")
            .finish(),
    )
}
