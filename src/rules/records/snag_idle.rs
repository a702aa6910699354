//! `snag-idle`: does every line of the snag list still stand for a finding?

use crate::analysis::Analysis;
use crate::citation::Citation;
use crate::finding::{Atom, Finding};
use crate::model::snags::Snag;
use crate::model::value::Spanned;
use crate::policy::Policy;
use crate::rules::{self, Acceptance, Answer, Departures, Draft, Said, rule};

rule!(
    Said,
    "snag-idle",
    Records,
    Warning,
    "A line of the snag list that stands for no finding: it would let the same fault come back unseen."
);

/// Only lines of rules that were run; while a part of the definitions cannot be read, what they
/// are about may stand there. What is departed from needs no line.
fn check(analysis: &Analysis<'_>, said: &Said<'_>, findings: &mut Vec<Finding>) {
    if analysis.model.is_incomplete || analysis.model.snags.is_empty() {
        return;
    }
    let policy = Policy::of(analysis.model);
    let mut acceptance = Acceptance::of(&policy);
    let departures = Departures::of(&policy, analysis.today);
    let is_left = |finding: &Finding, atom: &Atom<'_>| {
        let answer = departures.answer(finding, atom);
        !matches!(answer, Answer::LetsThrough(_))
    };
    let left = said.findings.iter();
    let left = left.filter_map(|finding| finding.only(|atom| is_left(finding, &atom)));
    acceptance.part(left.collect());
    let idle = acceptance.idle().into_iter();
    let has_run = |snag: &&Spanned<Snag>| {
        let rule = rules::find(&snag.value.rule.value);
        rule.is_some_and(|rule| said.ran.contains(&rule.name))
    };
    findings.extend(idle.filter(has_run).map(finding));
}

fn finding(line: &Spanned<Snag>) -> Finding {
    let snag = &line.value;
    let level = snag.level.word();
    let headline = format!(
        "the snag list still has {} (rule {}), and no such {level} is found: the same fault could come back there unseen",
        snag.things, snag.rule.value
    );
    let basis = Citation::common_practice("a snag is struck off when it is put right");
    Draft::new(&RULE, headline, line.span, "nothing is found here", basis)
        .about([
            snag.things.clone(),
            snag.rule.value.clone(),
            snag.fingerprint.clone(),
        ])
        .advice("Strike the line; `cordwright snags` strikes all such lines.")
        .finish()
}
