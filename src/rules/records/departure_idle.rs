//! `departure-idle`: does every departure still depart from something?

use rustc_hash::FxHashSet;

use crate::citation::Citation;
use crate::finding::Finding;
use crate::model::cords::Departure;
use crate::model::value::Spanned;
use crate::rules::{self, Draft, Matter, Said, rule};
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
    let found: FxHashSet<Matter<'_>> = said.findings.iter().map(rules::matter).collect();
    for departure in &survey.model.departures {
        let Some(matter) = rules::matter_of_departure(&departure.value) else {
            continue;
        };
        let has_run = said.ran.contains(&matter.0);
        if has_run && rules::holds(&departure.value, survey.today) && !found.contains(&matter) {
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
