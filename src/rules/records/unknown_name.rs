//! `unknown-name`: does every reference lead somewhere?

mod lost;

use crate::analysis::Analysis;
use crate::finding::Finding;
use crate::rules::sharers::Sharers;
use crate::rules::{self, rule};

use super::named;
use super::written;
use lost::Lost;

rule!(
    "unknown-name",
    Records,
    Error,
    "A reference to a thing that is nowhere: the path from supply to device breaks off there, and no load on it is judged."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let (mut nowhere, mut unreadable) = (Vec::new(), Vec::new());
    let mut sharers = Sharers::of(analysis);
    for fault in &analysis.graph.faults {
        let Some(lost) = Lost::of_link(analysis, &mut sharers, fault) else {
            continue;
        };
        if analysis.model.is_incomplete {
            unreadable.push(lost);
        } else {
            nowhere.push(lost);
        }
    }
    nowhere
        .extend(written::faults(analysis).filter_map(|noted| Lost::of_table(&mut sharers, noted)));
    for naming in named::namings(analysis.model) {
        match rules::find(&naming.rule.value) {
            Some(meant) => findings.extend(named::former_name(&naming, meant, &RULE)),
            None => nowhere.push(Lost::of_rule(&naming)),
        }
    }
    findings.extend(nowhere.iter().map(Lost::finding));
    findings.extend(Lost::undecided(&unreadable));
}
