//! What is not decided, once for each kind of cord.

use std::collections::BTreeSet;

use crate::citation::Citation;
use crate::finding::{Finding, Place};
use crate::model::value::Field;
use crate::rules::{Draft, Rule};
use crate::source::Span;
use crate::survey::{absence, field_or_name};

use super::run::Run;

/// What is not decided, once for each kind of cord however many there are of it.
#[derive(Default)]
pub(super) struct OpenKinds(BTreeSet<Span>);

impl OpenKinds {
    /// Adds the finding that `headline` and `advice` make, unless the kind has one already. The
    /// place is its cordage, or where that should stand.
    pub fn add(
        &mut self,
        run: &Run<'_>,
        rule: &Rule,
        words: impl Fn(&str) -> OpenWords,
        demand: Option<Place>,
        findings: &mut Vec<Finding>,
    ) {
        if !self.0.insert(run.kind.span) {
            return;
        }
        let words = words(&run.describe_kind());
        let at = field_or_name(run.cordage, run.kind);
        let note = match run.cordage {
            Field::Given(cordage) => cordage.value.name.to_string(),
            missing => format!("not decided: its cordage {}", absence(missing)),
        };
        let draft = Draft::new(rule, words.headline, at, note, words.basis)
            .open()
            .above(demand)
            .about([run.kind.value.clone()])
            .advice(words.advice);
        findings.push(draft.finish());
    }
}

/// The words of an open finding.
pub(super) struct OpenWords {
    pub headline: String,
    pub basis: Citation,
    pub advice: String,
}
