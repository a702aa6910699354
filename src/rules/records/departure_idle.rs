//! `departure-idle`: does every departure still depart from something?

use rustc_hash::FxHashSet;

use crate::analysis::Analysis;
use crate::citation::Citation;
use crate::finding::Finding;
use crate::model::cords::Departure;
use crate::model::value::{Name, Spanned};
use crate::rules::{self, Draft, Said, rule};

rule!(
    Said,
    "departure-idle",
    Records,
    Warning,
    "A departure that matches nothing: it would let a new fault through that nobody has looked at."
);

/// Only departures that hold, and only from rules that were run; while a part of the definitions
/// cannot be read, what they are about may stand there.
fn check(analysis: &Analysis<'_>, said: &Said<'_>, findings: &mut Vec<Finding>) {
    if analysis.model.is_incomplete {
        return;
    }
    let met = Met::of(said.findings);
    for departure in &analysis.model.departures {
        let item = &departure.value;
        let rule = item.rule.known().and_then(|name| rules::find(name));
        let Some(rule) = rule.filter(|rule| said.ran.contains(&rule.name)) else {
            continue;
        };
        let is_used = item
            .at
            .known()
            .is_some_and(|at| met.0.contains(&(rule.name, at)));
        if rules::holds(item, analysis.today) && !is_used {
            findings.extend(idle(departure));
        }
    }
}

/// Every rule that found something, with the things that a departure may name for it.
struct Met<'a>(FxHashSet<(&'static str, &'a Name)>);

impl<'a> Met<'a> {
    fn of(findings: &'a [Finding]) -> Self {
        let names = findings.iter().flat_map(|finding| {
            let names = finding.about.first().into_iter().chain(&finding.sufferers);
            names.map(|name| (finding.rule, name))
        });
        Self(names.collect())
    }
}

fn idle(departure: &Spanned<Departure>) -> Option<Finding> {
    let (rule, at) = (departure.value.rule.known()?, departure.value.at.given()?);
    let headline = format!(
        "the departure agreed for {} (rule {rule}) matches nothing: a new fault of its kind there would pass unseen",
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
